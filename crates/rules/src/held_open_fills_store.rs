//! A contact that stays open fills the store before footage may go.

use crate::endless_retrigger::is_endless;
use crate::retention_too_short::{step, store_at, wanted};
use crate::rule::{Family, Findings, Rule};
use crate::words::{bytes, number, numbers_apart};
use curtilage_circuit::limit::below;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{CameraId, ScheduleRef};
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
            // What is kept all the time has its events in it already.
            let kept = plan.keeps.iter().filter(|keep| keep.tree.class.value == Class::Continuous);
            let continuous: Vec<CameraId> = kept.flat_map(|keep| keep.cameras.clone()).collect();
            let on_plan = |camera| {
                model
                    .camera(camera)
                    .and_then(|camera| camera.channel)
                    .map(|channel| channel.controller)
                    == plan.controller
                    && !continuous.contains(&camera)
            };
            let Some(more) = registering.footage_a_day_of(on_plan) else { continue };
            let (Some(before), Some(after)) = (store.days(0.0), store.days(more)) else { continue };
            let Some((wanted, wanted_at)) = wanted(facts, plan) else { continue };
            // What is too short without the contact is told as such.
            if below(before, wanted) || !below(after, wanted) {
                continue;
            }
            let name = zone.name.text;
            let (short, asked) = numbers_apart(after, wanted);
            let headline = format!(
                "`{name}` left active makes the store last {short} d instead of {} d; footage has to last {asked} d",
                number(before),
            );
            let label = format!("{} a day more", bytes(more));
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
                .with_working([step(facts, store, before)])
                .with_about(name);
            if wanted_at != store_at(plan) {
                finding = finding.with_other(wanted_at, format!("at least {} d", number(wanted)));
            }
            out.push(finding);
        }
    }
}
