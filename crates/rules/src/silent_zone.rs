//! A zone that sets off nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{Cause, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "silent-zone",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "a zone sets off nothing",
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
    let zones = model.zones.iter().zip(&facts.registering).zip(confirms).zip(tampers);
    for (((zone, registering), confirms), tamper) in zones {
        if confirms {
            continue;
        }
        if registering.responses.is_empty() {
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

/// A zone whose responses answer at other hours than those at which it is armed. A schedule without any
/// hours has a rule of its own, and so has a panic zone.
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
