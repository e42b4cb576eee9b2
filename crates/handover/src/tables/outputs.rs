//! The output schedule: what drives what, through which contact, from where.

use crate::table::{Cell, Table, cells};
use crate::words;
use curtilage_facts::Facts;
use curtilage_facts::events::rests_on;
use curtilage_model::{Effect, Feed, Model, OutputId};
use curtilage_syntax::tree::output::Mode;

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
    table.about = "Longest is how long one registration keeps it driven, as the controller makes its on-time.".to_owned();
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
            driven_by(model, id),
            longest(facts, id)
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

/// Whether an effect is done to an output.
pub(crate) fn drives(effect: &Effect, id: OutputId) -> bool {
    matches!(effect, Effect::Switch { output, .. } | Effect::Pulse { output, .. } if *output == id)
}

fn driven_by(model: &Model<'_>, id: OutputId) -> String {
    let responses = model.responses.iter().enumerate();
    let by = responses
        .filter(|(_, response)| response.effects.iter().any(|(effect, _)| drives(effect, id)))
        .map(|(index, _)| words::response(model, index));
    by.collect::<Vec<_>>().join(", ")
}

fn longest(facts: &Facts<'_, '_>, id: OutputId) -> String {
    let all = facts.registering.iter().flat_map(|one| &one.drives);
    let own: Vec<_> = all.filter(|driven| driven.output == id).collect();
    if own.iter().any(|driven| driven.latched) {
        return "until something switches it off".to_owned();
    }
    let most = own.iter().filter_map(|driven| driven.length).max();
    most.map_or_else(String::new, words::time)
}
