//! Outputs and zones that keep each other going with all sensors at rest.

use crate::rule::{Family, Findings, Rule};
use crate::words::{STORY, and_list, number, time};
use curtilage_diagnostic::{Diagnostic, Level, Step};
use curtilage_facts::Facts;
use curtilage_facts::events::{Keeps, KeepsGoing, Path};
use curtilage_model::ScheduleRef;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "feedback",
    family: Family::Behaviour,
    level: Level::Error,
    about: "an output sets off the zone that switches it, again and again without an end",
    page: include_str!("feedback.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for ring in facts.feedback() {
        if let Ok(Some(keeps)) = &ring.answer {
            out.push(find(facts, ring, keeps));
        }
    }
}

fn find(facts: &Facts<'_, '_>, ring: &KeepsGoing, keeps: &Keeps) -> Diagnostic {
    let model = facts.model;
    let zone_name = |id| model.zone(id).map_or("", |zone| zone.name.text);
    let output_name = |id| model.output(id).map_or("", |output| output.name.text);
    let zones: Vec<&str> = ring.zones.iter().map(|id| zone_name(*id)).collect();
    let outputs: Vec<&str> = ring.outputs.iter().map(|id| output_name(*id)).collect();
    let name = zone_name(keeps.zone);
    let how = match keeps.period.and_then(|period| per_hour(keeps.registrations, period)) {
        Some(often) => format!("`{name}` registers {often} times an hour with all sensors at rest"),
        None => format!("`{name}` registers again in the same instant, without an end"),
    };
    let outs = and_list(outputs.iter().copied());
    let all = and_list(outputs.iter().chain(&zones).copied());
    let headline = format!("{all} keep each other going: {how}");
    let main = ring.paths.iter().find(|(_, zone, _)| *zone == keeps.zone).or(ring.paths.first());
    let (at, label) = main.map_or_else(
        || (model.zone(keeps.zone).map_or(Place::default(), |zone| zone.name.at), String::new()),
        |(output, zone, path)| way(output_name(*output), zone_name(*zone), *path),
    );
    let mut finding = RULE.finds(headline, at, label).with_why(why(facts, keeps));
    for (output, zone, path) in &ring.paths {
        let (other, label) = way(output_name(*output), zone_name(*zone), *path);
        if other != at {
            finding = finding.with_other(other, label);
        }
    }
    for index in &ring.responses {
        if let Some(response) = model.responses.get(*index) {
            finding = finding.with_other(response.line, "and switches it again");
        }
    }
    for (id, zone) in ring.zones.iter().filter_map(|id| Some((*id, model.zone(*id)?))) {
        let level = facts.registering.get(id.index()).and_then(|one| one.level);
        if zone.tree.registers.is_some() && level == Some(true) {
            finding = finding.with_help("registers  once an activation");
        }
    }
    finding = finding.with_help(match main.map(|(output, _, path)| (output_name(*output), *path)) {
        Some((output, Path::Follows(_))) => {
            format!("a response to `{name}` that does not switch {outs}, so that `{output}` is only watched")
        }
        Some((output, _)) => format!(
            "a sensor in another place, or one that `{output}` does not disturb; then take it out of `reaches`"
        ),
        None => "a response that does not switch what sets it off".to_owned(),
    });
    finding = finding.with_working([Step {
        what: format!("whether {all} ever come to rest"),
        formula: "does a story end when every sensor is at rest again?".to_owned(),
        inputs: Vec::new(),
        result: match keeps.period {
            Some(period) => format!("repeats every {}", time(whole(period))),
            None => "never settles".to_owned(),
        },
        source: match keeps.states {
            0 => "played: it repeats itself exactly, for longer than anything is remembered"
                .to_owned(),
            states => format!("exhaustive search, {states} sets of states"),
        },
    }]);
    for name in zones.iter().chain(&outputs) {
        finding = finding.with_about(*name);
    }
    finding
}

fn why(facts: &Facts<'_, '_>, keeps: &Keeps) -> String {
    let armed = facts.model.zone(keeps.zone).and_then(|zone| zone.armed);
    let until = match armed {
        Some((ScheduleRef::Always, _)) | None => "somebody opens the ring by hand",
        Some(_) => "the zone is disarmed, or somebody opens the ring by hand",
    };
    let mut why = format!("once begun, it goes on until {until}");
    for (output, share) in &keeps.duty {
        let name = facts.model.output(*output).map_or("", |output| output.name.text);
        let share = curtilage_units::significant(share * 100.0, 3);
        why.push_str(&format!("; `{name}` is driven {share} % of the time"));
    }
    if let Some(story) = &keeps.story {
        why.push_str(STORY);
        why.push_str(&story.block);
    }
    why
}

/// The words that make the way, and what it is.
fn way(output: &str, zone: &str, path: Path) -> (Place, String) {
    match path {
        Path::Follows(at) => (at, format!("`{output}` moves the contact of `{zone}`")),
        Path::Reaches(at) => (at, format!("`{output}` sets off `{zone}`")),
        Path::Disturbs(at, by) => {
            (at, format!("the {} of `{output}` sets off `{zone}`", by.word()))
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "for display")]
fn per_hour(registrations: u64, period: i64) -> Option<String> {
    (period > 0).then(|| number(registrations as f64 * 3_600_000.0 / period as f64))
}

fn whole(period: i64) -> u64 {
    u64::try_from(period).unwrap_or(0)
}
