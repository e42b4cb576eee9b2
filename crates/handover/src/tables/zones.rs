//! The zone schedule.

use crate::table::{Cell, Table, cells};
use crate::words;
use curtilage_facts::{Facts, Registering};
use curtilage_model::{Model, Zone};
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_text::Place;

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let head = [
        "zone",
        "purpose",
        "area",
        "sensor",
        "lands on",
        "end of line",
        "armed",
        "registers",
        "lockout",
        "further",
    ];
    let mut table = Table::new("zones", "Zone schedule", &head);
    for (zone, registering) in facts.model.zones.iter().zip(&facts.registering) {
        row(facts.model, zone, registering, &mut table);
    }
    table
}

fn row(model: &Model<'_>, zone: &Zone<'_>, registering: &Registering, table: &mut Table) {
    let input = match zone.input.and_then(|input| input.terminal) {
        Some(terminal) => Cell::from(model.terminal_name(&terminal)),
        None => Cell::hole("not known: where it lands"),
    };
    let armed = match zone.armed {
        Some((schedule, _)) => Cell::from(model.schedule_name(schedule)),
        None => Cell::hole("not known: when it counts"),
    };
    let registers = match registering.level {
        Some(true) => Cell::from("again while it stays active"),
        Some(false) => Cell::from("once an activation"),
        None => Cell::hole("not known: how it repeats"),
    };
    table.row(cells![
        words::titled(zone.name.text, zone.title),
        zone.tree.purpose.map_or("", |purpose| purpose.value.word()),
        words::area(model, zone.area),
        sensor(model, zone),
        input,
        ends(model, zone),
        armed,
        registers,
        zone.tree.lockout.map_or_else(|| "none".to_owned(), |time| words::time(time.value)),
        further(model, zone, registering),
    ]);
}

/// The sensor's part and its rest state, in both ways of saying it.
pub(crate) fn sensor(model: &Model<'_>, zone: &Zone<'_>) -> Cell {
    let Some(sensor) = zone.sensor else {
        return Cell::hole("not known: its sensor's part");
    };
    let name = model.part_name(sensor.id);
    match sensor.sheet.rests {
        Some(rests) => format!("{name}, {}", words::rests(rests.value)).into(),
        None => Cell::hole(format!("{name}; not known: whether it rests open or closed")),
    }
}

/// The end-of-line network as it is written.
pub(crate) fn ends(model: &Model<'_>, zone: &Zone<'_>) -> String {
    let ends = zone.tree.ends.as_ref().filter(|ends| !ends.steps.is_empty());
    ends.map_or_else(
        || "none".to_owned(),
        |ends| {
            let text = model.text(Place::new(zone.name.at.file, ends.span));
            text.split_whitespace().collect::<Vec<_>>().join(" ")
        },
    )
}

/// Entry, exit, repeat limit, confirmation and settling.
fn further(model: &Model<'_>, zone: &Zone<'_>, registering: &Registering) -> String {
    let mut parts = Vec::new();
    if let Some(limit) = zone.tree.repeats {
        parts.push(format!("at most {} per arming", limit.value));
    }
    if let Some(ActiveFor::Time(range)) = registering.active {
        let range = words::span(range.low, range.high, curtilage_units::duration);
        parts.push(format!("stays active for {range}"));
    }
    if let Some(period) = registering.period.filter(|period| *period > 1) {
        parts.push(format!("registers every {} while active", words::time(period)));
    }
    if let Some(time) = registering.settle {
        parts.push(format!("seen after {}", words::time(time)));
    }
    if let Some(time) = zone.tree.entry {
        parts.push(format!("entry {}", words::time(time.value)));
    }
    if let Some(time) = zone.tree.exit {
        parts.push(format!("exit {}", words::time(time.value)));
    }
    if let (Some(other), Some((_, within))) = (zone.confirmed, zone.tree.confirmed) {
        let other = words::zone(model, other);
        parts.push(format!("confirmed by {other} within {}", words::time(within.value)));
    }
    if let Some(output) = zone.follows {
        parts.push(format!("follows {}", words::output(model, output)));
    }
    parts.join("; ")
}
