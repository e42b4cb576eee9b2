//! An end resistor of a value that nobody sells.

use crate::rule::{Family, Findings, Rule};
use crate::words::ohms;
use curtilage_diagnostic::{Fix, Level};
use curtilage_facts::Facts;

pub(crate) static RULE: Rule = Rule {
    name: "end-resistor-not-preferred",
    family: Family::Loop,
    level: Level::Hint,
    about: "an end resistor has a value that is in no series of preferred values",
    page: include_str!("end_resistor_not_preferred.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let Ok(seen) = seen else { continue };
        for (resistor, near) in seen.not_preferred() {
            let name = zone.name.text;
            out.push(
                RULE.finds(
                    format!(
                        "zone `{name}` has an end resistor of {}, which is in no series of preferred values",
                        ohms(resistor.ohm)
                    ),
                    resistor.at,
                    format!("the nearest in E24 is {}", ohms(near)),
                )
                .with_why("it has to be made up of two, or is a slip of the pen for the one that is fitted")
                .with_help(ohms(near))
                .with_fix(Fix::one(format!("write {}", ohms(near)), resistor.at, ohms(near), false))
                .with_about(name),
            );
        }
    }
}
