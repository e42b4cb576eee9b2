//! A panic zone whose wires nobody watches.

use crate::rule::{Family, Findings, Rule};
use crate::words::policy_source;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::part::Rest;
use curtilage_syntax::tree::wiring::Ends;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unsupervised-panic",
    family: Family::Loop,
    level: Level::Warning,
    about: "a panic zone has no end-of-line network: a cut or shorted wire is not told",
    page: include_str!("unsupervised_panic.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let policy = facts.model.policy.as_ref();
    let demand = policy.and_then(|policy| {
        let limit = policy.tree.panic.filter(|limit| limit.value.value.supervised)?;
        let at = Place::new(policy.file, limit.value.span);
        Some((at, policy_source(facts, limit.source)))
    });
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let file = zone.name.at.file;
        let Some(purpose) = zone.tree.purpose.filter(|said| said.value == Purpose::Panic) else {
            continue;
        };
        if zone.tree.ends.as_ref().is_some_and(Ends::has_resistor) {
            continue;
        }
        // Where the input tells a cut wire, nothing at the end is a fault of the loop, told there.
        if seen.as_ref().is_ok_and(|seen| seen.fault().is_some()) {
            continue;
        }
        let Some(input) = &zone.input else { continue };
        let name = zone.name.text;
        // Of a contact that rests closed a cut wire is told, as an alarm; a short is not.
        let rests = zone.sensor.and_then(|sensor| sensor.sheet.rests);
        let hidden = match rests.map(|rests| rests.value) {
            Some(Rest::Closed) => "shorted wires look like",
            _ => "a cut wire looks like",
        };
        let mut finding = RULE
            .finds(
                format!("panic zone `{name}` has no resistors at its end: {hidden} a quiet button"),
                input.at,
                "nothing at the end of these wires",
            )
            .with_other(Place::new(file, purpose.span), "a panic zone")
            .with_why(
                "a cut or shorted wire shows only on the day on which somebody presses in vain",
            )
            .with_about(name);
        if let Some(ends) = &zone.tree.ends {
            finding = finding.with_other(Place::new(file, ends.span), "no resistor at its end");
        }
        let fit = seen.as_ref().ok().and_then(|seen| seen.fit(facts.model, None));
        finding = finding.with_help(match fit {
            Some(fit) => {
                let text = &fit.text;
                let apart = match zone.tree.ends.as_ref().and_then(Ends::tamper) {
                    Some(_) => "\nits tamper contact then goes to an input of its own: `tamper  to INPUT`",
                    None => "",
                };
                format!("{text}\nsoldered at the button, not in the controller{apart}")
            }
            None => "wire it to an input that tells a cut wire and shorted wires, and solder its resistors at the button".to_owned(),
        });
        if let Some((at, source)) = &demand {
            finding = finding.with_other(*at, format!("the policy wants it supervised{source}"));
            finding.level = Level::Error;
        }
        out.push(finding);
    }
}
