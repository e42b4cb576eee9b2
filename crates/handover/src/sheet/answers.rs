//! What answers when things are made to happen one straight after the other, and when: with what
//! follows from the outputs that it switches.

use crate::words::never_closes;
use curtilage_facts::Facts;
use curtilage_facts::events::{Together, rests_on, switched};
use curtilage_model::{Cause, Effect, Model, OutputId, Response, ScheduleRef, ZoneId};

/// A response that answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Answer {
    /// The response, by index.
    pub(super) response: usize,
    /// The cause that sets it off: of several that have to come together, the last one.
    pub(super) by: Cause,
    /// ms from what was done to its effects.
    pub(super) at: u64,
}

/// When a cause counts: after so many ms, and of those at one time as the so many-th.
type Moment = (u64, usize);

/// The most rounds from outputs to the zones that follow them.
const MOST_ROUNDS: usize = 50;

/// What answers when some causes happen, in their order, while some schedules count. What is not
/// known to count or not may count.
pub(super) fn answers(
    facts: &Facts<'_, '_>,
    causes: &[Cause],
    now: &dyn Fn(ScheduleRef) -> Option<bool>,
) -> Vec<Answer> {
    let model = facts.model;
    let mut happening: Vec<(Cause, Moment)> = Vec::new();
    for (rank, cause) in causes.iter().enumerate() {
        if counts(model, cause, now) {
            happening.push((*cause, (counts_after(facts, cause), rank)));
        }
    }
    let mut out = Vec::new();
    for _ in 0..MOST_ROUNDS {
        let registering = registering(model, &happening);
        out = answering(model, &registering, now);
        let more = following(facts, &happening, &out, now);
        if more.is_empty() {
            break;
        }
        happening.extend(more);
    }
    out
}

/// Whether a cause counts while some schedules do.
fn counts(model: &Model<'_>, cause: &Cause, now: &dyn Fn(ScheduleRef) -> Option<bool>) -> bool {
    match cause {
        // A schedule counts from its beginning on, and at its end no more.
        Cause::Start(schedule) => now(*schedule) != Some(false),
        Cause::End(schedule) => now(*schedule) != Some(true),
        Cause::Zone(id) => {
            let armed = model.zone(*id).and_then(|zone| zone.armed);
            armed.is_none_or(|(armed, _)| now(armed) != Some(false))
        }
        _ => true,
    }
}

/// ms from an activation until it counts: the entry time, and a settling time that a watch shows.
pub(super) fn counts_after(facts: &Facts<'_, '_>, cause: &Cause) -> u64 {
    let Cause::Zone(id) = cause else { return 0 };
    let entry = facts.model.zone(*id).and_then(|zone| zone.tree.entry);
    let settle = facts.registering.get(id.index()).and_then(|one| one.settle);
    entry.map_or(0, |entry| entry.value) + settle.filter(|settle| *settle >= 1000).unwrap_or(0)
}

/// The causes that set responses off: a zone that has to be confirmed with the later of the two.
fn registering(model: &Model<'_>, happening: &[(Cause, Moment)]) -> Vec<(Cause, Moment)> {
    let moment = |wanted: Cause| {
        happening.iter().find(|(cause, _)| *cause == wanted).map(|(_, moment)| *moment)
    };
    let registers = |(cause, own): &(Cause, Moment)| {
        let zone = match cause {
            Cause::Zone(id) => model.zone(*id),
            _ => None,
        };
        match zone.and_then(|zone| zone.confirmed) {
            Some(other) => Some((*cause, moment(Cause::Zone(other))?.max(*own))),
            None => Some((*cause, *own)),
        }
    };
    happening.iter().filter_map(registers).collect()
}

fn answering(
    model: &Model<'_>,
    registering: &[(Cause, Moment)],
    now: &dyn Fn(ScheduleRef) -> Option<bool>,
) -> Vec<Answer> {
    let mut out = Vec::new();
    for (index, response) in model.responses.iter().enumerate() {
        if response.during.is_some_and(|(during, _)| now(during) == Some(false)) {
            continue;
        }
        let names = |cause: &Cause| response.causes.iter().any(|(named, _)| named == cause);
        let own = registering.iter().filter(|(cause, _)| names(cause));
        let delay = response.tree.after.map_or(0, |after| after.value);
        let answer = |(cause, moment): &(Cause, Moment)| Answer {
            response: index,
            by: *cause,
            at: moment.0 + delay,
        };
        if response.all_within.is_none() {
            out.extend(own.map(answer));
        } else if is_whole(response, |cause| registering.iter().any(|(known, _)| known == cause)) {
            out.extend(own.max_by_key(|(_, moment)| *moment).map(answer));
        }
    }
    out
}

/// Whether all that has to come together does. A cause that is not known does not.
fn is_whole(response: &Response<'_>, comes: impl Fn(&Cause) -> bool) -> bool {
    response.causes.len() == response.tree.causes.list().len()
        && !response.causes.is_empty()
        && response.causes.iter().all(|(cause, _)| comes(cause))
}

/// The zones that follow an output which some answers switch on, and that were not moved before.
fn following(
    facts: &Facts<'_, '_>,
    happening: &[(Cause, Moment)],
    answers: &[Answer],
    now: &dyn Fn(ScheduleRef) -> Option<bool>,
) -> Vec<(Cause, Moment)> {
    let model = facts.model;
    let together = Together::of(model);
    let follows = |(id, zone): (ZoneId, &curtilage_model::Zone<'_>)| {
        let cause = Cause::Zone(id);
        let output = zone.follows.filter(|output| !never_closes(model, *output))?;
        let moved = happening.iter().any(|(known, _)| *known == cause);
        if moved || !counts(model, &cause, now) {
            return None;
        }
        let on = answers.iter().filter(|answer| {
            let response = model.responses.get(answer.response);
            response.is_some_and(|response| closes(model, &together, response, output))
        });
        let first = on.map(|answer| answer.at).min()?;
        Some((cause, (first + counts_after(facts, &cause), usize::MAX)))
    };
    model.zones_by_id().filter_map(follows).collect()
}

/// Whether a response gives an output's load current, on whichever side of its contact it is named.
fn closes(
    model: &Model<'_>,
    together: &Together,
    response: &Response<'_>,
    wanted: OutputId,
) -> bool {
    response.effects.iter().any(|(effect, _)| {
        let named = switched(effect).filter(|_| together.moves(effect, wanted));
        named.is_some_and(|named| match effect {
            Effect::Switch { on, .. } => *on != (rests_on(model, named) != rests_on(model, wanted)),
            _ => true,
        })
    })
}

/// A cause with what has to be activated before it, so that it counts: what confirms it first.
pub(super) fn with_confirming(model: &Model<'_>, cause: Cause) -> Vec<Cause> {
    let mut out = vec![cause];
    let mut next = cause;
    while let Cause::Zone(id) = next {
        let Some(other) = model.zone(id).and_then(|zone| zone.confirmed).map(Cause::Zone) else {
            break;
        };
        // Two zones that confirm each other end here.
        if out.contains(&other) {
            break;
        }
        out.push(other);
        next = other;
    }
    out.reverse();
    out
}
