//! A schedule that begins or ends in an hour that the clocks skip or repeat.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Edge, Facts};
use curtilage_model::{Model, Schedule, ScheduleBody, ScheduleId, ScheduleRef};
use curtilage_syntax::tree::response::CauseKind;
use curtilage_syntax::tree::schedule::{Body, Combination};
use curtilage_syntax::tree::{Item, Name};
use curtilage_text::Place;
use std::collections::{HashMap, HashSet};

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
    let edges =
        |id, schedule| facts.hours.clock_change_edges(schedule, ScheduleRef::Of(id), &changes);
    let root = model.root_file();
    for (id, schedule) in model.schedules_by_id().filter(|(_, schedule)| schedule.file == root) {
        // A combination has the edges of those that it is made of; they are told there.
        if matches!(schedule.body, ScheduleBody::Written(_))
            && let Some(edge) = edges(id, schedule).first()
        {
            let at = edge.line.unwrap_or(schedule.name.at);
            out.push(finding(schedule, edge, at, zone.at));
        }
    }
    // A shared file has no clocks of its own: what it says is told where the site takes it.
    let mut told = HashSet::new();
    for (id, at) in first_taken(model) {
        let Some(schedule) = model.schedules.get(id.index()) else { continue };
        let all = edges(id, schedule);
        if all.is_empty() {
            continue;
        }
        // Of a combination, the written schedule in it that has the edge.
        let parts = model.made_of(ScheduleRef::Of(id));
        let parts =
            parts.iter().filter_map(|(part, _)| Some((*part, model.schedules.get(part.index())?)));
        let written: Vec<_> =
            parts.filter(|(_, part)| matches!(part.body, ScheduleBody::Written(_))).collect();
        let found = all.iter().find_map(|edge| {
            let hours = written.iter().find_map(|(part, of)| {
                let same = edges(*part, of).into_iter().find(|same| same.local == edge.local)?;
                Some((of.name.at, same.line.unwrap_or(of.name.at)))
            });
            Some((edge, hours?))
        });
        if let Some((edge, (part, hours))) = found
            && told.insert(part)
        {
            let finding = finding(schedule, edge, at, zone.at);
            out.push(finding.with_other(hours, "the hours in the shared file"));
        }
    }
}

fn finding(schedule: &Schedule<'_>, edge: &Edge, at: Place, clocks: Place) -> Diagnostic {
    let name = schedule.name.text;
    let verb = if edge.begins { "begins" } else { "ends" };
    let what = if edge.skipped { "that the clocks skip" } else { "that comes twice" };
    let headline = format!("schedule `{name}` {verb} at {}, a time {what}", edge.local);
    let label = if edge.skipped {
        format!("taken as {}", edge.shown)
    } else {
        "taken as the first of the two".to_owned()
    };
    RULE.finds(headline, at, label)
        .with_other(clocks, "the clocks that count")
        .with_why("controllers differ here: some count the hour twice, some not at all")
        .with_help("let it begin or end outside the hours in which the clocks change")
        .with_about(name)
}

/// The schedules of other files that the site names, each with its first words that do.
fn first_taken(model: &Model<'_>) -> Vec<(ScheduleId, Place)> {
    let Some(root) = model.root() else { return Vec::new() };
    let shared = model.schedules_by_id().filter(|(_, schedule)| schedule.file != root.file);
    let shared: HashMap<&str, ScheduleId> =
        shared.map(|(id, schedule)| (schedule.name.text, id)).collect();
    if shared.is_empty() {
        return Vec::new();
    }
    let mut words: Vec<Name> = Vec::new();
    for item in &root.parsed.file.items {
        match item {
            Item::Site(site) => words.extend(site.occupied),
            Item::Schedule(schedule) => {
                if let Body::Combined(combination) = &schedule.body {
                    named(combination, &mut words);
                }
            }
            Item::Zone(zone) => words.extend(zone.armed),
            Item::Recording(plan) => words.extend(plan.keeps.iter().filter_map(|keep| keep.during)),
            Item::Response(response) => {
                let causes = response.causes.list().iter();
                let edges = causes.filter(|c| matches!(c.kind, CauseKind::Start | CauseKind::End));
                words.extend(edges.map(|cause| cause.name));
                words.extend(response.during);
            }
            _ => {}
        }
    }
    let mut seen = HashSet::new();
    let known = words.into_iter().filter_map(|name| {
        let id = *shared.get(root.text(name.span))?;
        seen.insert(id).then(|| (id, Place::new(root.file, name.span)))
    });
    known.collect()
}

/// The names in a combination.
fn named(combination: &Combination, out: &mut Vec<Name>) {
    match combination {
        Combination::Named(name) => out.push(*name),
        Combination::Not(inner) => named(inner, out),
        Combination::Plus(one, other)
        | Combination::Minus(one, other)
        | Combination::Within(one, other) => {
            named(one, out);
            named(other, out);
        }
    }
}
