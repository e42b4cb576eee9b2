//! What a meter shows at each loop in each state, and what the controller takes it for.

use crate::table::{Cell, Table, cells};
use crate::words::{self, ohms, span, volts};
use curtilage_facts::{Facts, Loop, LoopState, Placement, StateName};

/// What the controller takes a state for: the word of the band, or that there is none.
pub(crate) fn band(of: &Loop<'_>, state: &LoopState) -> &'static str {
    match &state.placement {
        Some(Placement::Within(band)) => of.bands().get(*band).map_or("", |band| band.word()),
        Some(_) => "none",
        None => "",
    }
}

/// What a meter shows with the wires off the input.
pub(crate) fn window(state: &LoopState) -> String {
    span(state.ohms.lo(), state.ohms.hi(), ohms)
}

/// What it shows with the wires on; nothing when the input gives no pull-up.
pub(crate) fn at_input(state: &LoopState) -> String {
    state.volts.map_or_else(String::new, |range| span(range.lo(), range.hi(), volts))
}

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let head = ["zone", "input", "state", "meter", "window", "at the input", "band"];
    let mut table = Table::new("loops", "Loops, and the readings to expect", &head);
    table.about = "Ohms with both wires off the input; volts with the wires on. The meter column takes every part at its own figure and the cable at 20 degC; the window is all that the parts, the cable and the ambient temperature allow. Band is what the controller takes it for.".to_owned();
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let input = zone.input.and_then(|input| input.terminal);
        let input = input.map(|terminal| facts.model.terminal_name(&terminal)).unwrap_or_default();
        match seen {
            Err(why) => table.row(cells![zone.name.text, &input, "", Cell::hole(why)]),
            Ok(seen) => {
                for state in seen.states() {
                    let first = state.name == StateName::Resting;
                    let (zone, input) =
                        if first { (zone.name.text, input.as_str()) } else { ("", "") };
                    table.row(cells![
                        zone,
                        input,
                        state.name.short(),
                        words::ohms(state.nominal),
                        window(state),
                        at_input(state),
                        band(seen, state)
                    ]);
                }
            }
        }
    }
    table
}
