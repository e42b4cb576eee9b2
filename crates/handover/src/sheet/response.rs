//! What each zone sets off, and each response by itself.

use super::Test;
use super::answers::{answers, counts_after, with_confirming};
use super::seen::seen;
use super::walk::doing;
use crate::words::{self, time};
use curtilage_facts::events::{Together, switched};
use curtilage_facts::{Facts, Tampering, tampering};
use curtilage_model::{Cause, Model, Response, ScheduleRef, Zone, ZoneId};

/// The test of a zone: what it sets off by itself, with what has to confirm it.
pub(super) fn zone(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    let model = facts.model;
    let own = Cause::Zone(id);
    let given = zone.armed.map(|(armed, _)| armed);
    let answers =
        answers(facts, &with_confirming(model, own), &|other| counting(facts, given, other));
    let alone = answers.iter().any(|answer| answer.by == own);
    let seen = seen(facts, &answers, &|_| true, &|hours| Some(hours) == given);
    let armed = zone.armed.map_or("while it is armed", |(armed, _)| match armed {
        ScheduleRef::Always => "at any time",
        _ => "while it is armed",
    });
    let never = never_armed(facts, zone);
    let confirm = match (zone.confirmed, zone.tree.confirmed) {
        (Some(other), Some((_, within))) => {
            format!(", within {} after {}", time(within.value), words::zone(model, other))
        }
        _ => String::new(),
    };
    let both = [Some(own), zone.confirmed.map(Cause::Zone)];
    let after = both.iter().flatten().map(|cause| counts_after(facts, cause)).max();
    let registers = match after.unwrap_or(0) {
        0 => "registers".to_owned(),
        after => format!("registers after {}", time(after)),
    };
    let still = zone.follows.filter(|output| words::never_closes(model, *output));
    let expect = if never {
        Err("it does not register: it is never armed".to_owned())
    } else if let Some(output) = still {
        let output = words::output(model, output);
        Err(format!("it does not register: {output} is forced off"))
    } else if alone {
        Ok(format!("{registers}; {seen}"))
    } else {
        match by_others(model, id) {
            Some(why) => Ok(format!("{registers}; {why}")),
            None => Err("registers; nothing answers it".to_owned()),
        }
    };
    let action = match zone.follows {
        Some(output) => format!("let {} run{confirm}", words::output(model, output)),
        None if never => "activate it".to_owned(),
        None => format!("activate it {armed}{confirm}"),
    };
    out.push(Test {
        thing: words::titled(zone.name.text, zone.title),
        kind: "function",
        action,
        expect,
        ..Test::default()
    });
}

/// What a zone is for that sets off nothing by itself: it confirms others, or is one of several that
/// have to come together.
fn by_others(model: &Model<'_>, id: ZoneId) -> Option<String> {
    let confirmed = model.zones.iter().filter(|other| other.confirmed == Some(id));
    let confirmed = words::list(confirmed.map(|other| other.name.text));
    if !confirmed.is_empty() {
        return Some(format!("it only confirms {confirmed}"));
    }
    let named = |(cause, _): &(Cause, _)| *cause == Cause::Zone(id);
    model.responses.iter().find_map(|response| {
        let within = response.all_within.filter(|_| response.causes.iter().any(named))?;
        let others = response.causes.iter().filter(|cause| !named(cause));
        let others: Vec<String> = others.map(|(cause, _)| words::cause(model, *cause)).collect();
        let others = others.join(", ");
        Some(format!("answered only together with {others}, within {}", time(within)))
    })
}

/// Whether a schedule counts in hours that are given; none when it may or may not.
fn counting(facts: &Facts<'_, '_>, given: Option<ScheduleRef>, other: ScheduleRef) -> Option<bool> {
    let given = given?;
    if given == other {
        return Some(true);
    }
    (facts.hours.never_meet(given, other) == Some(true)).then_some(false)
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
    for (index, response) in facts.model.responses.iter().enumerate() {
        for (action, expect) in of_response(facts, index, response) {
            out.push(Test {
                thing: words::response(facts.model, index),
                kind: "response",
                action: match hours(facts.model, response) {
                    Some(hours) => format!("{action}; it answers only during {hours}"),
                    None => action,
                },
                expect,
                ..Test::default()
            });
        }
    }
}

type Row = (String, Result<String, String>);

