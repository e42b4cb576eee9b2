//! What hangs on each supply, over which cable, and the voltage that is left there.

use crate::table::{Cell, Table, cells};
use crate::tables::findings::working_table;
use crate::words::{self, amps, span, volts};
use curtilage_diagnostic::Step;
use curtilage_facts::limit::{above, below};
use curtilage_facts::{BranchOf, Drawing, Facts, FuseOf, Known, Power, When};
use curtilage_units::{Dimension, Quantity};

/// The tables of one supply: what it feeds, its fuses, its working.
pub(crate) fn tables(facts: &Facts<'_, '_>, power: &Power<'_>) -> Vec<Table> {
    let mut out = vec![consumers(facts, power)];
    let fuses = fuses(facts, power);
    if !fuses.rows.is_empty() {
        out.push(fuses);
    }
    let drops = drops(facts, power);
    if !drops.rows.is_empty() {
        out.push(drops);
    }
    out
}

pub(crate) fn consumers(facts: &Facts<'_, '_>, power: &Power<'_>) -> Table {
    let name = words::supply(facts.model, power.supply);
    let head = ["consumer", "draws", "when", "least voltage", "most voltage", "works from"];
    let mut table = Table::new(format!("supply-{name}"), format!("Supply `{name}`"), &head);
    for drawing in &power.drawings {
        let lowest = power.lowest(drawing).map(|found| found.map(|(value, _)| value));
        let highest = power.highest(drawing).map(|found| found.map(|(value, _)| value));
        let mut works =
            drawing.works.map_or(String::new(), |(works, _)| span(works.low, works.high, volts));
        let needs = drawing.least();
        if let Some(needs) = needs.filter(|needs| needs.pulls_in) {
            let also = if works.is_empty() { "" } else { ", " };
            works.push_str(&format!("{also}pulls in at {}", volts(needs.volts)));
        }
        let least = match (&lowest, needs) {
            (Ok(Some(value)), Some(needs)) if below(*value, needs.volts) => {
                Cell::hole(format!("{}: too low", volts(*value)))
            }
            _ => voltage(drawing, &lowest),
        };
        let most = match (&highest, drawing.works) {
            (Ok(Some(value)), Some((works, _))) if above(*value, works.high) => {
                Cell::hole(format!("{}: too high", volts(*value)))
            }
            _ => voltage(drawing, &highest),
        };
        let consumer = drawing.of.name(facts.model).text;
        table.row(cells![consumer, draws(drawing), when(drawing), least, most, works]);
    }
    for (consumer, _) in &power.left_out {
        table.row(cells![consumer.name(facts.model).text, Cell::hole("not known")]);
    }
    match &power.volts {
        Ok(range) => {
            let rated = power.rated.map_or("not known".to_owned(), |(rated, _)| amps(rated));
            table.note(format!("gives {}, rated {rated}", span(range.lo(), range.hi(), volts)));
        }
        Err(why) => table.note(Cell::hole(why)),
    }
    for (words, case) in
        [("at rest", &power.quiet), ("with all on that can be on together", &power.worst)]
    {
        table.note(match case {
            Ok(case) => match (case.source_amps(), case.source_volts()) {
                (Some(current), Some(at)) => {
                    let words = format!("{words}, at its lowest voltage");
                    match power.left_out.is_empty() {
                        true => format!("{words}: {} at {}", amps(current), volts(at)).into(),
                        false => at_least(&words, current),
                    }
                }
                _ => Cell::hole(format!("{words}: the voltage collapses")),
            },
            Err(why) => Cell::hole(format!("{words}: {why}")),
        });
    }
    if power.collapses() {
        table.note(Cell::hole("the most that it has to give: not known: its voltage collapses"));
    } else if let Some((most, _)) = power.most_source_amps() {
        let most_said = amps(most);
        table.note(match power.rated {
            Some((rated, _)) if above(most, rated) => {
                Cell::hole(format!("the most that it has to give: {most_said}: too much"))
            }
            _ if power.left_out.is_empty() => {
                format!("the most that it has to give: {most_said}").into()
            }
            _ => at_least("the most that it has to give", most),
        });
    }
    for (consumer, why) in &power.left_out {
        let name = consumer.name(facts.model).text;
        table.note(Cell::hole(format!("`{name}` is in no sum: {why}")));
    }
    table
}

/// A voltage of a consumer, or why there is none.
fn voltage(drawing: &Drawing, found: &Known<Option<f64>>) -> Cell {
    match found {
        _ if !drawing.is_ever_on() => "never on".into(),
        Ok(Some(value)) => volts(*value).into(),
        Ok(None) => Cell::hole("not known: its voltage collapses"),
        Err(why) => Cell::hole(why.to_string()),
    }
}

/// A sum that lacks what is not known.
fn at_least(words: &str, sum: f64) -> Cell {
    let least = if sum > 0.0 { format!(", at least {}", amps(sum)) } else { String::new() };
    Cell::hole(format!("{words}: not known{least}"))
}

