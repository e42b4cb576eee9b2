//! The limits of zones and of the policy, each as a test.

use super::Test;
use crate::words::{self, hours, percent, time};
use curtilage_facts::{Facts, Lasts};
use curtilage_model::{ScheduleRef, Zone, ZoneId};
use curtilage_syntax::tree::part::ActiveFor;

pub(super) fn zone(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    let name = words::titled(zone.name.text, zone.title);
    let mut push = |action: String, expect: String| {
        let thing = name.clone();
        out.push(Test { thing, kind: "limit", action, expect: Ok(expect), ..Test::default() });
    };
    let model = facts.model;
    // An output moves it, and nobody on site.
    if zone.follows.is_some() {
        return;
    }
    let registering = facts.registering.get(id.index());
    let confirmed = zone.confirmed.zip(zone.tree.confirmed);
    let after = confirmed.map(|(other, (_, within))| {
        format!("within {} after {}", time(within.value), words::zone(model, other))
    });
    let with = after.as_ref().map_or_else(String::new, |after| format!("{after}, "));
    // What was used up by the tests before is there again in the next arming.
    let ends = zone.armed.is_none_or(|(armed, _)| armed != ScheduleRef::Always);
    let anew = if zone.tree.repeats.is_some() && ends { "disarm and arm again; then " } else { "" };
    if let Some(lockout) = zone.tree.lockout.filter(|lockout| pulse(zone).longest < lockout.value) {
        let lockout = time(lockout.value);
        let once = if zone.tree.repeats.is_some() && !ends { "at most once" } else { "once" };
        push(
            format!("{anew}{with}activate it twice within {lockout}"),
            format!("registers {once}: it is deaf for {lockout}"),
        );
    }
    if let Some(limit) = zone.tree.repeats {
        let limit = limit.value;
        let each = after.as_ref().map_or_else(String::new, |after| format!(", each {after}"));
        let afterwards = if ends { "; disarm and arm again afterwards" } else { "" };
        push(
            format!(
                "{anew}activate it {} in one arming{each}{afterwards}",
                often(u64::from(limit) + 1)
            ),
            format!("registers {} at most", often(limit.into())),
        );
    }
    if let Some(entry) = zone.tree.entry {
        let entry = time(entry.value);
        // What confirms it may be an alarm of its own.
        let (never, late) = match confirmed {
            None => (
                "no alarm, then or later".to_owned(),
                format!("no alarm within {entry}; an alarm after it"),
            ),
            Some(_) => (
                "does not register, then or later".to_owned(),
                format!("registers after {entry}, and not before"),
            ),
        };
        push(format!("{with}come in by it while armed, and disarm within {entry}"), never);
        push(format!("{with}come in by it while armed, and do not disarm"), late);
    }
    if let Some(exit) = zone.tree.exit {
        let exit = time(exit.value);
        push(format!("arm, and leave by it within {exit}"), format!("no alarm within {exit}"));
    }
    if let Some((other, (_, within))) = confirmed {
        let (other, within) = (words::zone(model, other), time(within.value));
        push(
            format!("activate it alone, {other} not within {within}"),
            "does not register".to_owned(),
        );
    }
    let settle = registering.and_then(|one| one.settle);
    let can = |settle: &u64| *settle >= 100 && pulse(zone).shortest < *settle;
    if let Some(settle) = settle.filter(can) {
        let settle = time(settle);
        push(format!("activate it for clearly less than {settle}"), "does not register".to_owned());
    }
}

fn often(times: u64) -> String {
    match times {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        times => format!("{times} times"),
    }
}

/// An activation of a sensor that is made as short as it can be, ms: at least and at most.
struct Pulse {
    shortest: u64,
    longest: u64,
}