fn of_response(facts: &Facts<'_, '_>, index: usize, response: &Response<'_>) -> Vec<Row> {
    let model = facts.model;
    let never = never(facts, response);
    let mut causes: Vec<Cause> = Vec::new();
    for (cause, _) in &response.causes {
        // What no input tells cannot be made to happen.
        if !causes.contains(cause) && (never.is_some() || !not_told(model, cause)) {
            causes.push(*cause);
        }
    }
    let hole = if causes.is_empty() {
        Some("not known: what sets it off".to_owned())
    } else if response.effects.is_empty() {
        Some("not known: what it does".to_owned())
    } else {
        never.map(|why| format!("nothing sets it off: {why}"))
    };
    let expect = |seen: &str| hole.clone().map_or_else(|| Ok(seen.to_owned()), Err);
    let Some(first) = causes.first() else { return vec![("set it off".to_owned(), expect(""))] };
    if let Some(within) = response.all_within {
        let names: Vec<String> = causes.iter().map(|cause| words::cause(model, *cause)).collect();
        let within = time(within);
        let action = format!("all of {}, in this order, within {within}", names.join(", "));
        return vec![(action, expect(&sight(facts, index, response, &causes).0))];
    }
    let seen: Vec<(&Cause, (String, bool))> =
        causes.iter().map(|cause| (cause, sight(facts, index, response, &[*cause]))).collect();
    // One that shows this response alone is better than one that shows others with it.
    let own = seen.iter().find(|(_, (_, alone))| *alone).or(seen.first());
    let (chosen, text) = own.map_or((first, ""), |(cause, (text, _))| (*cause, text));
    let others = || seen.iter().filter(|(cause, _)| *cause != chosen);
    // A zone and a supply have a test of their own, in which the response shows.
    let shown = |cause: &Cause| matches!(cause, Cause::Zone(_) | Cause::SupplyLost(_));
    let mut alike = others().filter(|(cause, _)| hole.is_some() || shown(cause)).peekable();
    let more = alike.peek().is_some() && alike.all(|(_, (other, _))| other == text);
    let more = if more { ", or by another of its causes" } else { "" };
    let mut out = vec![(format!("set it off by {}{more}", named(model, *chosen)), expect(text))];
    let apart = others().filter(|(cause, _)| hole.is_none() && !shown(cause));
    out.extend(apart.map(|(cause, (text, _))| {
        (format!("set it off by {}", named(model, **cause)), expect(text))
    }));
    out
}

/// A cause, with how it is made to happen where its name does not say so.
fn named(model: &Model<'_>, cause: Cause) -> String {
    let name = words::cause(model, cause);
    let follows = |id: ZoneId| model.zone(id).is_some_and(|zone| zone.follows.is_some());
    match (cause, with_confirming(model, cause).as_slice()) {
        (_, [.., before, _]) => format!("{name}, after {}", words::cause(model, *before)),
        (Cause::Tamper(_), _) => format!("{name} ({})", doing(model, cause)),
        (Cause::Zone(id), _) if follows(id) => format!("{name} ({})", doing(model, cause)),
        _ => name,
    }
}

/// The hours of a response in words; none when it has none.
fn hours<'a>(model: &Model<'a>, response: &Response<'_>) -> Option<&'a str> {
    match response.during {
        Some((during, _)) => Some(model.schedule_name(during)),
        None => response.tree.during.as_ref().map(|_| "hours that are not known"),
    }
}

/// What is seen of a response when some causes set it off in its hours, and whether its outputs show
/// it alone.
fn sight(
    facts: &Facts<'_, '_>,
    index: usize,
    response: &Response<'_>,
    causes: &[Cause],
) -> (String, bool) {
    let model = facts.model;
    let mut own: Vec<Cause> = Vec::new();
    for cause in causes.iter().flat_map(|cause| with_confirming(model, *cause)) {
        if !own.contains(&cause) {
            own.push(cause);
        }
    }
    let during = response.during.map(|(during, _)| during);
    let armed = causes.iter().filter_map(|cause| match cause {
        Cause::Zone(id) => model.zone(*id)?.armed,
        _ => None,
    });
    let given: Vec<ScheduleRef> = during.into_iter().chain(armed.map(|(armed, _)| armed)).collect();
    let now = |other| {
        if given.contains(&other) {
            return Some(true);
        }
        let mut each = given.iter().filter_map(|given| counting(facts, Some(*given), other));
        each.find(|counts| !counts)
    };
    let answers = answers(facts, &own, &now);
    let together = Together::of(model);
    let alone = answers.iter().all(|answer| {
        let other = model.responses.get(answer.response).filter(|_| answer.response != index);
        other.is_none_or(|other| !shares(&together, other, response))
    });
    (seen(facts, &answers, &|one| one == index, &|hours| Some(hours) == during), alone)
}

/// Whether two responses switch the same output, or what hangs on one relay.
fn shares(together: &Together, one: &Response<'_>, other: &Response<'_>) -> bool {
    let outputs = other.effects.iter().filter_map(|(effect, _)| switched(effect));
    let moved: Vec<_> = outputs.flat_map(|output| together.with(output)).collect();
    let named = one.effects.iter().filter_map(|(effect, _)| switched(effect));
    named.into_iter().any(|output| moved.contains(&&output))
}
