//! A supply of whose rated current less is left than the policy asks for.

use crate::rule::{Family, Findings, Rule};
use crate::runs::supply_name;
use crate::supply_overload::{larger, overload};
use crate::words::{amps, numbers_apart, percent, policy_source};
use curtilage_diagnostic::{Input, Level, Step};
use curtilage_facts::Facts;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "spare-too-small",
    family: Family::Power,
    level: Level::Warning,
    about: "less of a supply's rated current stays unused than the policy asks for",
    page: include_str!("spare_too_small.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(policy) = &facts.model.policy else { return };
    let Some(limit) = policy.tree.spare else { return };
    let limit_at = Place::new(policy.file, limit.value.span);
    let wanted = limit.value.value;
    for power in &facts.power {
        let Some((rated, rated_at)) = power.rated else { continue };
        let Some((most, case)) = power.most_source_amps() else { continue };
        let spare = 1.0 - most / rated;
        // An overloaded supply is told by its own rule.
        if spare >= wanted - 1e-9 || overload(power).is_some() {
            continue;
        }
        let name = supply_name(facts, power);
        let (left, asked) = numbers_apart(spare * 100.0, wanted * 100.0);
        let headline =
            format!("{left} % of `{}` stays unused, the policy asks for {asked} %", name.text);
        let sum = power.currents(facts.model, case, None);
        let share = Step {
            what: format!("what stays unused of `{}`", name.text),
            formula: "s = 1 - I / Ir".to_owned(),
            inputs: vec![
                Input { name: "I".to_owned(), value: amps(most), at: None },
                Input { name: "Ir".to_owned(), value: amps(rated), at: Some(rated_at) },
            ],
            result: percent(spare),
            source: "arithmetic".to_owned(),
        };
        let mut finding = RULE
            .finds(headline, name.at, format!("gives up to {} of {}", amps(most), amps(rated)))
            .with_other(rated_at, format!("rated {}", amps(rated)))
            .with_other(limit_at, format!("asks for {}{}", percent(wanted), policy_source(facts, limit.source)))
            .with_why("there is no room for the next detector, and an old supply gives less than its sheet says")
            .with_working([sum, share])
            .with_about(name.text);
        for help in larger(facts.model, power, wanted) {
            finding = finding.with_help(help);
        }
        out.push(finding);
    }
}