fn pulse(zone: &Zone<'_>) -> Pulse {
    let sheet = zone.sensor.map(|sensor| sensor.sheet);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a time is whole, positive and below 2^53 ms"
    )]
    let whole = |time: f64| time as u64;
    match sheet.and_then(|sheet| sheet.active).map(|active| active.value) {
        Some(ActiveFor::Time(range)) => {
            Pulse { shortest: whole(range.low), longest: whole(range.high) }
        }
        Some(ActiveFor::WhileHeld) => {
            let held = sheet.and_then(|sheet| sheet.held).map_or(0, |held| whole(held.value));
            Pulse { shortest: held, longest: held }
        }
        Some(ActiveFor::UntilRestored) | None => Pulse { shortest: 0, longest: 0 },
    }
}

/// The limits of the policy, each held against what was worked out.
pub(super) fn policy(facts: &Facts<'_, '_>, out: &mut Vec<Test>) {
    let model = facts.model;
    let Some(policy) = &model.policy else { return };
    let tree = policy.tree;
    let mut push = |thing: &str, action: String, expect: Result<String, String>| {
        let thing = thing.to_owned();
        out.push(Test { thing, kind: "limit", action, expect, ..Test::default() });
    };
    for standby in facts.standby.iter().flatten() {
        let name = words::supply(model, standby.supply);
        if let Some((wanted, _)) = standby.standby {
            let alarm = standby.alarm_time.map_or(0.0, |(alarm, _)| alarm);
            let then = if alarm > 0.0 {
                format!(", then {} of alarm", hours(alarm))
            } else {
                String::new()
            };
            let expect = match &standby.lasts {
                Ok(Lasts::StandbyOnly(lasts)) => {
                    Err(format!("worked out, old and cold: {} of standby only", hours(*lasts)))
                }
                Ok(Lasts::Alarm(lasts)) => {
                    Ok(format!("still works; worked out, old and cold: {} of alarm", hours(*lasts)))
                }
                Ok(Lasts::ForEver) => Ok("still works".to_owned()),
                Err(why) => Err(why.to_string()),
            };
            push(
                name,
                format!("mains off with the battery full: {} of standby{then}", hours(wanted)),
                expect,
            );
        }
        if let Some((wanted, _)) = standby.recharge_in {
            let expect = match &standby.recharge {
                Ok(lasts) => Ok(format!(
                    "full again within {}; worked out: {}",
                    hours(wanted),
                    hours(*lasts)
                )),
                Err(why) => Err(why.to_string()),
            };
            push(name, "recharge the battery from flat".to_owned(), expect);
        }
    }
    if let Some(spare) = tree.spare {
        for power in &facts.power {
            let name = words::supply(model, power.supply);
            let Some((rated, _)) = power.rated else { continue };
            let most = rated * (1.0 - spare.value.value);
            let (share, most) = (percent(spare.value.value), words::amps(most));
            push(
                name,
                "measure its current with all on that can be on together".to_owned(),
                Ok(format!("at most {most}: {share} of {} stays unused", words::amps(rated))),
            );
        }
    }
    if let Some(limit) = tree.sounder_run {
        for (id, output) in model.outputs_by_id() {
            let sounds = words::forced(model, id).is_none()
                && output.loads.iter().flatten().any(|(_, part)| part.sheet.loudness.is_some());
            if sounds {
                let limit = time(limit.value.value);
                push(
                    output.name.text,
                    "set it off and let it run out".to_owned(),
                    Ok(format!("silent after at most {limit}")),
                );
            }
        }
    }
    if let Some(limit) = tree.retention {
        for store in &facts.stores {
            let plan = model.recordings.get(store.plan).and_then(|plan| plan.controller);
            let name = plan.map_or("", |id| words::controller(model, id));
            let expect = match store.days(0.0) {
                Some(days) => Ok(format!(
                    "at least {} old; worked out, events not counted: {} d",
                    time(limit.value.value),
                    curtilage_units::significant(days, 3)
                )),
                None => Err("how long the store lasts is not known".to_owned()),
            };
            push(name, "look for the oldest footage once the store is full".to_owned(), expect);
        }
    }
}
