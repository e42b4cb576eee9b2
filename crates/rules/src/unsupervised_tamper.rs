//! A tamper zone whose wires nobody watches, where the policy wants it.

use crate::rule::{Family, Findings, Rule};
use crate::words::policy_source;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::part::Rest;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unsupervised-tamper",
    family: Family::Loop,
    level: Level::Error,
    about: "a tamper zone has no end-of-line network, and the policy wants one",
    page: include_str!("unsupervised_tamper.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(policy) = &facts.model.policy else { return };
    let Some(limit) = policy.tree.tamper.filter(|limit| limit.value.value.supervised) else {
        return;
    };
    let wanted = Place::new(policy.file, limit.value.span);
    let source = policy_source(facts, limit.source);
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let Some(purpose) = zone.tree.purpose.filter(|said| said.value == Purpose::Tamper) else {
            continue;
        };
        if zone.tree.ends.as_ref().is_some_and(|ends| !ends.steps.is_empty()) {
            continue;
        }
        // Where the input tells a cut wire, nothing at the end is a fault of the loop, told there.
        if seen.as_ref().is_ok_and(|seen| seen.fault().is_some()) {
            continue;
        }
        let Some(input) = &zone.input else { continue };
        let (name, file) = (zone.name.text, zone.name.at.file);
        // Of a contact that rests closed a cut wire is told, as an alarm; a short is not.
        let rests = zone.sensor.and_then(|sensor| sensor.sheet.rests);
        let hidden = match rests.map(|rests| rests.value) {
            Some(Rest::Closed) => "shorted wires look like",
            _ => "a cut wire looks like",
        };
        let headline =
            format!("tamper zone `{name}` has no resistors at its end: {hidden} closed covers");
        let fit = seen.as_ref().ok().and_then(|seen| seen.fit(facts.model, None));
        let mut finding = RULE
            .finds(headline, input.at, "nothing at the end of these wires")
            .with_other(Place::new(file, purpose.span), "a tamper zone")
            .with_other(wanted, format!("the policy wants it supervised{source}"))
            .with_why("who means to open a cover deals with its wires first")
            .with_help(match fit {
                Some(fit) => {
                    format!("{}\nsoldered at the last contact, not in the controller", fit.text)
                }
                None => "wire it to an input that tells a cut wire and shorted wires, and solder its resistors at the last contact".to_owned(),
            })
            .with_about(name);
        if let Some(ends) = &zone.tree.ends {
            finding = finding.with_other(Place::new(file, ends.span), "nothing at its end");
        }
        out.push(finding);
    }
}
