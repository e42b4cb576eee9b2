//! The readings of each loop, and what the controller makes of a fault in it.

use super::Test;
use crate::tables::loops::band;
use crate::words;
use curtilage_facts::{Facts, Loop, LoopState, StateName};
use curtilage_model::{ReadingAt, Zone, ZoneId};
use curtilage_syntax::tree::measured::Condition;
use curtilage_units::Dimension;

pub(super) fn tests(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    of_loop(facts, id, zone, out);
    out.extend(tamper(facts, zone));
}

/// The test of a tamper contact that lands on an input of its own: no state of the loop shows it.
fn tamper(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> Option<Test> {
    let terminal = zone.tamper()?.terminal.map(|at| facts.model.terminal_name(&at));
    Some(Test {
        thing: format!("{}, tamper contact", words::titled(zone.name.text, zone.title)),
        kind: "fault",
        action: "open its cover, and close it again".to_owned(),
        expect: match terminal {
            Some(at) => Ok(format!("{at} tells tamper, until it is closed")),
            None => Err("not known: where it lands".to_owned()),
        },
        ..Test::default()
    })
}

fn of_loop(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>, out: &mut Vec<Test>) {
    let name = words::titled(zone.name.text, zone.title);
    let seen = match facts.loops.get(id.index()) {
        Some(Ok(seen)) => seen,
        Some(Err(why)) => {
            out.push(Test {
                thing: name,
                kind: "loop",
                action: "measure the loop at rest and active".to_owned(),
                expect: Err(why.to_string()),
                ..Test::default()
            });
            return;
        }
        None => return,
    };
    for state in seen.states() {
        if let Some(condition) = condition(state.name) {
            out.push(test(facts, &name, zone, (seen, state, condition)));
        }
    }
}

/// The word of the language for a state that a meter is held against.
fn condition(state: StateName) -> Option<Condition> {
    Some(match state {
        StateName::Resting => Condition::Resting,
        StateName::Active => Condition::Active,
        StateName::Tamper => Condition::Tamper,
        StateName::Cut => Condition::Cut,
        StateName::Shorted => Condition::Shorted,
        StateName::ActiveTamper => return None,
    })
}

fn test(
    facts: &Facts<'_, '_>,
    name: &str,
    zone: &Zone<'_>,
    (seen, state, condition): (&Loop<'_>, &LoopState, Condition),
) -> Test {
    // Where nothing conducts a meter shows no ohms; behind a pull-up it shows volts.
    let in_volts = state.nominal.is_infinite() && seen.divider().is_some();
    let dimension = if in_volts { Dimension::Voltage } else { Dimension::Resistance };
    let terminal = zone.input.and_then(|input| input.terminal);
    let expected = terminal
        .map(|terminal| facts.expected(ReadingAt::Terminal(terminal), condition, dimension));
    let takes = match band(seen, state) {
        "" => String::new(),
        "none" => "; the controller knows no such state".to_owned(),
        word => format!("; the controller takes it for {word}"),
    };
    let expect = match expected {
        Some(Ok(window)) => {
            let nominal = match (in_volts, state.nominal_volts) {
                (true, Some(volts)) => words::volts(volts),
                _ => words::ohms(state.nominal),
            };
            Ok(format!("{nominal}, within {}{takes}", words::window(window, dimension)))
        }
        Some(Err(why)) => Err(why.to_string()),
        None => Err("not known: where it lands".to_owned()),
    };
    let at = terminal.map(|terminal| facts.model.terminal_name(&terminal)).unwrap_or_default();
    let wires = if in_volts { "wires on, measure volts" } else { "wires off, measure ohms" };
    let unit = match (in_volts, state.nominal >= 1000.0) {
        (true, _) => "V",
        (false, true) => "kohm",
        (false, false) => "ohm",
    };
    let action = match state.name {
        StateName::Cut => format!("lift one wire at the far end; {wires} at {at}"),
        StateName::Shorted => format!("join the two wires at the far end; {wires} at {at}"),
        StateName::Active => format!("hold it active; {wires} at {at}"),
        StateName::Tamper => format!("open its cover; {wires} at {at}"),
        _ => format!("leave it at rest; {wires} at {at}"),
    };
    let kind = match state.name {
        StateName::Cut | StateName::Shorted => "fault",
        _ => "loop",
    };
    Test {
        thing: format!("{name}, {}", state.name.short()),
        kind,
        action,
        expect,
        at,
        condition: condition.word(),
        unit,
    }
}
