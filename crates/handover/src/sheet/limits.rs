//! The limits of zones and of the policy, each as a test.

use super::Test;
use crate::words::{self, hours, percent, time};
use curtilage_facts::{Facts, Lasts};
use curtilage_model::{Zone, ZoneId};

pub(super) fn zone(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    let name = words::titled(zone.name.text, zone.title);
    let mut push = |action: String, expect: String| {
        let thing = name.clone();
        out.push(Test { thing, kind: "limit", action, expect: Ok(expect), ..Test::default() });
    };
    if let Some(lockout) = zone.tree.lockout {
        let lockout = time(lockout.value);
        push(
            format!("activate it twice within {lockout}"),
            format!("registers once: it is deaf for {lockout}"),
        );
    }
    if let Some(limit) = zone.tree.repeats {
        let limit = limit.value;
        push(
            format!("activate it {} times in one arming", u64::from(limit) + 1),
            format!("registers at most {limit} times"),
        );
    }
    if let Some(entry) = zone.tree.entry {
        let entry = time(entry.value);
        push(
            format!("come in by it while armed, and disarm within {entry}"),
            "no alarm, then or later".to_owned(),
        );
        push(
            "come in by it while armed, and do not disarm".to_owned(),
            format!("no alarm within {entry}; an alarm after it"),
        );
    }
    if let Some(exit) = zone.tree.exit {
        let exit = time(exit.value);
        push(format!("arm, and leave by it within {exit}"), format!("no alarm within {exit}"));
    }
    if let (Some(other), Some((_, within))) = (zone.confirmed, zone.tree.confirmed) {
        let (other, within) = (words::zone(facts.model, other), time(within.value));
        push(
            format!("activate it alone, {other} not within {within}"),
            "does not register".to_owned(),
        );
    }
    let settle = facts.registering.get(id.index()).and_then(|one| one.settle);
    if let Some(settle) = settle.filter(|settle| *settle >= 100) {
        let settle = time(settle);
        push(format!("activate it for clearly less than {settle}"), "does not register".to_owned());
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
        for output in &model.outputs {
            let sounds =
                output.loads.iter().flatten().any(|(_, part)| part.sheet.loudness.is_some());
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
