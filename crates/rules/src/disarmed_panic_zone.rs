//! A panic zone that is not armed at all hours.

use crate::rule::{Family, Findings, Rule};
use crate::words::{times, uncovered};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::{Facts, Registering};
use curtilage_model::{ScheduleRef, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "disarmed-panic-zone",
    family: Family::Arming,
    level: Level::Error,
    about: "a panic zone does not count at all hours",
    page: include_str!("disarmed_panic_zone.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let why = "somebody who presses it then presses in vain";
    for (zone, registering) in facts.model.zones.iter().zip(&facts.registering) {
        find(&RULE, facts, zone, Purpose::Panic, why, out);
        if zone.tree.purpose.is_some_and(|said| said.value == Purpose::Panic) {
            out.list.extend(unconfirmed(facts, zone, why));
            out.list.extend(used_up(facts, zone, registering, why));
        }
    }
}

/// A panic zone that counts only with another one, at hours at which that one is not armed.
fn unconfirmed(facts: &Facts<'_, '_>, zone: &Zone<'_>, why: &str) -> Option<Diagnostic> {
    let (written, _) = zone.tree.confirmed?;
    let other = facts.model.zone(zone.confirmed?)?;
    let (armed, armed_at) = other.armed?;
    let open = facts.hours.uncovered(armed).filter(|open| !open.is_empty())?;
    let (total, when) = uncovered(&open);
    let (name, other) = (zone.name.text, other.name.text);
    let at = Place::new(zone.name.at.file, written.span);
    let headline = format!("panic zone `{name}` counts only with `{other}`, which is deaf {total}");
    Some(
        RULE.finds(headline, at, format!("not armed {when}"))
            .with_other(armed_at, format!("the hours in which `{other}` is armed"))
            .with_why(why)
            .with_help(format!(
                "take `confirmed` out: a call for help is not to wait for `{other}`"
            ))
            .with_about(name),
    )
}

/// A panic zone that may register so often in one arming, and is never armed anew.
fn used_up(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    registering: &Registering,
    why: &str,
) -> Option<Diagnostic> {
    let (limit, (armed, armed_at)) = (zone.tree.repeats?, zone.armed?);
    // What cannot be read may leave an hour out.
    if facts.doubt.anything() || !facts.hours.uncovered(armed)?.is_empty() {
        return None;
    }
    let name = zone.name.text;
    let times = times(u64::from(limit.value));
    let headline = format!("panic zone `{name}` is deaf for good when it has registered {times}");
    let at = Place::new(zone.name.at.file, limit.span);
    let mut finding = RULE
        .finds(headline, at, "in one arming, and it is never armed anew")
        .with_other(armed_at, "one arming that never ends")
        .with_why(why)
        .with_help("take `repeats` out")
        .with_about(name);
    if registering.level == Some(true) {
        let help = match zone.tree.registers {
            Some(_) => "registers  once an activation    (so that a held button does not go on)",
            None => {
                "a controller that repeats `once an activation`, if a held button is not to go on"
            }
        };
        finding = finding.with_help(help);
    }
    Some(finding)
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
        .with_about(name);
    // An arming that never ends would use up what a panic zone may register in one: see `used_up`.
    finding = match zone.tree.repeats.filter(|_| purpose == Purpose::Panic) {
        Some(limit) => finding.with_help(format!(
            "armed  always, and take `repeats` out: it would be deaf for good when it has registered {}",
            times(u64::from(limit.value))
        )),
        None => finding
            .with_help("armed  always")
            .with_fix(Fix::one("arm it always", at, "always", false)),
    };
    if let ScheduleRef::Of(id) = armed
        && let Some(schedule) = facts.model.schedules.get(id.index())
    {
        finding = finding.with_other(schedule.line, "the hours in which it is armed");
    }
    out.push(finding);
}
