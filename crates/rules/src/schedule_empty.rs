//! A schedule that covers no minute.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{ScheduleBody, ScheduleRef, ScheduleTerm};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "schedule-empty",
    family: Family::Arming,
    level: Level::Error,
    about: "a schedule covers no minute of this year or the next",
    page: include_str!("schedule_empty.md"),
    from_absence: true,
    check,
};

/// At most so many exceptions of one schedule are shown.
const MOST_EXCEPTIONS: usize = 4;

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let root = model.root_file();
    for (id, schedule) in model.schedules_by_id() {
        if schedule.file != root || facts.hours.is_empty(ScheduleRef::Of(id)) != Some(true) {
            continue;
        }
        if made_of_empty(facts, &schedule.body) {
            continue;
        }
        let name = schedule.name.text;
        let year = facts.options.today.year;
        let headline =
            format!("schedule `{name}` covers no minute of {year} or {}", i32::from(year) + 1);
        let label = match &schedule.body {
            ScheduleBody::Written(written) if !written.also.is_empty() => {
                "its hours lie on other dates"
            }
            ScheduleBody::Written(written) if written.weekly.is_empty() => "it has no hours",
            ScheduleBody::Combined(_) => "what it is made of leaves nothing",
            _ => "its exceptions take all of its hours away",
        };
        let excepted = match &schedule.body {
            ScheduleBody::Written(written)
                if written.also.is_empty() && !written.weekly.is_empty() =>
            {
                let dates = written.except.iter().map(|dates| dates.span);
                dates.chain(written.except_holidays).collect()
            }
            _ => Vec::new(),
        };
        let help = match &schedule.body {
            ScheduleBody::Combined(_) => {
                "`plus` takes what either covers, `within` only what both cover"
            }
            _ if !excepted.is_empty() => "fewer dates behind `except`, or none",
            _ => "Mon to Fri  07:30 to 18:00    (the hours that are meant)",
        };
        let mut finding = RULE
            .finds(headline, schedule.name.at, label)
            .with_why("whatever hangs on it never counts, is never recorded and never answers")
            .with_help(help)
            .with_about(name);
        for dates in excepted.into_iter().take(MOST_EXCEPTIONS) {
            finding = finding.with_other(Place::new(schedule.file, dates), "takes its hours away");
        }
        out.push(finding);
    }
}

/// Whether a schedule is made of one that is empty itself, and told there.
fn made_of_empty(facts: &Facts<'_, '_>, body: &ScheduleBody<'_>) -> bool {
    fn any(facts: &Facts<'_, '_>, term: &ScheduleTerm) -> bool {
        match term {
            ScheduleTerm::Named(ScheduleRef::Of(id)) => {
                facts.hours.is_empty(ScheduleRef::Of(*id)) == Some(true)
            }
            ScheduleTerm::Named(_) => false,
            ScheduleTerm::Not(inner) => any(facts, inner),
            ScheduleTerm::Plus(left, right)
            | ScheduleTerm::Minus(left, right)
            | ScheduleTerm::Within(left, right) => any(facts, left) || any(facts, right),
        }
    }
    matches!(body, ScheduleBody::Combined(term) if any(facts, term))
}
