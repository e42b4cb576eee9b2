//! A reading explained: which physical states would give it.

use super::fault::{Condition, Line, Loop, PartFault};
use super::network::{PartId, Position};
use super::{EndsError, Gauge};
use crate::interval::Interval;

/// A physical state that a reading can come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// One of the states given, all else in order.
    State(usize),
    /// The cable, whatever the contacts do.
    Line(Line),
    /// One resistor missing or bridged while the contacts are in a given state.
    Part {
        /// The state, by its place in the list.
        state: usize,
        /// The resistor.
        part: PartId,
        /// What happened to it.
        fault: PartFault,
    },
}

/// A cause whose window holds the reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// The cause.
    pub cause: Cause,
    /// The condition behind it.
    pub condition: Condition,
    /// What the gauge shows in that condition.
    pub window: Interval,
}

/// The cause that comes nearest to a reading that fits none.
#[derive(Debug, Clone, PartialEq)]
pub struct Miss {
    /// The cause.
    pub cause: Cause,
    /// What the gauge would show.
    pub window: Interval,
    /// How far the reading is off, in the gauge's unit.
    pub distance: f64,
}

fn candidates(loop_: &Loop, states: &[Vec<Position>]) -> Vec<(Cause, Condition)> {
    let mut list: Vec<(Cause, Condition)> =
        (0..).zip(states).map(|(k, s)| (Cause::State(k), Condition::healthy(s))).collect();
    // The cable hides the contacts, so any positions do.
    let any = vec![Position::Closed; loop_.network().contacts()];
    for line in [Line::Shorted, Line::Cut] {
        let condition = Condition::healthy(&any).with_line(line);
        list.push((Cause::Line(line), condition));
    }
    for (state, positions) in (0..).zip(states) {
        for (part, _, _) in loop_.network().resistors() {
            for fault in [PartFault::Open, PartFault::Short] {
                let cause = Cause::Part { state, part, fault };
                let condition = Condition::healthy(positions).with_part(part, fault);
                list.push((cause, condition));
            }
        }
    }
    list
}

/// Every cause that can give a reading: the states first, then the cable, then each
/// resistor missing or bridged in each state.
///
/// `reading` is what the meter shows with its own error, in the unit of `gauge`.
/// A fault that changes nothing (the resistor carries no current in that state)
/// shows beside the state itself.
///
/// # Errors
/// [`EndsError`] if a state does not match the loop's contacts.
pub fn explain_reading(
    loop_: &Loop,
    gauge: &Gauge,
    states: &[Vec<Position>],
    reading: Interval,
) -> Result<Vec<Match>, EndsError> {
    let mut found = Vec::new();
    for (cause, condition) in candidates(loop_, states) {
        let window = gauge.shows(loop_.resistance(&condition)?);
        if window.overlap(reading).is_some() {
            found.push(Match { cause, condition, window });
        }
    }
    Ok(found)
}

/// The cause whose window lies nearest to a reading; the earliest of equals.
///
/// # Errors
/// [`EndsError`] if a state does not match the loop's contacts.
pub fn nearest_cause(
    loop_: &Loop,
    gauge: &Gauge,
    states: &[Vec<Position>],
    reading: Interval,
) -> Result<Option<Miss>, EndsError> {
    let mut best: Option<Miss> = None;
    for (cause, condition) in candidates(loop_, states) {
        let window = gauge.shows(loop_.resistance(&condition)?);
        let distance = window.gap(reading);
        if best.as_ref().is_none_or(|b| distance < b.distance) {
            best = Some(Miss { cause, window, distance });
        }
    }
    Ok(best)
}
