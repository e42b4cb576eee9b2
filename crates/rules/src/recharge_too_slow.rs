//! A battery that takes longer to recharge than the policy allows.

use crate::rule::{Family, Findings, Rule};
use crate::words::{amps, amps_up, charge, hours_apart, hours_of, policy_source};
use curtilage_circuit::limit::above;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{CHARGE_FACTOR, Facts, Power, Standby};

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
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        if let Some(standby) = standby {
            out.list.extend(finding(facts, power, standby));
        }
    }
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    power: &Power<'a>,
    standby: &Standby<'a>,
) -> Option<Diagnostic> {
    // A limit of no time is told where it stands.
    let (most, limit_at) = standby.recharge_in.filter(|(most, _)| *most > 0.0)?;
    let (charges, rated, resting) = standby.charging_parts(power).ok()?;
    let holds = standby.rated_ah().ok()?;
    let spare = rated.map(|rated| rated - resting);
    let takes = match &standby.recharge {
        Ok(takes) if above(*takes, most) => Some(*takes),
        Ok(_) => return None,
        // A battery for which nothing is left is never full.
        Err(_) if spare.is_some_and(|spare| spare <= 0.0) => None,
        Err(_) => return None,
    };
    let supply = facts.model.supply(standby.supply)?;
    let name = supply.name.text;
    let (long, allowed) = match takes {
        Some(takes) => hours_apart(takes, most),
        None => (String::new(), hours_of(most)),
    };
    let (headline, label) = match takes {
        Some(_) => (
            format!(
                "the battery of `{name}` takes {long} to recharge, the policy allows {allowed}"
            ),
            format!("recharges {} in {long}", charge(holds)),
        ),
        None => (
            format!("the battery of `{name}` is never recharged, the policy allows {allowed}"),
            format!("nothing is left to recharge {}", charge(holds)),
        ),
    };
    let policy = facts.model.policy.as_ref()?;
    let source = policy.tree.recharge.and_then(|limit| limit.source);
    let needed = holds * CHARGE_FACTOR / most;
    let short_of_rating = spare.is_some_and(|spare| above(needed, spare));
    let supply_words = match (above(needed, charges), short_of_rating) {
        (more, true) => format!(
            "a supply rated {} or more{}",
            amps_up(resting + needed),
            if more {
                format!(" that charges with {} or more", amps_up(needed))
            } else {
                String::new()
            }
        ),
        _ => format!("a supply that charges with {} or more", amps_up(needed)),
    };
    let mut finding = RULE
        .finds(headline, supply.name.at, label)
        .with_other(limit_at, format!("at most {allowed}{}", policy_source(facts, source)))
        .with_why("a second failure of the mains finds the battery half full")
        .with_help(format!("{supply_words}, or a smaller battery if the standby allows it"))
        .with_working(standby.recharge_working(facts.model, power))
        .with_about(name);
    if let Some((_, at)) = power.charges {
        finding = finding.with_other(at, format!("charges with {}", amps(charges)));
    }
    if let Some((rated, at)) = power.rated.filter(|_| short_of_rating) {
        let words = format!("rated {}, of which {} are drawn at rest", amps(rated), amps(resting));
        finding = finding.with_other(at, words);
    }
    Some(finding)
}
