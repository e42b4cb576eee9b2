//! A panic zone that registers at hours at which no response works.

use crate::rule::{Family, Findings, Rule};
use crate::words::uncovered;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_facts::events::{Clock, Deafness, WhyDeaf};
use curtilage_model::{Zone, ZoneId};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;
use curtilage_units::duration;

pub(crate) static RULE: Rule = Rule {
    name: "unanswered-panic",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a panic zone registers at hours at which no response works",
    page: include_str!("unanswered_panic.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for ((id, zone), registering) in facts.model.zones_by_id().zip(&facts.registering) {
        let panic = zone.tree.purpose.is_some_and(|said| said.value == Purpose::Panic);
        let responses = registering.responses.iter();
        let mut responses = responses.filter_map(|index| facts.model.responses.get(*index));
        // One response that always works settles it; a zone without any has a rule of its own.
        let settled = registering.responses.is_empty()
            || responses.any(|one| one.tree.during.is_none() && one.all_within.is_none());
        if panic && !settled {
            out.list.extend(find(facts, id, zone));
        }
    }
}

fn find(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>) -> Option<Diagnostic> {
    let deaf = facts.deaf(id).ok()?;
    let idle: Vec<&Deafness> = deaf.iter().filter(|deaf| deaf.why == WhyDeaf::NoEffect).collect();
    let name = zone.name.text;
    let (how_long, when) = match idle.first() {
        Some(first) => {
            let total = idle.iter().map(|deaf| deaf.until - deaf.from).sum::<i64>();
            let (from, until) = (Clock::Week.show(first.from), Clock::Week.show(first.until));
            (format!(", {} a week", time(total)), format!("from {from} to {until}"))
        }
        None => on_dates(facts, id, zone).or_else(|| at_a_clock_change(facts, id))?,
    };
    let headline = format!("panic zone `{name}` is heard and nothing happens{how_long}");
    let label = format!("no response works {when}");
    let mut finding = RULE
        .finds(headline, zone.name.at, label)
        .with_why("it stands in the log, and nobody comes")
        .with_help(format!("response to {name} {{ ... }}    (one without `during`)"))
        .with_about(name);
    for response in &facts.model.responses {
        let of_zone =
            response.causes.iter().any(|(cause, _)| *cause == curtilage_model::Cause::Zone(id));
        if let Some((_, at)) = response.during.filter(|_| of_zone) {
            finding = finding.with_other(Place::new(at.file, at.span), "answers only then");
        }
    }
    Some(finding)
}

/// The dates of the two years on which no response works at hours at which one does in other weeks.
fn on_dates(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>) -> Option<(String, String)> {
    // What cannot be read may add a date.
    if zone.tree.confirmed.is_some() || zone.tree.entry.is_some() || facts.doubt.anything() {
        return None;
    }
    let mut answers = Vec::new();
    for index in &facts.registering.get(id.index())?.responses {
        let response = facts.model.responses.get(*index)?;
        if response.all_within.is_none() {
            answers.push(response.during?.0);
        }
    }
    let left = facts.hours.left(zone.armed?.0, &answers)?;
    if !left.week.is_empty() || left.dates.is_empty() {
        return None;
    }
    let (total, when) = uncovered(&left);
    Some((format!(" {total}"), when))
}

/// The first such stretch that only a clock change makes.
fn at_a_clock_change(facts: &Facts<'_, '_>, id: ZoneId) -> Option<(String, String)> {
    let all = facts.deaf_at_clock_changes(id).ok()?;
    let first = all.iter().find(|deaf| deaf.why == WhyDeaf::NoEffect)?;
    let clock = facts.real_time();
    let how_long = format!(", {} when the clocks change", time(first.until - first.from));
    let (from, until) = (clock.show(first.from), clock.show(first.until));
    Some((how_long, format!("from {from} to {until}")))
}

#[expect(clippy::cast_precision_loss, reason = "two years are far below 2^53 ms")]
fn time(milliseconds: i64) -> String {
    duration(milliseconds as f64)
}
