//! A battery that takes longer to recharge than the policy allows.

use crate::rule::{Family, Findings, Rule};
use crate::words::{charge, hours_apart, policy_source};
use curtilage_circuit::limit::above;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;

pub(crate) static RULE: Rule = Rule {
    name: "recharge-too-slow",
    family: Family::Power,
    level: Level::Warning,
    about: "a flat battery takes longer to recharge than the policy allows",
    page: include_str!("recharge_too_slow.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(policy) = &facts.model.policy else { return };
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        let Some(standby) = standby else { continue };
        let (Some((most, limit_at)), Ok(takes)) = (standby.recharge_in, &standby.recharge) else {
            continue;
        };
        if !above(*takes, most) {
            continue;
        }
        let Some(supply) = facts.model.supply(standby.supply) else { continue };
        let name = supply.name.text;
        let (long, allowed) = hours_apart(*takes, most);
        let headline = format!(
            "the battery of `{name}` takes {long} to recharge, the policy allows {allowed}"
        );
        let source = policy.tree.recharge.and_then(|limit| limit.source);
        let rated = standby.rated_ah().unwrap_or(0.0);
        let mut finding = RULE
            .finds(headline, supply.name.at, format!("recharges {} in {long}", charge(rated)))
            .with_other(limit_at, format!("at most {allowed}{}", policy_source(facts, source)))
            .with_why("a second failure of the mains finds the battery half full")
            .with_help(format!(
                "a supply that charges with {} or more, or a smaller battery if the standby allows it",
                crate::words::amps(rated * CHARGE_FACTOR / most)
            ))
            .with_working(standby.recharge_working(facts.model, power))
            .with_about(name);
        if let Some((amps, at)) = power.charges {
            finding = finding.with_other(at, format!("charges with {}", crate::words::amps(amps)));
        }
        out.push(finding);
    }
}

/// What is put back for what was taken out (common practice, no source).
const CHARGE_FACTOR: f64 = 1.2;
