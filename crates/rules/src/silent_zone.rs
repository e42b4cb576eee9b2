//! A zone that sets off nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::Cause;

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
    let mut heard = vec![false; model.zones.len()];
    let causes = model.responses.iter().flat_map(|response| &response.causes);
    let causes = causes.filter_map(|(cause, _)| match cause {
        Cause::Zone(zone) | Cause::Tamper(zone) => Some(*zone),
        _ => None,
    });
    let confirms = model.zones.iter().filter_map(|zone| zone.confirmed);
    for zone in causes.chain(confirms) {
        if let Some(slot) = heard.get_mut(zone.index()) {
            *slot = true;
        }
    }
    for (zone, _) in model.zones.iter().zip(heard).filter(|(_, heard)| !heard) {
        let name = zone.name.text;
        out.push(
            RULE.finds(format!("zone `{name}` sets off nothing"), zone.name.at, "in no response")
                .with_why("it registers, and nobody hears, sees or is told")
                .with_help(format!("response to {name} {{ ... }}"))
                .with_about(name),
        );
    }
}
