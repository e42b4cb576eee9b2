//! A zone, or its tamper contact on an input of its own, that sets off nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{Cause, ControllerId, Model, Terminal, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "silent-zone",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "a zone, or its tamper contact on an input of its own, sets off nothing",
    page: include_str!("silent_zone.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    if facts.doubt.about_any("response") || facts.doubt.about_any("zone") {
        return;
    }
    let mut confirms = vec![false; model.zones.len()];
    for zone in model.zones.iter().filter_map(|zone| zone.confirmed) {
        if let Some(slot) = confirms.get_mut(zone.index()) {
            *slot = true;
        }
    }
    let mut tampers: Vec<Option<Place>> = vec![None; model.zones.len()];
    for (cause, at) in model.responses.iter().flat_map(|response| &response.causes) {
        if let Cause::Tamper(zone) = cause
            && let Some(slot) = tampers.get_mut(zone.index())
        {
            slot.get_or_insert(*at);
        }
    }
    let landings = landings(model);
    let zones = model.zones.iter().zip(&facts.registering).zip(confirms).zip(tampers);
    for (((zone, registering), confirms), tamper) in zones {
        let in_none_at_all = registering.responses.is_empty() && !confirms;
        // A zone that is in no response at all is told once.
        if tamper.is_none() && !in_none_at_all {
            out.list.extend(cover(zone, &landings));
        }
        if confirms {
            continue;
        }
        if in_none_at_all {
            out.push(in_none(zone, tamper));
        } else if registering.unanswered {
            out.list.extend(in_vain(facts, zone, &registering.responses));
        }
    }
}

fn in_none(zone: &Zone<'_>, tamper: Option<Place>) -> Diagnostic {
    let name = zone.name.text;
    let headline = format!("zone `{name}` sets off nothing");
    let finding = match tamper {
        None => RULE.finds(headline, zone.name.at, "in no response"),
        Some(at) => RULE
            .finds(headline, zone.name.at, "in no response but for its tamper contact")
            .with_other(at, "answers when somebody meddles with it, and not when it registers"),
    };
    finding
        .with_why("it registers, and nobody hears, sees or is told")
        .with_help(format!("response to {name} {{ ... }}"))
        .with_about(name)
}

/// An input of a controller.
type Screw<'a> = (ControllerId, &'a str);

fn screw(terminal: Terminal<'_>) -> Screw<'_> {
    (terminal.controller, terminal.name)
}

/// Every input on which a contact lands, in order; none where no tamper contact has an input of its
/// own.
fn landings<'a>(model: &Model<'a>) -> Vec<Screw<'a>> {
    if !model.zones.iter().any(|zone| zone.tamper().is_some()) {
        return Vec::new();
    }
    let inputs = model.zones.iter().flat_map(|zone| [zone.input, zone.tamper()]).flatten();
    let mut all: Vec<_> = inputs.filter_map(|input| input.terminal).map(screw).collect();
    all.sort_unstable();
    all
}

/// A tamper contact that has an input of its own, and that no response names.
fn cover(zone: &Zone<'_>, landings: &[Screw<'_>]) -> Option<Diagnostic> {
    let input = zone.tamper()?;
    // Without a tamper contact in the sheet it is told otherwise.
    zone.sensor?.sheet.tamper?;
    // So is one that shares its input, and what is there may set something off.
    let mine = screw(input.terminal?);
    let first = landings.partition_point(|one| *one < mine);
    if landings.get(first + 1) == Some(&mine) {
        return None;
    }
    let name = zone.name.text;
    Some(
        RULE.finds(
            format!("the tamper contact of zone `{name}` sets off nothing"),
            input.at,
            "in no response",
        )
        .with_why("somebody opens the cover, and nobody hears, sees or is told anything")
        .with_help(format!("response to tamper of {name} {{ ... }}"))
        .with_about(name),
    )
}

/// A zone whose responses answer at other hours than those at which it is armed. A schedule without
/// any hours has a rule of its own, and so has a panic zone.
fn in_vain(facts: &Facts<'_, '_>, zone: &Zone<'_>, responses: &[usize]) -> Option<Diagnostic> {
    let panic = zone.tree.purpose.is_some_and(|said| said.value == Purpose::Panic);
    let (armed, armed_at) = zone.armed?;
    // What cannot be read may add hours.
    if panic || facts.doubt.anything() || facts.hours.is_empty(armed) != Some(false) {
        return None;
    }
    let name = zone.name.text;
    let mut finding = RULE
        .finds(
            format!("zone `{name}` sets off nothing: no response answers while it is armed"),
            zone.name.at,
            "in no response at its hours",
        )
        .with_why("it registers, and nobody hears, sees or is told")
        .with_help("during  SCHEDULE    (one that has the hours in which it is armed)")
        .with_about(name)
        .with_other(armed_at, "armed only then");
    for index in responses {
        let (during, at) = facts.model.responses.get(*index)?.during?;
        if facts.hours.is_empty(during) != Some(false) {
            return None;
        }
        finding = finding.with_other(at, "answers only then");
    }
    Some(finding)
}
