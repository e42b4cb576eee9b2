//! What each zone sets off, and each response by itself.

use super::Test;
use crate::words::{self, time};
use curtilage_facts::{Facts, Tampering, tampering};
use curtilage_model::{Cause, Effect, Model, Response, Zone, ZoneId};

/// What a response does when a zone sets it off, with the times that the controller makes of them.
pub(super) fn effects(
    facts: &Facts<'_, '_>,
    by: Option<ZoneId>,
    response: &Response<'_>,
) -> String {
    let model = facts.model;
    let drives = by.and_then(|zone| facts.registering.get(zone.index())).map(|one| &one.drives);
    let each = response.effects.iter().map(|(effect, line)| match effect {
        Effect::Switch { output, on, hold } => {
            let driven = drives.and_then(|drives| {
                drives.iter().find(|driven| driven.output == *output && driven.line == *line)
            });
            let length = driven.and_then(|driven| driven.length).or(*hold);
            let state = if *on { "on" } else { "off" };
            let length =
                length.map_or_else(|| "for good".to_owned(), |ms| format!("for {}", time(ms)));
            format!("{} {state} {length}", words::output(model, *output))
        }
        other => {
            let (what, how) = words::effect(model, other);
            if how == "yes" { what } else { format!("{what}: {how}") }
        }
    });
    each.collect::<Vec<_>>().join("; ")
}

/// The test of a zone: what it sets off by itself.
pub(super) fn zone(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    let model = facts.model;
    let alone = |response: &&Response<'_>| {
        let named = response.causes.iter().any(|(cause, _)| *cause == Cause::Zone(id));
        named && response.all_within.is_none()
    };
    let answers: Vec<String> = model
        .responses
        .iter()
        .filter(alone)
        .map(|response| {
            let conditions = words::conditions(model, response);
            let effects = effects(facts, Some(id), response);
            if conditions.is_empty() { effects } else { format!("{conditions}: {effects}") }
        })
        .collect();
    let armed = zone.armed.map_or("while it is armed", |(armed, _)| match armed {
        curtilage_model::ScheduleRef::Always => "at any time",
        _ => "while it is armed",
    });
    let never = never_armed(facts, zone);
    let confirm = match (zone.confirmed, zone.tree.confirmed) {
        (Some(other), Some((_, within))) => {
            format!(", within {} of {}", time(within.value), words::zone(model, other))
        }
        _ => String::new(),
    };
    let expect = if never {
        Err("it does not register: it is never armed".to_owned())
    } else if answers.is_empty() {
        Err("registers; nothing answers it".to_owned())
    } else {
        Ok(format!("registers; {}", answers.join("; ")))
    };
    out.push(Test {
        thing: words::titled(zone.name.text, zone.title),
        kind: "function",
        action: if never {
            "activate it".to_owned()
        } else {
            format!("activate it {armed}{confirm}")
        },
        expect,
        ..Test::default()
    });
}

fn never_armed(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> bool {
    zone.armed.is_some_and(|(armed, _)| facts.hours.is_empty(armed) == Some(true))
}

/// Whether a cause is a tampering that nothing on site can tell.
pub(super) fn not_told(model: &Model<'_>, cause: &Cause) -> bool {
    let Cause::Tamper(id) = cause else { return false };
    model.zone(*id).is_some_and(|zone| tampering(model, zone) == Tampering::Nothing)
}

/// Why a response answers at no time, where that is known.
pub(super) fn never(facts: &Facts<'_, '_>, response: &Response<'_>) -> Option<&'static str> {
    let during = response.during.map(|(during, _)| during);
    if during.is_some_and(|during| facts.hours.is_empty(during) == Some(true)) {
        return Some("it answers at no time");
    }
    let zone = |cause: &Cause| match cause {
        Cause::Zone(id) => facts.model.zone(*id),
        _ => None,
    };
    // What is lost or tampered with needs no arming.
    let dead = |cause: &Cause| {
        zone(cause).is_some_and(|zone| {
            let other = zone.confirmed.and_then(|other| facts.model.zone(other));
            never_armed(facts, zone) || other.is_some_and(|other| never_armed(facts, other))
        })
    };
    let never_meets = |cause: &Cause| {
        let hours = match cause {
            // A schedule counts at its end no more.
            Cause::End(schedule) => return Some(*schedule) == during,
            Cause::Start(schedule) => Some(*schedule),
            _ => zone(cause).and_then(|zone| zone.armed).map(|(armed, _)| armed),
        };
        let both = hours.zip(during);
        both.and_then(|(hours, during)| facts.hours.never_meet(hours, during)) == Some(true)
    };
    // A cause that is not known may be one that sets it off.
    if response.causes.is_empty() || response.causes.len() != response.tree.causes.list().len() {
        return None;
    }
    let mut causes = response.causes.iter().map(|(cause, _)| cause);
    let untold = |cause: &Cause| not_told(facts.model, cause);
    let mute = match response.all_within {
        Some(_) => causes.clone().any(untold),
        None => causes.clone().all(untold),
    };
    if mute {
        return Some("no input tells the tampering that it waits for");
    }
    let silent = match response.all_within {
        Some(_) => causes.clone().any(dead) || causes.all(never_meets),
        None => causes.all(|cause| dead(cause) || untold(cause) || never_meets(cause)),
    };
    silent.then(|| apart(response))
}

/// That the hours of a response and of its causes do not meet, in words.
pub(super) fn apart(response: &Response<'_>) -> &'static str {
    let zone = |(cause, _): &(Cause, _)| matches!(cause, Cause::Zone(_));
    if response.causes.iter().all(zone) {
        "what sets it off is not armed while it answers"
    } else {
        "what sets it off does not happen while it answers"
    }
}

/// Every response by itself.
pub(super) fn responses(facts: &Facts<'_, '_>, out: &mut Vec<Test>) {
    let model = facts.model;
    for (index, response) in model.responses.iter().enumerate() {
        let never = never(facts, response);
        // What no input tells cannot be made to happen.
        let happens = |cause: &&Cause| never.is_some() || !not_told(model, cause);
        let causes = response.causes.iter().map(|(cause, _)| cause).filter(happens);
        let causes: Vec<String> = causes.map(|cause| words::cause(model, *cause)).collect();
        let by = response.causes.iter().find_map(|(cause, _)| match cause {
            Cause::Zone(id) => Some(*id),
            _ => None,
        });
        let action = match (response.all_within, causes.as_slice()) {
            (_, []) => "set it off".to_owned(),
            (Some(within), all) => format!("all of {} within {}", all.join(", "), time(within)),
            (None, [one]) => format!("set it off by {one}"),
            (None, [one, ..]) => format!("set it off by {one}, or by another of its causes"),
        };
        let conditions = words::conditions(model, response);
        let action = if conditions.is_empty() {
            action
        } else {
            format!("{action}; it answers {conditions}")
        };
        let expect = if causes.is_empty() {
            Err("not known: what sets it off".to_owned())
        } else if response.effects.is_empty() {
            Err("not known: what it does".to_owned())
        } else if let Some(why) = never {
            Err(format!("nothing sets it off: {why}"))
        } else {
            Ok(effects(facts, by, response))
        };
        out.push(Test {
            thing: words::response(model, index),
            kind: "response",
            action,
            expect,
            ..Test::default()
        });
    }
}
