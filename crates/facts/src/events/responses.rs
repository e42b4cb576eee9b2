//! Responses of the model as responses of the engine.

use super::making::{Making, ms};
use super::together::{Together, switched};
use crate::{Known, NotKnown};
use curtilage_events::system::{self, Builder, Causes, OnTime, OutputId, Windows, ZoneId};
use curtilage_model::{Cause, Effect, Response};

/// Adds every response that has a cause. Gives the model's number of each, and the effects that
/// are notes.
pub(super) fn add(
    made: &Making<'_, '_>,
    builder: &mut Builder,
    causes: &[Cause],
    zones: &[ZoneId],
    outputs: &[OutputId],
    together: &Together,
    rests_on: &[bool],
) -> Known<(Vec<usize>, Vec<Effect>)> {
    let mut list = Vec::new();
    let mut notes = Vec::new();
    for (index, response) in made.model.responses.iter().enumerate() {
        let mut from: Vec<ZoneId> = Vec::new();
        let mut missing = false;
        for (cause, _) in &response.causes {
            let place = causes.iter().position(|other| other == cause);
            match place.and_then(|place| zones.get(place)) {
                Some(zone) if !from.contains(zone) => from.push(*zone),
                Some(_) => {}
                None => missing = true,
            }
        }
        // All of them have to come, and one of them is left out: it never answers.
        if from.is_empty() || (missing && response.all_within.is_some()) {
            continue;
        }
        let during = match response.during {
            None if response.tree.during.is_none() => Some(Windows::Always),
            None => None,
            Some((schedule, _)) => made.windows(schedule),
        };
        let during =
            during.ok_or_else(|| NotKnown::because("the schedule of a response is not known"))?;
        let own: Vec<_> = response.effects.iter().map(|(effect, _)| effect).collect();
        let mut effects: Vec<system::Effect> = own
            .iter()
            .filter_map(|effect| self::effect(effect, outputs, rests_on, &mut notes))
            .collect();
        // What is said twice of one relay, on both of its sides, is done once.
        for moved in own.iter().flat_map(|effect| moved(effect, outputs, together, rests_on)) {
            if !effects.contains(&moved) {
                effects.push(moved);
            }
        }
        builder.response(system::Response {
            causes: causes_of(response, from),
            during,
            delay: ms(response.tree.after.map_or(0, |after| after.value)),
            effects,
        });
        list.push(index);
    }
    Ok((list, notes))
}

fn causes_of(response: &Response<'_>, zones: Vec<ZoneId>) -> Causes {
    match response.all_within {
        Some(within) => Causes::All { zones, within: ms(within) },
        None => Causes::Any(zones),
    }
}

/// What an effect does to the other outputs that hang on the relay of its own.
fn moved(
    effect: &Effect,
    outputs: &[OutputId],
    together: &Together,
    rests_on: &[bool],
) -> Vec<system::Effect> {
    let others = switched(effect).map_or(&[][..], |output| together.with(output));
    let [_, others @ ..] = others else { return Vec::new() };
    let Some(own) = self::effect(effect, outputs, rests_on, &mut Vec::new()) else {
        return Vec::new();
    };
    let done_to = |output: OutputId| match own {
        system::Effect::On { hold, on_time, .. } => {
            Some(system::Effect::On { output, hold, on_time })
        }
        system::Effect::Latch { .. } => Some(system::Effect::Latch { output }),
        system::Effect::Off { hold, .. } => Some(system::Effect::Off { output, hold }),
        system::Effect::Note { .. } => None,
    };
    let others = others.iter().filter_map(|other| outputs.get(other.index()).copied());
    others.filter_map(done_to).collect()
}

fn effect(
    effect: &Effect,
    outputs: &[OutputId],
    rests_on: &[bool],
    notes: &mut Vec<Effect>,
) -> Option<system::Effect> {
    let known = |output: &curtilage_model::OutputId| {
        let turned = rests_on.get(output.index()).copied().unwrap_or(false);
        outputs.get(output.index()).map(|output| (*output, turned))
    };
    Some(match effect {
        // The engine's output is the relay: on the break side it is off while the load is on.
        Effect::Switch { output, on, hold } => {
            let (output, turned) = known(output)?;
            match (*on != turned, hold) {
                (true, Some(hold)) => system::Effect::On { output, hold: ms(*hold), on_time: None },
                (true, None) => system::Effect::Latch { output },
                (false, hold) => system::Effect::Off { output, hold: ms(hold.unwrap_or(0)) },
            }
        }
        // One that pulses counts as on from its first pulse to its last.
        Effect::Pulse { output, hold, .. } => {
            let (output, _) = known(output)?;
            system::Effect::On { output, hold: ms(*hold), on_time: Some(OnTime::HOLD) }
        }
        other => {
            notes.push(other.clone());
            let note = u32::try_from(notes.len() - 1).ok()?;
            system::Effect::Note { note }
        }
    })
}
