//! A zone that is never armed, or never for long enough to register.

use crate::rule::{Family, Findings, Rule};
use crate::words::time;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{ScheduleRef, Zone};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;
use std::collections::HashMap;

pub(crate) static RULE: Rule = Rule {
    name: "never-armed",
    family: Family::Arming,
    level: Level::Warning,
    about: "a zone is never armed, or never for long enough to register",
    page: include_str!("never_armed.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let (mut longest, mut apart) = (Longest::new(), HashMap::new());
    for zone in &facts.model.zones {
        out.list.extend(unconfirmed(facts, zone, &mut apart));
        // A panic or tamper zone has a rule of its own; an empty schedule is told where it stands.
        let Some((armed, at)) = zone.armed else { continue };
        let purpose = zone.tree.purpose.map(|said| said.value);
        if matches!(purpose, Some(Purpose::Panic | Purpose::Tamper)) {
            continue;
        }
        match armed {
            ScheduleRef::Always => {}
            ScheduleRef::Never => out.push(never(zone, at)),
            armed => {
                if let Some(finding) = too_short(facts, zone, (armed, at), &mut longest) {
                    out.push(finding);
                }
            }
        }
    }
}

/// A zone that counts only with another one, which is never armed, or at other hours.
fn unconfirmed(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    known: &mut HashMap<Apart, Option<u64>>,
) -> Option<Diagnostic> {
    // A panic zone has a rule of its own; of one that is never armed that is told.
    let purpose = zone.tree.purpose.map(|said| said.value);
    let armed = zone.armed.map(|(armed, _)| armed);
    if purpose == Some(Purpose::Panic) || armed == Some(ScheduleRef::Never) {
        return None;
    }
    let (written, within) = zone.tree.confirmed?;
    let confirming = facts.model.zone(zone.confirmed?)?;
    let (confirms, confirms_at) = confirming.armed?;
    let (name, other) = (zone.name.text, confirming.name.text);
    let at = Place::new(zone.name.at.file, written.span);
    let finds = |which: &str, label: &str| {
        let headline = format!("zone `{name}` counts only with `{other}`, which is {which}");
        RULE.finds(headline, at, label).with_about(name)
    };
    if confirms == ScheduleRef::Never {
        let finding = finds("never armed", "confirms nothing");
        return Some(
            finding
                .with_other(confirms_at, format!("`{other}` counts at no minute of the year"))
                .with_why(WHY)
                .with_help(format!("arm `{other}`, or take `confirmed` out")),
        );
    }
    let (armed, armed_at) = zone.armed?;
    let asked = (armed, confirms, within.value.div_ceil(60_000));
    let (label, why) = match (*known.entry(asked).or_insert_with(|| soon_after(facts, asked)))? {
        0 => ("confirms nothing", WHY.to_owned()),
        _ => {
            let within = time(within.value);
            let why = format!("but for the first {within} after the hours of `{other}`, {WHY}");
            ("confirms next to nothing", why)
        }
    };
    Some(
        finds("armed at other hours", label)
            .with_other(confirms_at, format!("`{other}` counts only then"))
            .with_other(armed_at, format!("`{name}` counts only then"))
            .with_why(why)
            .with_help(format!("arm `{other}` when `{name}` is armed, or take `confirmed` out")),
    )
}

/// The schedules of two zones, and the minutes for which the second one is remembered.
type Apart = (ScheduleRef, ScheduleRef, u64);

/// Minutes of the first schedule so soon after the second that what came then is remembered. None where
/// the two have minutes in common, or most of the hours are so near: somebody may mean just that.
fn soon_after(facts: &Facts<'_, '_>, (armed, confirms, minutes): Apart) -> Option<u64> {
    // What cannot be read may add hours, and a schedule without any is told where it stands.
    let empty = |one| facts.hours.is_empty(one) != Some(false);
    if facts.doubt.anything() || facts.hours.never_meet(armed, confirms) != Some(true) {
        return None;
    }
    let (soon, all) = facts.hours.soon_after(armed, confirms, minutes)?;
    (2 * soon < all && !empty(armed) && !empty(confirms)).then_some(soon)
}

fn never(zone: &Zone<'_>, at: Place) -> Diagnostic {
    let name = zone.name.text;
    RULE.finds(format!("zone `{name}` is never armed"), at, "counts at no minute of the year")
        .with_why(WHY)
        .with_help("armed  SCHEDULE, or take the zone out")
        .with_about(name)
}

const WHY: &str = "the sensor is fitted, wired and tested, and does nothing";

/// The longest stretch of each schedule that was asked about, ms.
type Longest = Vec<(ScheduleRef, Option<u64>)>;

/// A zone whose exit and entry times leave nothing of any arming.
fn too_short(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    (armed, at): (ScheduleRef, Place),
    known: &mut Longest,
) -> Option<Diagnostic> {
    let (exit, entry) = (zone.tree.exit, zone.tree.entry);
    let of = |said: Option<curtilage_syntax::tree::Spanned<u64>>| said.map_or(0, |said| said.value);
    let lost = of(exit).saturating_add(of(entry));
    // What cannot be read may be more of the hours.
    if lost == 0 || facts.doubt.anything() {
        return None;
    }
    let longest = match known.iter().find(|(schedule, _)| *schedule == armed) {
        Some((_, longest)) => *longest,
        None => {
            let longest = facts.hours.covered(armed).and_then(|covered| covered.longest());
            let longest = longest.map(|minutes| minutes * 60_000);
            known.push((armed, longest));
            longest
        }
    }?;
    // An empty schedule is told where it stands.
    if longest == 0 || lost < longest {
        return None;
    }
    let name = zone.name.text;
    let (what, is) = match (of(exit), of(entry)) {
        (_, 0) => ("exit time", "is"),
        (0, _) => ("entry time", "is"),
        _ => ("exit and entry times", "are together"),
    };
    let headline = format!(
        "zone `{name}` is never armed for long enough to register: {} at most, its {what} {is} {}",
        time(longest),
        time(lost)
    );
    let file = zone.name.at.file;
    let mut finding = RULE
        .finds(headline, at, format!("armed for {} at a stretch at most", time(longest)))
        .with_why(WHY)
        .with_about(name);
    for (word, said, label) in [
        ("exit", exit, "does not count before this is over"),
        ("entry", entry, "is disarmed before this is over"),
    ] {
        let Some(said) = said.filter(|said| said.value > 0) else { continue };
        finding = finding.with_other(Place::new(file, said.span), label);
        // A slip of the unit is the likeliest: hours for minutes, minutes for seconds.
        if said.value % 60 == 0 && said.value >= longest {
            finding = finding
                .with_help(format!("{word}  {}    (if the unit is a slip)", time(said.value / 60)));
        }
    }
    Some(finding.with_help(format!("a time of less than {}, or longer hours", time(longest))))
}
