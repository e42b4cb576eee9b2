//! A tamper zone whose wires nobody watches, where the policy wants it.

use crate::rule::{Family, Findings, Rule};
use crate::supervision::{mend, unwatched};
use crate::words::policy_source;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unsupervised-tamper",
    family: Family::Loop,
    level: Level::Error,
    about: "of a tamper zone no cut wire and no shorted wires are told, and the policy wants it",
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
        let Some(finding) = unwatched(&RULE, zone, seen, "tamper", "closed covers") else {
            continue;
        };
        let file = zone.name.at.file;
        out.push(
            finding
                .with_other(Place::new(file, purpose.span), "a tamper zone")
                .with_other(wanted, format!("the policy wants it supervised{source}"))
                .with_why("who means to open a cover deals with its wires first")
                .with_help(mend(facts, zone, seen, "the last contact")),
        );
    }
}
