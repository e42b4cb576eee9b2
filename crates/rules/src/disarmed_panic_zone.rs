//! A panic zone that is not armed at all hours.

use crate::rule::{Family, Findings, Rule};
use crate::words::uncovered;
use curtilage_diagnostic::{Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{ScheduleRef, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "disarmed-panic-zone",
    family: Family::Arming,
    level: Level::Error,
    about: "a panic zone is not armed at all hours",
    page: include_str!("disarmed_panic_zone.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let why = "somebody who presses it then presses in vain";
    for zone in &facts.model.zones {
        find(&RULE, facts, zone, Purpose::Panic, why, out);
    }
}

/// Tells the hours in which a zone of a purpose is not armed.
pub(crate) fn find(
    rule: &'static Rule,
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    purpose: Purpose,
    why: &str,
    out: &mut Findings,
) {
    let Some(said) = zone.tree.purpose.filter(|said| said.value == purpose) else { return };
    let Some((armed, at)) = zone.armed.filter(|(armed, _)| *armed != ScheduleRef::Always) else {
        return;
    };
    let Some(open) = facts.hours.uncovered(armed).filter(|open| !open.is_empty()) else { return };
    let (total, when) = uncovered(&open);
    let name = zone.name.text;
    let headline = if armed == ScheduleRef::Never {
        format!("{} zone `{name}` is never armed", purpose.word())
    } else {
        format!("{} zone `{name}` is deaf {total}", purpose.word())
    };
    let purpose_at = Place::new(zone.name.at.file, said.span);
    let mut finding = rule
        .finds(headline, at, format!("not armed {when}"))
        .with_other(purpose_at, format!("a {} zone has to count at all hours", purpose.word()))
        .with_why(why)
        .with_help("armed  always")
        .with_fix(Fix::one("arm it always", at, "always", false))
        .with_about(name);
    if let ScheduleRef::Of(id) = armed
        && let Some(schedule) = facts.model.schedules.get(id.index())
    {
        finding = finding.with_other(schedule.line, "the hours in which it is armed");
    }
    out.push(finding);
}
