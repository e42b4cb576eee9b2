//! The bill of materials: parts by kind, end resistors, fuses, and cable with what is wasted of it.

use crate::table::{Cell, Table, cells};
use crate::wires::Wires;
use crate::words::{self, amps, metres, ohms, percent};
use curtilage_facts::{Facts, Loop};
use curtilage_model::{Model, PartId};
use std::collections::BTreeMap;

/// Parts, end resistors and fuses.
pub(crate) fn table(facts: &Facts<'_, '_>, wires: &Wires<'_>) -> Table {
    let model = facts.model;
    let mut table =
        Table::new("materials", "Bill of materials", &["kind", "part", "title", "count"]);
    let mut counts: BTreeMap<PartId, u64> = BTreeMap::new();
    let mut unknown: Vec<&str> = Vec::new();
    let mut add = |part: Option<PartId>, count: u32, name| match part {
        Some(part) => *counts.entry(part).or_default() += u64::from(count),
        None => unknown.push(name),
    };
    for zone in &model.zones {
        add(zone.sensor.map(|part| part.id), 1, zone.name.text);
    }
    for controller in &model.controllers {
        add(controller.part.map(|part| part.id), 1, controller.name.text);
    }
    for supply in &model.supplies {
        add(supply.part.map(|part| part.id), 1, supply.name.text);
        if let Some((count, battery)) = supply.battery {
            add(Some(battery.id), count, supply.name.text);
        }
    }
    for relay in &model.relays {
        add(relay.part.map(|part| part.id), 1, relay.name.text);
    }
    for output in &model.outputs {
        match &output.loads {
            Some(loads) => loads.iter().for_each(|(count, part)| {
                add(Some(part.id), *count, output.name.text);
            }),
            None => add(None, 0, output.name.text),
        }
    }
    for camera in &model.cameras {
        // A camera need not have a part.
        if camera.tree.part.is_some() {
            add(camera.part.map(|part| part.id), 1, camera.name.text);
        }
    }
    stores(model, &mut counts);
    for (part, count) in counts {
        let Some(known) = model.parts.get(part.index()) else { continue };
        let title = known.title.unwrap_or("");
        table.row(cells![known.body.word(), known.name.text, title, count.to_string()]);
    }
    table.rows.sort_by_key(|row| key(row));
    resistors(facts, &mut table);
    fuses(facts, &mut table);
    let joints: u64 = wires.list.iter().map(|wire| u64::from(wire.joints)).sum();
    if joints > 0 {
        table.row(cells!["joint", "crimp or terminal", "", joints.to_string()]);
    }
    let fitted = model.outputs.iter().filter(|output| output.tree.suppressed.is_some()).count();
    if fitted > 0 {
        let what = "diode, or another suppression, at the load";
        table.row(cells!["suppression", what, "", fitted.to_string()]);
    }
    for name in unknown {
        table.note(Cell::hole(format!("the part of {name} is not known and not counted")));
    }
    let bare = model.cameras.iter().filter(|camera| camera.tree.part.is_none());
    for camera in bare {
        table.note(format!("{} names no part and is not counted", camera.name.text));
    }
    table
}

/// Rows are ordered by kind, then by name.
fn key(row: &[Cell]) -> (String, String) {
    let text = |at: usize| row.get(at).map_or_else(String::new, |cell| cell.text.clone());
    (text(0), text(1))
}

fn stores(model: &Model<'_>, counts: &mut BTreeMap<PartId, u64>) {
    for plan in &model.recordings {
        let Some(name) = plan.tree.store_part else { continue };
        let name = model.text(curtilage_text::Place::new(plan.line.file, name.span));
        let index = model.parts.iter().position(|part| part.name.text == name);
        if let Some(part) = index.and_then(|index| model.part_id(index)) {
            *counts.entry(part).or_default() += 1;
        }
    }
}

/// End-of-line resistors by value and tolerance.
fn resistors(facts: &Facts<'_, '_>, table: &mut Table) {
    let mut counts: Vec<(f64, Option<f64>, u64)> = Vec::new();
    let all = facts.loops.iter().flatten().flat_map(Loop::resistors);
    for resistor in all {
        let same = counts
            .iter_mut()
            .find(|(ohm, tolerance, _)| *ohm == resistor.ohm && *tolerance == resistor.tolerance);
        match same {
            Some((_, _, count)) => *count += 1,
            None => counts.push((resistor.ohm, resistor.tolerance, 1)),
        }
    }
    counts.sort_by(|a, b| {
        let tolerance = |one: Option<f64>| one.unwrap_or(f64::INFINITY);
        a.0.total_cmp(&b.0).then(tolerance(a.1).total_cmp(&tolerance(b.1)))
    });
    for (ohm, tolerance, count) in counts {
        let tolerance = tolerance.map_or_else(
            || "no tolerance given".to_owned(),
            |tolerance| format!("+-{}", percent(tolerance)),
        );
        table.row(cells!["end resistor", ohms(ohm), tolerance, count.to_string()]);
    }
    let unknown = facts.loops.iter().filter(|seen| seen.is_err()).count();
    if unknown > 0 {
        let (zones, whose) =
            if unknown == 1 { ("zone", "its loop is") } else { ("zones", "their loops are") };
        table.note(Cell::hole(format!(
            "end resistors of {unknown} {zones} are not counted: {whose} not known"
        )));
    }
}

fn fuses(facts: &Facts<'_, '_>, table: &mut Table) {
    let mut all: Vec<f64> = facts
        .power
        .iter()
        .flat_map(|power| power.fuses(facts.model))
        .map(|fuse| fuse.amps)
        .collect();
    all.sort_by(f64::total_cmp);
    for same in all.chunk_by(|a, b| a == b) {
        let rating = same.first().map_or_else(String::new, |fuse| amps(*fuse));
        table.row(cells!["fuse", rating, "", same.len().to_string()]);
    }
}

/// Cable by type, with the waste allowance of the policy.
pub(crate) fn cables(facts: &Facts<'_, '_>, wires: &Wires<'_>) -> Table {
    let head = ["cable", "lengths", "as laid", "waste", "to buy"];
    let mut table = Table::new("cable-totals", "Cable to buy", &head);
    let waste = facts.model.policy.as_ref().and_then(|policy| policy.tree.waste);
    let mut totals: BTreeMap<&str, (u64, f64)> = BTreeMap::new();
    for wire in &wires.list {
        let total = totals.entry(wire.kind).or_default();
        total.0 += 1;
        total.1 += wire.length;
    }
    let share = waste.map_or(0.0, |waste| waste.value.value);
    for (kind, (count, length)) in totals {
        // Rounded up to a whole metre; a sum that is whole but for the last bit is whole.
        let buy = (length * (1.0 + share) - 1e-6).ceil();
        table.row(cells![
            kind,
            count.to_string(),
            metres(length),
            percent(share),
            metres_whole(buy)
        ]);
    }
    match waste {
        Some(waste) => table.note(format!(
            "waste allowance {} ({})",
            percent(share),
            words::source(facts.model, &waste)
        )),
        None => table.note(Cell::hole("the policy gives no `waste`: nothing is added")),
    }
    table
}

/// Whole metres, however many.
fn metres_whole(value: f64) -> String {
    format!("{value:.0} m")
}
