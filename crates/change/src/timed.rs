//! What another way to count the time of outputs asks for: a controller's `on-time` says how long
//! each of its outputs stays on after a registration, so what it switches for a time is tried again.

use crate::compare::Change;
use crate::figure::Aspect;
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_model::{Cause, Contact, ContactAt, ControllerId, Effect, Model};
use std::collections::{BTreeMap, BTreeSet};

/// The changes of a controller's `on-time`, by each output that stays on for a time and by each cause
/// that lets it.
pub(crate) fn timed(model: &Model<'_>, changes: &[Change]) -> BTreeMap<Thing, BTreeSet<usize>> {
    let mut out: BTreeMap<Thing, BTreeSet<usize>> = BTreeMap::new();
    let says = |change: &Change| change.aspect == Aspect::Said && change.detail.bare() == "on-time";
    let counts = changes.iter().enumerate().filter(|(_, change)| says(change));
    let counts: Vec<(usize, &Thing)> = counts.map(|(index, one)| (index, &one.thing)).collect();
    if counts.is_empty() {
        return out;
    }
    let by = |controller: Option<ControllerId>| {
        let part = controller.and_then(|id| model.controller(id)?.part);
        let part =
            part.map(|part| Thing::new(ThingKind::Part, Words::part(model.part_name(part.id))));
        let counts = counts.iter().filter(move |(_, thing)| part.as_ref() == Some(*thing));
        counts.map(|(index, _)| *index).collect::<Vec<usize>>()
    };
    for response in &model.responses {
        for (effect, _) in &response.effects {
            let (output, controller) = match effect {
                Effect::Switch { output, hold: Some(_), .. } | Effect::Pulse { output, .. } => (
                    Some(*output),
                    model.output(*output).and_then(|one| decides(model, one.through)),
                ),
                Effect::Sound { controller, hold: Some(_) } => (None, Some(*controller)),
                _ => continue,
            };
            let found = by(controller);
            if found.is_empty() {
                continue;
            }
            let output = output.and_then(|id| model.output(id)).map(|one| one.name.text);
            let mut things: Vec<Thing> = Vec::new();
            things.extend(output.map(|name| Thing::new(ThingKind::Output, Words::thing(name))));
            for (words, causes) in crate::sheet::causes(model, response) {
                things.push(Thing::new(ThingKind::Cause, words));
                for cause in causes {
                    if let Cause::Zone(id) | Cause::Tamper(id) = cause
                        && let Some(zone) = model.zone(id)
                    {
                        things.push(Thing::new(ThingKind::Zone, Words::thing(zone.name.text)));
                    }
                }
            }
            for thing in things {
                out.entry(thing).or_default().extend(&found);
            }
        }
    }
    out
}

/// The controller behind a contact, through all relays.
fn decides(model: &Model<'_>, contact: Option<Contact<'_>>) -> Option<ControllerId> {
    let mut next = contact;
    for _ in 0..=model.relays.len() {
        match next?.of {
            ContactAt::Terminal(terminal) => return Some(terminal.controller),
            ContactAt::Relay(id) => next = model.relay(id)?.through,
        }
    }
    None
}
