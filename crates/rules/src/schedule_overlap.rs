//! Two lines of one schedule that cover the same hours.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::ScheduleRef;
use curtilage_units::hours;

pub(crate) static RULE: Rule = Rule {
    name: "schedule-overlap",
    family: Family::Arming,
    level: Level::Hint,
    about: "two lines of one schedule cover the same hours",
    page: include_str!("schedule_overlap.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let root = facts.model.root_file();
    let own = facts.model.schedules_by_id().filter(|(_, schedule)| schedule.file == root);
    for (id, schedule) in own {
        for overlap in facts.hours.overlaps(schedule, ScheduleRef::Of(id)) {
            let name = schedule.name.text;
            let total = hours(u64::from(overlap.shared.minutes()));
            let headline = format!("schedule `{name}` says {total} a week twice");
            let label = format!("also covers {}", overlap.shared);
            let mut finding = RULE
                .finds(headline, overlap.second, label)
                .with_why("whoever shortens one of the lines finds that the hours stay")
                .with_help("let each hour stand in one line only")
                .with_about(name);
            if overlap.first != overlap.second {
                finding = finding.with_other(overlap.first, "covered here too");
            }
            out.push(finding);
        }
    }
}
