//! A tamper zone that is not armed at all hours.

use crate::disarmed_panic_zone::find;
use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::zone::Purpose;

pub(crate) static RULE: Rule = Rule {
    name: "disarmed-tamper-zone",
    family: Family::Arming,
    level: Level::Error,
    about: "a tamper zone is not armed at all hours",
    page: include_str!("disarmed_tamper_zone.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let why = "the equipment is opened and changed in working hours, when nobody is told";
    for zone in &facts.model.zones {
        find(&RULE, facts, zone, Purpose::Tamper, why, out);
    }
}
