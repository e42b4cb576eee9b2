//! A zone that is never armed.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::ScheduleRef;
use curtilage_syntax::tree::zone::Purpose;

pub(crate) static RULE: Rule = Rule {
    name: "never-armed",
    family: Family::Arming,
    level: Level::Warning,
    about: "a zone is never armed",
    page: include_str!("never_armed.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for zone in &facts.model.zones {
        // A panic or tamper zone has a rule of its own; an empty schedule is told where it stands.
        let Some((ScheduleRef::Never, at)) = zone.armed else { continue };
        let purpose = zone.tree.purpose.map(|said| said.value);
        if matches!(purpose, Some(Purpose::Panic | Purpose::Tamper)) {
            continue;
        }
        let name = zone.name.text;
        let headline = format!("zone `{name}` is never armed");
        out.push(
            RULE.finds(headline, at, "counts at no minute of the year")
                .with_why("the sensor is fitted, wired and tested, and does nothing")
                .with_help("armed  SCHEDULE, or take the zone out")
                .with_about(name),
        );
    }
}