fn draws(drawing: &Drawing) -> String {
    let dimension = if drawing.draw.power { Dimension::Power } else { Dimension::Current };
    let one = Quantity::new(drawing.draw.amount.value, dimension).to_string();
    let all = if drawing.count == 1 { one } else { format!("{} x {one}", drawing.count) };
    match drawing.idles {
        Some(idle) => format!("{all}, idles at {}", amps(idle)),
        None => all,
    }
}

fn when(drawing: &Drawing) -> &'static str {
    match drawing.when {
        When::Always => "always",
        When::Switched(_) => "when on",
        When::Unknown => "not known",
    }
}

fn fuses(facts: &Facts<'_, '_>, power: &Power<'_>) -> Table {
    let name = words::supply(facts.model, power.supply);
    let head = ["fuse", "rated", "most that flows"];
    let mut table = Table::new(format!("fuses-{name}"), format!("Fuses of `{name}`"), &head);
    for fuse in power.fuses(facts.model) {
        let of = match fuse.of {
            FuseOf::Supply => format!("output of {name}"),
            FuseOf::Branch(index) => branch(facts, power, index),
        };
        let flows = match fuse.flows {
            Some(flows) if above(flows, fuse.amps) => {
                Cell::hole(format!("{}: too much", amps(flows)))
            }
            Some(flows) => amps(flows).into(),
            None => Cell::hole("not known"),
        };
        table.row(cells![of, amps(fuse.amps), flows]);
    }
    table
}

/// A piece of the network in words.
pub(crate) fn branch(facts: &Facts<'_, '_>, power: &Power<'_>, index: usize) -> String {
    let model = facts.model;
    let Some(branch) = power.branches.get(index) else { return String::new() };
    match branch.of {
        BranchOf::Feed(of) => format!("feed of {}", of.name(model).text),
        BranchOf::Start(id) => {
            format!("start of {}", model.cable(id).map_or("", |cable| cable.name.text))
        }
        BranchOf::Tap(id, tap) => model.cable(id).map_or_else(String::new, |cable| {
            let tap = cable.taps.get(tap).map_or("", |tap| tap.name.text);
            format!("{} to {tap}", cable.name.text)
        }),
        BranchOf::Outlet(terminal) => format!("outlet {}", model.terminal_name(&terminal)),
    }
}

/// The drop in each piece in the worst case.
fn drops(facts: &Facts<'_, '_>, power: &Power<'_>) -> Table {
    let name = words::supply(facts.model, power.supply);
    let head =
        ["piece", "cable", "out and back", "carries", "may carry", "drops", "left at its end"];
    let title = format!("Cable drop from `{name}`, all on that can be on together");
    let mut table = Table::new(format!("drop-{name}"), title, &head);
    let Ok(case) = &power.worst else { return table };
    for (index, found) in power.branches.iter().enumerate() {
        let Some(cable) = &found.cable else { continue };
        let of = branch(facts, power, index);
        let cable = match cable {
            Ok(cable) => cable,
            Err(why) => {
                table.row(cells![of, Cell::hole(why)]);
                continue;
            }
        };
        let kind = facts.model.text(cable.named);
        let run = format!("{} of {kind}", words::metres(cable.length));
        let ohm = found.ohm(case.scene.celsius);
        let (Some(current), Some(end)) = (case.amps(index), case.volts(index)) else {
            table.row(cells![of, run, words::ohms(ohm), Cell::hole("the voltage collapses")]);
            continue;
        };
        let carries = match found.limit() {
            Some((limit, _)) if current > limit => {
                Cell::hole(format!("{}: too much", amps(current)))
            }
            _ => amps(current).into(),
        };
        let limit = found.limit().map_or_else(String::new, |(limit, _)| amps(limit));
        table.row(cells![
            of,
            run,
            words::ohms(ohm),
            carries,
            limit,
            volts(ohm * current),
            volts(end)
        ]);
    }
    let celsius = Quantity::new(case.scene.celsius, Dimension::Temperature);
    let at = volts(case.scene.volts);
    table.note(format!(
        "the supply at {at} behind its internal resistance, conductors at {celsius}"
    ));
    table
}

/// The full working of the least voltage of everything that draws.
pub(crate) fn working(facts: &Facts<'_, '_>, power: &Power<'_>) -> Option<Table> {
    let mut steps: Vec<Step> = Vec::new();
    let mut more = |list: Vec<Step>| {
        for step in list {
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
    };
    if let Ok(case) = &power.worst
        && case.source_amps().is_none()
    {
        let curtilage_facts::Came::Collapsed(branch) = *case.came else { return None };
        more(power.collapse_working(facts.model, case, branch));
    }
    for drawing in &power.drawings {
        if let Ok(Some((_, case))) = power.lowest(drawing) {
            more(power.working(facts.model, drawing.branch, &case));
        }
    }
    let name = words::supply(facts.model, power.supply);
    let title = format!("Working: least voltages of `{name}`");
    (!steps.is_empty()).then(|| working_table(format!("working-{name}"), title, &steps))
}
