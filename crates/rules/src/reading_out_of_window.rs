//! A meter reading that cannot be, if the wiring is what the file says.

use crate::rule::{Family, Findings, Rule};
use crate::words::{amps, ohms, volts};
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{Line, PartFault};
use curtilage_diagnostic::{Diagnostic, Level, Step};
use curtilage_facts::{Consumer, Facts, Held, Like};
use curtilage_model::{Model, Reading, ReadingAt};
use curtilage_text::Place;
use curtilage_units::{Dimension, significant};

pub(crate) static RULE: Rule = Rule {
    name: "reading-out-of-window",
    family: Family::Loop,
    level: Level::Error,
    about: "a meter reading lies outside what the wiring can give",
    page: include_str!("reading_out_of_window.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (reading, held) in facts.model.readings.iter().zip(&facts.readings) {
        if let (Ok(window), true) = (&held.window, held.outside) {
            out.push(finding(facts, reading, held, *window));
        }
    }
}

/// The name of what was measured, as it stands in the file, and of the thing that it belongs to.
fn names<'a>(model: &Model<'a>, reading: &Reading<'a>, held: &Held) -> (String, &'a str) {
    let zone = held.zone.and_then(|(index, _)| model.zones.get(index));
    match reading.at {
        ReadingAt::Terminal(terminal) => {
            (model.terminal_name(&terminal), zone.map_or("", |zone| zone.name.text))
        }
        ReadingAt::Output(id) => {
            let name = model.output(id).map_or("", |output| output.name.text);
            (name.to_owned(), name)
        }
        ReadingAt::Controller(id) => {
            let name = model.controller(id).map_or("", |controller| controller.name.text);
            (name.to_owned(), name)
        }
        ReadingAt::Supply(id) => {
            let name = model.supply(id).map_or("", |supply| supply.name.text);
            (name.to_owned(), name)
        }
    }
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    reading: &Reading<'a>,
    held: &Held,
    window: Interval,
) -> Diagnostic {
    let model = facts.model;
    let words: &dyn Fn(f64) -> String = match reading.tree.dimension {
        Dimension::Voltage => &volts,
        Dimension::Current => &amps,
        _ => &ohms,
    };
    let value = words(reading.tree.value.value);
    let range = match (words(window.lo()), words(window.hi())) {
        (_, high) if reading.tree.dimension == Dimension::Current => format!("{high} at most"),
        (low, _) if window.hi().is_infinite() => format!("{low} or more"),
        (low, high) if low == high => low,
        (low, high) => format!("{low} to {high}"),
    };
    let (at, name) = names(model, reading, held);
    let condition = reading.tree.condition.value.word();
    let headline = format!("`{at}` was measured at {value} {condition}, and can only be {range}");
    let value_at = Place::new(reading.line.file, reading.tree.value.span);
    let mut finding = RULE
        .finds(headline, value_at, format!("should be {range}"))
        .with_why(
            "either the wiring is not what the file says, or the file is not what the wiring is",
        )
        .with_about(name);
    let zone = held.zone.and_then(|(index, _)| model.zones.get(index));
    if let Some(zone) = zone {
        let ends = zone.tree.ends.as_ref().map(|ends| Place::new(zone.name.at.file, ends.span));
        finding = finding.with_other(ends.unwrap_or(zone.name.at), format!("zone `{name}`"));
    }
    // Resistors of one value are not told apart by a reading: they are told once.
    let mut told: Vec<String> = Vec::new();
    for like in &held.like {
        let words = |count| like_words(model, like, count);
        let same = held.like.iter().filter(|other| like_words(model, other, 1) == words(1));
        let words = words(same.count());
        if told.len() < MOST_LIKE && !told.contains(&words) {
            told.push(words);
        }
    }
    for words in told {
        finding = finding.with_help(words);
    }
    if held.zone.is_none() {
        finding = finding.with_help(if reading.tree.dimension == Dimension::Current {
            "look for another load, one more on the same wires, or a fault in it"
        } else if reading.tree.value.value < window.lo()
            && matches!(reading.at, ReadingAt::Supply(_))
        {
            "look whether its mains is there, for more load than the file says, or for an empty or worn battery"
        } else if reading.tree.value.value < window.lo() {
            "look for a loose clamp, a bad joint, a thinner cable or a longer run than the file says"
        } else {
            "look for another supply or another setting of it than the file says"
        });
    }
    finding.with_working(working(facts, reading, held))
}

/// At most so many likenesses are told.
const MOST_LIKE: usize = 3;

/// What a reading is like; `count` resistors of one value may be the one.
fn like_words(model: &Model<'_>, like: &Like, count: usize) -> String {
    match like {
        Like::State(state) => format!("it reads like the loop {}, all in order", state.words()),
        Like::Line(Line::Cut) => "it reads like a cut wire".to_owned(),
        Like::Line(_) => "it reads like shorted wires".to_owned(),
        Like::Resistor(resistor, fault) => {
            let what = match fault {
                PartFault::Open => "missing, or its wire off",
                PartFault::Short => "bridged",
            };
            let which = match count {
                1 => "the resistor".to_owned(),
                count => format!("one of the {count} resistors"),
            };
            format!("it reads like {which} of {} {what}", model.text(resistor.at))
        }
        Like::InLine(state, more) => {
            // A meter does not give it more exactly.
            let more = significant(*more, 2).parse().map_or_else(|_| ohms(*more), ohms);
            let state = state.words();
            format!(
                "it reads like the loop {state}, with some {more} more in the line: a bad joint or contact, or a longer cable than the file says"
            )
        }
        Like::Nearest(state) => {
            format!("no single fault gives that; the loop {} comes nearest", state.words())
        }
    }
}

fn working<'a>(facts: &Facts<'_, 'a>, reading: &Reading<'a>, held: &Held) -> Vec<Step> {
    // How a voltage came about says nothing of what is drawn.
    if reading.tree.dimension == Dimension::Current {
        return Vec::new();
    }
    if let Some((index, name)) = held.zone {
        let Some(Ok(seen)) = facts.loops.get(index) else { return Vec::new() };
        let Some(state) = seen.state(name) else { return Vec::new() };
        return seen.working(facts.model, state);
    }
    let of = match reading.at {
        ReadingAt::Output(id) => Consumer::Output(id),
        ReadingAt::Controller(id) => Consumer::Controller(id),
        _ => return Vec::new(),
    };
    for power in &facts.power {
        let Some(drawing) = power.drawings.iter().find(|drawing| drawing.of == of) else {
            continue;
        };
        let Ok(Some((_, case))) = power.lowest(drawing) else { continue };
        return power.working(facts.model, drawing.branch, &case);
    }
    Vec::new()
}
