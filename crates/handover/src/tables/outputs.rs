//! The output schedule: what drives what, through which contact, from where.

use crate::table::{Cell, Table, cells};
use crate::words;
use curtilage_facts::Facts;
use curtilage_facts::events::{Together, moves, rests_on, switched};
use curtilage_model::{Cause, Effect, Feed, Model, OutputId, Response};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let model = facts.model;
    let head = [
        "output",
        "area",
        "drives",
        "through",
        "at rest",
        "fed",
        "fuse",
        "mode",
        "driven by response",
        "longest",
    ];
    let mut table = Table::new("outputs", "Output schedule", &head);
    table.about = "Longest is how long one cause keeps it driven, as the controller makes its on-time and a limit of its own allows.".to_owned();
    let together = Together::of(model);
    for (id, output) in model.outputs_by_id() {
        let loads = match &output.loads {
            Some(loads) => {
                let each = loads.iter().map(|(count, part)| {
                    let name = model.part_name(part.id);
                    if *count == 1 { name.to_owned() } else { format!("{count} of {name}") }
                });
                Cell::from(each.collect::<Vec<_>>().join(", "))
            }
            None => Cell::hole("not known: a part of it"),
        };
        let through = match &output.through {
            Some(contact) => {
                let name = words::contact(model, contact);
                format!("{name} {}", words::side(contact.side)).into()
            }
            None => Cell::hole("not known"),
        };
        let fed = match &output.fed {
            Some(fed) => feed(model, fed).into(),
            None => Cell::hole("not known"),
        };
        let fuse = output.tree.fuse.map_or_else(String::new, |fuse| words::amps(fuse.value));
        let mode = match output.tree.mode.map(|mode| mode.value) {
            Some(Mode::ForcedOff) => Cell::hole("forced off"),
            Some(Mode::ForcedOn) => Cell::hole("forced on"),
            _ => "automatic".into(),
        };
        table.row(cells![
            words::titled(output.name.text, output.title),
            words::area(model, output.area),
            loads,
            through,
            if rests_on(model, id) { "on" } else { "off" },
            fed,
            fuse,
            mode,
            driven_by(model, &together, id),
            longest(facts, &together, id)
        ]);
    }
    table
}

/// `main over 25 m of pair-0.75`
pub(crate) fn feed(model: &Model<'_>, feed: &Feed<'_>) -> String {
    let origin = words::origin(model, &feed.origin);
    match &feed.run {
        Some(run) => format!("{origin} over {}", words::run(model, run, feed.at)),
        None => origin,
    }
}

fn driven_by(model: &Model<'_>, together: &Together, id: OutputId) -> String {
    let responses = model.responses.iter().enumerate();
    let drives = |(_, response): &(usize, &Response<'_>)| {
        response.effects.iter().any(|(effect, _)| together.moves(effect, id))
    };
    let by = responses.filter(drives).map(|(index, _)| words::response(model, index));
    by.collect::<Vec<_>>().join(", ")
}

/// How long one cause keeps an output driven at most, as far as that is known.
fn longest(facts: &Facts<'_, '_>, together: &Together, id: OutputId) -> String {
    let model = facts.model;
    if let Some(stays) = words::forced(model, id) {
        return stays.to_owned();
    }
    let zones = facts.registering.iter().flat_map(|one| &one.drives);
    let own = zones.filter(|driven| together.with(driven.output).contains(&id));
    let by_zones = own.filter_map(|driven| match driven.latched {
        true => Some(None),
        false => driven.length.map(Some),
    });
    let rests_on = rests_on(model, id);
    // No lockout makes longer what a loss, a tampering or an edge of a schedule drives.
    let zone = |(cause, _): &(Cause, Place)| matches!(cause, Cause::Zone(_));
    let others = model.responses.iter().filter(|response| !response.causes.iter().all(zone));
    let effects = others.flat_map(|response| response.effects.iter().map(|(effect, _)| effect));
    let by_others =
        effects.filter(|effect| is_driven(model, together, effect, id)).filter_map(|effect| {
            match effect {
                Effect::Switch { hold, .. } => Some(*hold),
                Effect::Pulse { hold, .. } => Some(Some(*hold)),
                _ => None,
            }
        });
    // What has no end is longer than all that has one.
    let most = by_zones.chain(by_others).max_by_key(|length| length.unwrap_or(u64::MAX));
    let Some(most) = most else { return String::new() };
    let limit = model.output(id).and_then(|output| output.tree.most).filter(|_| !rests_on);
    match (limit, most) {
        (Some(limit), most) if most.is_none_or(|most| most > limit.value) => {
            format!("{}: it runs no longer", words::time(limit.value))
        }
        (_, Some(most)) => words::time(most),
        (_, None) => "until something switches it off".to_owned(),
    }
}

/// Whether an effect takes an output away from its rest.
fn is_driven(model: &Model<'_>, together: &Together, effect: &Effect, id: OutputId) -> bool {
    let named = switched(effect).filter(|_| together.moves(effect, id));
    named.is_some_and(|named| moves(effect, named, rests_on(model, named)) == Some(true))
}
