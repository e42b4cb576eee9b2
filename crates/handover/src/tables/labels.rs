//! The labels to print: both ends of every cable, every thing, every fuse.

use crate::table::{Table, cells};
use crate::tables::supplies;
use crate::wires::Wires;
use crate::words;
use curtilage_facts::{Facts, FuseOf};

pub(crate) fn table(facts: &Facts<'_, '_>, wires: &Wires<'_>) -> Table {
    let model = facts.model;
    let mut table = Table::new("labels", "Labels", &["goes on", "first line", "second line"]);
    for wire in &wires.list {
        table.row(cells!["cable, both ends", &wire.tag, format!("{} - {}", wire.from, wire.to)]);
    }
    let at = |file: curtilage_model::Named<'_>, title| words::quoted(model, file.at, title);
    for controller in &model.controllers {
        let title = at(controller.name, controller.tree.title).unwrap_or("");
        table.row(cells!["controller", controller.name.text, title]);
    }
    for supply in &model.supplies {
        let title = at(supply.name, supply.tree.title).unwrap_or("");
        table.row(cells!["supply", supply.name.text, title]);
        if supply.battery.is_some() {
            let second = format!("of {}; fitted on ____-__-__", supply.name.text);
            table.row(cells!["battery", "standby battery, live with the mains off", second]);
        }
    }
    for relay in &model.relays {
        table.row(cells!["relay", relay.name.text, at(relay.name, relay.tree.title).unwrap_or("")]);
    }
    for zone in &model.zones {
        let input = zone.input.map_or("", |input| model.text(input.at));
        let second = zone.title.map_or_else(|| input.to_owned(), |t| format!("{t}, {input}"));
        table.row(cells!["sensor", zone.name.text, second]);
    }
    for output in &model.outputs {
        let through = output.through.map_or_else(String::new, |at| words::contact(model, &at));
        let second = output.title.map_or_else(|| through.clone(), |t| format!("{t}, {through}"));
        table.row(cells!["load", output.name.text, second]);
    }
    for camera in &model.cameras {
        let channel = camera.channel.map_or_else(String::new, |at| model.terminal_name(&at));
        let second = camera.title.map_or_else(|| channel.clone(), |t| format!("{t}, {channel}"));
        table.row(cells!["camera", camera.name.text, second]);
    }
    for power in &facts.power {
        let name = words::supply(model, power.supply);
        for fuse in power.fuses(model) {
            let of = match fuse.of {
                FuseOf::Supply => format!("output of {name}"),
                FuseOf::Branch(index) => supplies::branch(facts, power, index),
            };
            table.row(cells!["fuse", words::amps(fuse.amps), of]);
        }
    }
    table
}
