//! Rings of outputs and zones, asked whether they keep themselves going, and answers in words.

use super::feedback::paths;
use super::guess::one_activation;
use super::paste;
use super::plant::Plant;
use super::questions::{Keeps, KeepsGoing};
use crate::{Known, NotKnown};
use curtilage_events::explorer::{Answer, Bounds, Endless, Explorer, Loop, Reason};
use curtilage_model::{Effect, Model, OutputId, ZoneId};

/// A site is checked while somebody types: a search for rings may take a tenth of a second, and what
/// it has not found out by then is not known.
pub(super) const QUICK: Bounds = Bounds { states: 600, contacts: 6, timers: 24, instants: 20_000 };

pub(super) fn rings(model: &Model<'_>, plant: &Plant) -> Vec<KeepsGoing> {
    let mut explorer = Explorer::new(&plant.system, QUICK);
    let ways = paths(model);
    let mut out = Vec::new();
    for mut ring in explorer.loops() {
        // By name, so that the order of the file means nothing.
        ring.zones.sort_by_key(|id| model.zones.get(id.index()).map(|zone| zone.name.text));
        ring.outputs.sort_by_key(|id| model.outputs.get(id.index()).map(|out| out.name.text));
        let zone = |place: usize| model.zones_by_id().map(|(id, _)| id).nth(place);
        let zones: Vec<ZoneId> = ring.zones.iter().filter_map(|id| zone(id.index())).collect();
        let output = |place: usize| model.outputs_by_id().map(|(id, _)| id).nth(place);
        let outputs: Vec<OutputId> =
            ring.outputs.iter().filter_map(|id| output(id.index())).collect();
        let between =
            outputs.iter().flat_map(|output| zones.iter().map(move |zone| (*output, *zone)));
        let between = between.filter_map(|(output, zone)| {
            let way = ways.iter().find(|way| way.0 == output.index() && way.1 == zone.index())?;
            Some((output, zone, way.2))
        });
        let responses =
            ring.responses.iter().filter_map(|id| plant.responses.get(id.index()).copied());
        let mut ring_of = KeepsGoing {
            paths: between.collect(),
            responses: responses.collect(),
            zones,
            outputs,
            answer: Ok(None),
        };
        ring_of.answer = ask(model, plant, &mut explorer, &ring, &ring_of);
        out.push(ring_of);
    }
    out
}

/// Asks for each zone of a ring, until one keeps going.
fn ask(
    model: &Model<'_>,
    plant: &Plant,
    explorer: &mut Explorer<'_>,
    ring: &Loop,
    ring_of: &KeepsGoing,
) -> Known<Option<Keeps>> {
    if let Some(why) = not_as_built(model, ring_of) {
        return Err(NotKnown::because(why));
    }
    let known = ring.zones.iter().all(|zone| plant.open_into(*zone).is_none());
    if known
        && let Some((zone, found)) = one_activation(model, plant, ring)
        && let Some((_, zone)) = ring.zones.iter().zip(&ring_of.zones).find(|(id, _)| **id == zone)
    {
        let found = keeps(model, plant, *zone, Answer::Yes(found), 0)?;
        return found.map(shown).transpose();
    }
    let mut open = None;
    for (id, zone) in ring.zones.iter().zip(&ring_of.zones) {
        if let Some(why) = plant.open_into(*id) {
            open.get_or_insert(NotKnown::because(why.to_owned()));
            continue;
        }
        let answer = explorer.at_rest(*id);
        match keeps(model, plant, *zone, answer, explorer.states()) {
            Ok(None) => {}
            Ok(Some(keeps)) => return shown(keeps).map(Some),
            Err(why) => {
                // The other zones of the ring depend on as much.
                return Err(open.unwrap_or(why));
            }
        }
    }
    open.map_or(Ok(None), Err)
}

/// A story that cannot be written down and played again proves nothing.
fn shown(keeps: Keeps) -> Known<Keeps> {
    if keeps.story.is_none() && keeps.period.is_some() {
        return Err(NotKnown::because(
            "it may be so, and no story that begins it could be written down",
        ));
    }
    Ok(keeps)
}

/// What the system leaves out, and would matter in a ring.
fn not_as_built(model: &Model<'_>, ring: &KeepsGoing) -> Option<String> {
    let pulses = |output: &&OutputId| {
        let pulse =
            |effect: &Effect| matches!(effect, Effect::Pulse { output: of, .. } if of == *output);
        model
            .responses
            .iter()
            .any(|response| response.effects.iter().any(|(effect, _)| pulse(effect)))
    };
    let name = |output: &OutputId| model.output(*output).map_or("", |output| output.name.text);
    if let Some(output) = ring.outputs.iter().find(pulses) {
        return Some(format!(
            "`{}` pulses, and what single pulses come to is not looked at",
            name(output)
        ));
    }
    let limited = ring
        .outputs
        .iter()
        .find(|output| model.output(**output).is_some_and(|output| output.tree.most.is_some()));
    limited.map(|output| {
        format!(
            "`{}` has a limit of its own, and what comes of that is not looked at",
            name(output)
        )
    })
}

pub(super) fn keeps(
    model: &Model<'_>,
    plant: &Plant,
    zone: ZoneId,
    answer: Answer<Endless>,
    states: usize,
) -> Known<Option<Keeps>> {
    match answer {
        Answer::No(_) => Ok(None),
        Answer::Yes(endless) => {
            let story = paste::block(model, plant, &endless.story, zone, &endless);
            let duty = endless.duty.iter().filter_map(|(output, share)| {
                let id = model.outputs_by_id().map(|(id, _)| id).nth(output.index())?;
                Some((id, share.as_f64()))
            });
            Ok(Some(Keeps {
                zone,
                period: Some(endless.period),
                registrations: endless.registrations,
                duty: duty.collect(),
                story,
                states,
            }))
        }
        Answer::NotKnown { reason: Reason::NeverSettles(story), .. } => Ok(Some(Keeps {
            zone,
            period: None,
            registrations: 0,
            duty: Vec::new(),
            story: paste::unsettled(model, plant, &story, zone),
            states,
        })),
        Answer::NotKnown { reason, states } => {
            let why = format!("{} ({states} sets of states looked at)", because(&reason));
            Err(NotKnown::because(why))
        }
    }
}

pub(super) fn because(reason: &Reason) -> String {
    match reason {
        Reason::TooManyStates { contacts, zones } => format!(
            "too many orders of events are possible: {contacts} sensors and {zones} zones act on it together; name fewer zones in `reaches`, or part the ring"
        ),
        Reason::TooManyContacts(contacts) => format!(
            "{contacts} sensors act on it together; name fewer zones in `reaches`, or part the ring"
        ),
        Reason::TooManyTimers => {
            "a delay is so much longer than a lockout that too many can run at once".to_owned()
        }
        Reason::NeverSettles(_) => "outputs come back without any delay".to_owned(),
        Reason::ArmingChanges => {
            "it depends on when the schedules change, which was not found out".to_owned()
        }
        Reason::ArmedTooShort => "the schedules change before it repeats".to_owned(),
        Reason::NotPlayed => "a candidate was found, and no story that plays it".to_owned(),
        Reason::OutputReachesContact => {
            "an output reaches the sensor, so an activation may be no change".to_owned()
        }
        Reason::SwitchedOff => "another response can switch its outputs off".to_owned(),
        _ => "the question is open".to_owned(),
    }
}
