//! A zone that is never armed.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{ScheduleRef, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

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
        out.list.extend(unconfirmed(facts, zone));
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

/// A zone that counts only with another one, which is never armed.
fn unconfirmed(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> Option<Diagnostic> {
    // A panic zone has a rule of its own; of one that is never armed that is told.
    let purpose = zone.tree.purpose.map(|said| said.value);
    let armed = zone.armed.map(|(armed, _)| armed);
    if purpose == Some(Purpose::Panic) || armed == Some(ScheduleRef::Never) {
        return None;
    }
    let (written, _) = zone.tree.confirmed?;
    let other = facts.model.zone(zone.confirmed?)?;
    let (_, armed_at) = other.armed.filter(|(armed, _)| *armed == ScheduleRef::Never)?;
    let (name, other) = (zone.name.text, other.name.text);
    let at = Place::new(zone.name.at.file, written.span);
    let headline = format!("zone `{name}` counts only with `{other}`, which is never armed");
    Some(
        RULE.finds(headline, at, "confirms nothing")
            .with_other(armed_at, format!("`{other}` counts at no minute of the year"))
            .with_why("the sensor is fitted, wired and tested, and does nothing")
            .with_help(format!("arm `{other}`, or take `confirmed` out"))
            .with_about(name),
    )
}
