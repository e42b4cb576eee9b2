//! A schedule that begins or ends in an hour that the clocks skip or repeat.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::ScheduleRef;

pub(crate) static RULE: Rule = Rule {
    name: "edge-in-clock-change",
    family: Family::Arming,
    level: Level::Warning,
    about: "a schedule begins or ends in an hour that the clocks skip or repeat",
    page: include_str!("edge_in_clock_change.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let Some(zone) = model.site.as_ref().and_then(|site| site.timezone) else { return };
    let Some(changes) = facts.hours.clock_changes(zone.text) else { return };
    let root = model.root_file();
    for (id, schedule) in model.schedules_by_id().filter(|(_, schedule)| schedule.file == root) {
        // A combination has the edges of those that it is made of; they are told there.
        if !matches!(schedule.body, curtilage_model::ScheduleBody::Written(_)) {
            continue;
        }
        let edges = facts.hours.clock_change_edges(schedule, ScheduleRef::Of(id), &changes);
        let Some(edge) = edges.first() else { continue };
        let name = schedule.name.text;
        let verb = if edge.begins { "begins" } else { "ends" };
        let what = if edge.skipped { "that the clocks skip" } else { "that comes twice" };
        let headline = format!("schedule `{name}` {verb} at {}, a time {what}", edge.local);
        let label = if edge.skipped {
            format!("taken as {}", edge.shown)
        } else {
            "taken as the first of the two".to_owned()
        };
        out.push(
            RULE.finds(headline, edge.line.unwrap_or(schedule.name.at), label)
                .with_other(zone.at, "the clocks that count")
                .with_why("controllers differ here: some count the hour twice, some not at all")
                .with_help("let it begin or end outside the hours in which the clocks change")
                .with_about(name),
        );
    }
}
