//! A panic zone whose wires nobody watches.

use crate::rule::{Family, Findings, Rule};
use crate::supervision::{mend, unwatched};
use crate::words::policy_source;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "unsupervised-panic",
    family: Family::Loop,
    level: Level::Warning,
    about: "of a panic zone no cut wire and no shorted wires are told",
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
        let Some(finding) = unwatched(&RULE, zone, seen, "panic", "a quiet button") else {
            continue;
        };
        let mut finding = finding
            .with_other(Place::new(file, purpose.span), "a panic zone")
            .with_why(
                "a cut or shorted wire shows only on the day on which somebody presses in vain",
            )
            .with_help(mend(facts, zone, seen, "the button"));
        if let Some((at, source)) = &demand {
            finding = finding.with_other(*at, format!("the policy wants it supervised{source}"));
            finding.level = Level::Error;
        }
        out.push(finding);
    }
}
