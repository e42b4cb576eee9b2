//! A contact that stays open fills the store before footage may go.

use crate::endless_retrigger::is_endless;
use crate::retention_too_short::{step, store_at, wanted};
use crate::rule::{Family, Findings, Rule};
use crate::words::{bytes, number, numbers_apart};
use curtilage_circuit::limit::below;
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, WeekSet};
use curtilage_model::{CameraId, Recording, ScheduleRef, Zone};
use curtilage_syntax::tree::recording::Class;

pub(crate) static RULE: Rule = Rule {
    name: "held-open-fills-store",
    family: Family::Recording,
    level: Level::Warning,
    about: "a contact that stays active fills the store before footage may go",
    page: include_str!("held_open_fills_store.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for (zone, registering) in model.zones.iter().zip(&facts.registering) {
        if !is_endless(facts, zone, registering) {
            continue;
        }
        for store in &facts.stores {
            let Some(plan) = model.recordings.get(store.plan) else { continue };
            let Some(more) =
                registering.footage_a_day_kept(|camera| kept_share(facts, plan, zone, camera))
            else {
                continue;
            };
            // Where nothing else is kept, the store lasts for ever without the contact.
            let before = store.days(0.0);
            let nothing_else = store.a_day == Some(0.0);
            let Some(after) = store.days(more).filter(|_| before.is_some() || nothing_else) else {
                continue;
            };
            let Some((wanted, wanted_at)) = wanted(facts, plan) else { continue };
            // What is too short without the contact is told as such.
            if before.is_some_and(|before| below(before, wanted)) || !below(after, wanted) {
                continue;
            }
            let name = zone.name.text;
            let (short, asked) = numbers_apart(after, wanted);
            let instead =
                before.map_or(String::new(), |before| format!(" instead of {} d", number(before)));
            let headline = format!(
                "`{name}` left active makes the store last {short} d{instead}; footage has to last {asked} d",
            );
            let label =
                format!("{} a day{}", bytes(more), if before.is_some() { " more" } else { "" });
            let mut finding = RULE
                .finds(headline, store_at(plan), label)
                .with_other(zone.name.at, "registers, and records, again and again")
                .with_why("one door left open writes over the footage of the whole site")
                .with_help(match zone.armed {
                    // Always armed is one arming: a limit would make the zone deaf for good.
                    Some((ScheduleRef::Always, _)) => {
                        "a controller that repeats `once an activation`".to_owned()
                    }
                    _ => format!("repeats  at most 3 per arming    (in `{name}`)"),
                })
                .with_working(before.map(|before| step(facts, store, before)))
                .with_about(name);
            if wanted_at != store_at(plan) {
                finding = finding.with_other(wanted_at, format!("at least {} d", number(wanted)));
            }
            out.push(finding);
        }
    }
}

/// The share of a zone's armed hours in which a plan keeps events of a camera beside what it keeps of it
/// anyway; 0 where it keeps none, or where that is not known.
pub(crate) fn kept_share(
    facts: &Facts<'_, '_>,
    plan: &Recording<'_>,
    zone: &Zone<'_>,
    camera: CameraId,
) -> f64 {
    let of = |class: Class| {
        let lines = plan.keeps.iter();
        lines.filter(move |keep| keep.tree.class.value == class && keep.cameras.contains(&camera))
    };
    // What is kept all the time has its events in it already.
    if of(Class::Continuous).next().is_some() {
        return 0.0;
    }
    let armed = zone.armed.and_then(|(armed, _)| facts.hours.ordinary(armed));
    let Some(armed) = armed.filter(|armed| !armed.is_empty()) else { return 0.0 };
    let mut kept = WeekSet::EMPTY;
    for keep in of(Class::Events) {
        let Some(during) = keep.during.and_then(|during| facts.hours.ordinary(during)) else {
            return 0.0;
        };
        kept = kept.union(during);
    }
    f64::from(kept.intersection(armed).minutes()) / f64::from(armed.minutes())
}
