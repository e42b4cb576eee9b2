//! Meter readings against what they should be.
//!
//! A loop's reading is held against the window of its state, in ohms with the wires off the input,
//! in volts behind the pull-up with the wires on. A voltage at an output, a controller or a supply
//! is held against what the network can have there, whatever part of the resistance that their
//! standard allows the cables have, down to none. A meter is taken to be right to 1 %, and its
//! leads to have half an ohm (common practice, no source). A current at an output is held against the
//! most that its loads draw at any voltage that they can have: a sheet does not give the least.
//!
//! [`Facts::expected`] gives the window of a reading that has not been taken yet: the same one.

use crate::Facts;
use crate::doubt::{Doubt, UNREAD};
use crate::figure::{Known, NotKnown};
use crate::loops::{Loop, LoopState, Resistor, StateName};
use crate::power::{Consumer, Power};
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{Cause, Gauge, Line, PartFault, PartId, Position, explain_reading};
use curtilage_model::{ControllerId, Model, OutputId, Reading, ReadingAt, SupplyId, Terminal};
use curtilage_syntax::tree::CurrentKind;
use curtilage_syntax::tree::measured::Condition;
use curtilage_units::Dimension;

/// A reading and what it should be.
#[derive(Clone, Debug)]
pub struct Held {
    /// The window, in ohm or V; not known with the reason.
    pub window: Known<Interval>,
    /// Whether the reading lies outside, whatever the meter's error.
    pub outside: bool,
    /// The zone whose loop it is about, by index, and the state that it names.
    pub zone: Option<(usize, StateName)>,
    /// What it reads like when it lies outside, the likeliest first.
    pub like: Vec<Like>,
}

/// What a reading reads like.
#[derive(Clone, Copy, Debug)]
pub enum Like {
    /// Another state, all in order.
    State(StateName),
    /// A fault of the cable.
    Line(Line),
    /// A resistor missing or bridged.
    Resistor(Resistor, PartFault),
    /// The state that was measured, with so many ohms more in the line than the wiring can give.
    InLine(StateName, f64),
    /// No state and no single fault fits; this state comes nearest.
    Nearest(StateName),
}

/// The error of a meter, as a share of the reading.
pub const METER: f64 = 0.01;
/// The resistance of a meter's leads, ohm.
pub const LEADS: f64 = 0.5;
/// A meter shows no end from here on, ohm.
const OPEN: f64 = 1e6;

/// What a meter may show of what lies in a window, in ohm or V: its own error and its leads are
/// allowed. A reading is outside when it is outside of this, and it is this that people are given to
/// hold a meter against.
#[must_use]
pub fn metered(window: Interval, dimension: Dimension) -> Interval {
    let ohms = dimension == Dimension::Resistance;
    let leads = if ohms { LEADS } else { 0.0 };
    let low = ((window.lo() - leads) / (1.0 + METER)).max(0.0);
    let high = (window.hi() + leads) / (1.0 - METER);
    Interval::new(low, high).unwrap_or(window)
}

pub(crate) fn held<'a>(
    model: &Model<'a>,
    doubt: &Doubt<'a>,
    loops: &[Known<Loop<'a>>],
    power: &[Power<'a>],
) -> Vec<Held> {
    let network = Network { model, doubt, power };
    model.readings.iter().map(|reading| one(network, loops, reading)).collect()
}

/// What is measured, and how.
#[derive(Clone, Copy)]
struct Asked {
    condition: Condition,
    dimension: Dimension,
}

impl Facts<'_, '_> {
    /// The window in which a reading has to lie: in ohm or V.
    ///
    /// # Errors
    /// Not known when a figure is missing, or when such a reading is not judged.
    pub fn expected(
        &self,
        at: ReadingAt<'_>,
        condition: Condition,
        dimension: Dimension,
    ) -> Known<Interval> {
        let asked = Asked { condition, dimension };
        match at {
            ReadingAt::Terminal(terminal) => match lands(self.model, &self.loops, &terminal)? {
                (_, Ok(of)) => loop_window(of, asked).map(|(_, _, window)| window),
                (_, Err(why)) => Err(why.clone()),
            },
            other => self.network().window(other, asked),
        }
    }

    fn network(&self) -> Network<'_, '_> {
        Network { model: self.model, doubt: &self.doubt, power: &self.power }
    }
}

/// The zone that lands on a terminal, and its loop.
fn lands<'l, 'a>(
    model: &Model<'_>,
    loops: &'l [Known<Loop<'a>>],
    terminal: &Terminal<'_>,
) -> Known<(usize, &'l Known<Loop<'a>>)> {
    let lands = |zone: &curtilage_model::Zone<'_>| {
        zone.input.and_then(|input| input.terminal).is_some_and(|at| at.is(terminal))
    };
    let index = model.zones.iter().position(lands);
    let found = index.and_then(|index| Some((index, loops.get(index)?)));
    found.ok_or_else(|| NotKnown::because("no zone lands on this terminal"))
}

fn one<'a>(network: Network<'_, 'a>, loops: &[Known<Loop<'a>>], reading: &Reading<'a>) -> Held {
    let mut zone = None;
    let asked =
        Asked { condition: reading.tree.condition.value, dimension: reading.tree.dimension };
    let window = match reading.at {
        ReadingAt::Terminal(terminal) => match lands(network.model, loops, &terminal) {
            Ok((index, Ok(seen))) => return on_loop(reading, index, seen, asked),
            Ok((index, Err(why))) => {
                zone = Some((index, StateName::Resting));
                Err(why.clone())
            }
            Err(why) => Err(why),
        },
        other => network.window(other, asked),
    };
    let outside = window.as_ref().is_ok_and(|window| is_outside(reading, *window));
    Held { window, outside, zone, like: Vec::new() }
}

/// The networks of the supplies, and what of them is in doubt.
#[derive(Clone, Copy)]
struct Network<'n, 'a> {
    model: &'n Model<'a>,
    doubt: &'n Doubt<'a>,
    power: &'n [Power<'a>],
}

impl Network<'_, '_> {
    /// The window of a voltage.
    fn window(self, at: ReadingAt<'_>, asked: Asked) -> Known<Interval> {
        if self.doubt.about_reading(self.model, at) {
            return Err(NotKnown::because(UNREAD));
        }
        match at {
            ReadingAt::Terminal(_) => Err(NotKnown::because("no zone lands on this terminal")),
            ReadingAt::Output(id) => at_output(self.power, asked, id),
            ReadingAt::Controller(id) => at_controller(self.power, asked, id),
            ReadingAt::Supply(id) => at_supply(self.power, asked, id),
        }
    }
}

/// What the meter can have seen: its reading, with its error.
fn seen(reading: &Reading<'_>) -> Option<Interval> {
    let value = reading.tree.value.value;
    let leads = if reading.tree.dimension == Dimension::Resistance { LEADS } else { 0.0 };
    let (low, mut high) = (value * (1.0 - METER) - leads, value * (1.0 + METER) + leads);
    if reading.tree.dimension == Dimension::Resistance && value >= OPEN {
        high = f64::INFINITY;
    }
    Interval::new(low.max(0.0), high).ok()
}

fn is_outside(reading: &Reading<'_>, window: Interval) -> bool {
    let (value, dimension) = (reading.tree.value.value, reading.tree.dimension);
    let allowed = metered(window, dimension);
    let no_end = dimension == Dimension::Resistance && value >= OPEN;
    value < allowed.lo() && !no_end || value > allowed.hi()
}

/// The state that a reading of a loop names, how the reading shows it, and its window.
fn loop_window(of: &Loop<'_>, asked: Asked) -> Known<(StateName, Gauge, Interval)> {
    let not = |why: &'static str| Err(NotKnown::because(why));
    let name = match asked.condition {
        Condition::Resting => StateName::Resting,
        Condition::Active => StateName::Active,
        Condition::Tamper => StateName::Tamper,
        Condition::Cut => StateName::Cut,
        Condition::Shorted => StateName::Shorted,
        _ => return not("an input is measured at rest, active, tampered, cut or shorted"),
    };
    let gauge = match asked.dimension {
        Dimension::Resistance => Gauge::Ohms,
        Dimension::Voltage => match of.divider() {
            Some(divider) => Gauge::Volts(divider),
            None => return not("the input gives no `pull-up`"),
        },
        _ => return not("a current through an input is not worked out"),
    };
    let Some(state) = of.state(name) else { return not("the zone has no such state") };
    let window = gauge.shows(state.ohms);
    // Nothing conducts: a meter shows its own end.
    let window = if gauge == Gauge::Ohms && window.lo() > OPEN {
        Interval::new(OPEN, f64::INFINITY).unwrap_or(window)
    } else {
        window
    };
    Ok((name, gauge, window))
}

fn on_loop(reading: &Reading<'_>, index: usize, of: &Loop<'_>, asked: Asked) -> Held {
    let (name, gauge, window) = match loop_window(of, asked) {
        Ok(found) => found,
        Err(why) => {
            let zone = Some((index, StateName::Resting));
            return Held { window: Err(why), outside: false, zone, like: Vec::new() };
        }
    };
    let outside = is_outside(reading, window);
    let state = of.state(name).filter(|_| outside);
    let like = state.map_or_else(Vec::new, |state| like(reading, of, &gauge, state));
    Held { window: Ok(window), outside, zone: Some((index, name)), like }
}

/// What a reading that does not fit its state reads like.
fn like(reading: &Reading<'_>, of: &Loop<'_>, gauge: &Gauge, named: &LoopState) -> Vec<Like> {
    let (healthy, positions): (Vec<&LoopState>, Vec<Vec<Position>>) =
        of.healthy().map(|(state, positions)| (state, positions.to_vec())).unzip();
    let Some(seen) = seen(reading) else { return Vec::new() };
    let own = healthy.iter().position(|state| state.name == named.name);
    let found = explain_reading(of.seen(), gauge, &positions, seen).unwrap_or_default();
    let mut out: Vec<Like> = Vec::new();
    // A reading of a wire names no state: a resistor may fit in several, and is the one part.
    let mut parts: Vec<(PartId, PartFault)> = Vec::new();
    for one in &found {
        let like = match one.cause {
            Cause::State(state) => healthy.get(state).map(|state| Like::State(state.name)),
            Cause::Line(line) => Some(Like::Line(line)),
            // A fault of a part counts in the state that was measured.
            Cause::Part { state, part, fault } => {
                let resistor = of.resistors().into_iter().find(|resistor| resistor.part == part);
                let here = own.is_none_or(|own| own == state) && !parts.contains(&(part, fault));
                parts.extend(here.then_some((part, fault)));
                resistor.filter(|_| here).map(|resistor| Like::Resistor(resistor, fault))
            }
        };
        out.extend(like);
    }
    if out.is_empty() {
        let gap = |state: &&LoopState| gauge.shows(state.ohms).gap(seen);
        let nearest = of.states().iter().min_by(|a, b| gap(a).total_cmp(&gap(b)));
        out.extend(nearest.map(|nearest| {
            let more = reading.tree.value.value - named.ohms.hi();
            match nearest.name == named.name && *gauge == Gauge::Ohms && more > 0.0 {
                true => Like::InLine(named.name, more),
                false => Like::Nearest(nearest.name),
            }
        }));
    }
    out
}

/// Why a thing is never measured in a condition: it has no such state.
#[must_use]
pub fn never_measured(at: ReadingAt<'_>, condition: Condition) -> Option<&'static str> {
    let of_a_loop = matches!(condition, Condition::Tamper | Condition::Cut | Condition::Shorted);
    let of_a_supply =
        matches!(condition, Condition::Running | Condition::Floating | Condition::Battery);
    match at {
        ReadingAt::Terminal(_) if of_a_supply => {
            Some("an input is measured at rest, active, tampered, cut or shorted")
        }
        ReadingAt::Output(_) if of_a_loop => Some("an output is measured while it is running"),
        ReadingAt::Controller(_) if of_a_loop => {
            Some("a controller's supply is measured on mains or on battery")
        }
        ReadingAt::Supply(_) if of_a_loop => Some("a supply is measured floating or on battery"),
        _ => None,
    }
}

fn volts_only(asked: Asked) -> Known<()> {
    if asked.dimension == Dimension::Voltage {
        return Ok(());
    }
    Err(NotKnown::because("only a voltage is judged here"))
}

/// Between the two; without either the voltage collapses.
fn span(low: Option<f64>, high: Option<f64>) -> Known<Interval> {
    let (Some(low), Some(high)) = (low, high) else {
        return Err(NotKnown::because("its voltage collapses"));
    };
    Interval::new(low.min(high), high).map_err(|error| NotKnown::because(error.to_string()))
}

fn at_output(power: &[Power<'_>], asked: Asked, id: OutputId) -> Known<Interval> {
    if asked.dimension == Dimension::Current {
        return amps_at_output(power, asked, id);
    }
    volts_only(asked)?;
    if asked.condition != Condition::Running {
        return Err(NotKnown::because("a voltage at an output is judged while it is running"));
    }
    let found = power.iter().find_map(|power| {
        let drawing = power.drawings.iter().find(|drawing| drawing.of == Consumer::Output(id))?;
        Some((power, drawing))
    });
    let (power, drawing) =
        found.ok_or_else(|| NotKnown::because("what it draws, or what feeds it, is not known"))?;
    if !drawing.is_ever_on() {
        return Err(NotKnown::because("it never is on"));
    }
    let low = power.lowest_read(drawing)?;
    let high = power.highest_read(drawing)?;
    span(low, high)
}

/// From nothing to the most that all of its loads draw together.
fn amps_at_output(power: &[Power<'_>], asked: Asked, id: OutputId) -> Known<Interval> {
    if asked.condition != Condition::Running {
        return Err(NotKnown::because("a current at an output is judged while it is running"));
    }
    let of = Consumer::Output(id);
    let not_known = || NotKnown::because("what it draws, or what feeds it, is not known");
    let own = power.iter().find(|power| power.drawings.iter().any(|drawing| drawing.of == of));
    let own = own.ok_or_else(not_known)?;
    if own.left_out.iter().any(|(left_out, _)| *left_out == of) {
        return Err(not_known());
    }
    let mut most = 0.0;
    for drawing in own.drawings.iter().filter(|drawing| drawing.of == of) {
        let load = drawing.load()?;
        let (low, high) = match own.alternating() {
            Some((_, gives)) if drawing.constant_power().is_none() => (gives, gives),
            Some(_) => return Err(NotKnown::because("how much voltage it gets is not known")),
            None => {
                let (low, high) = (own.lowest_read(drawing)?, own.highest_read(drawing)?);
                let volts = |found: Option<f64>| {
                    found.ok_or_else(|| NotKnown::because("its voltage collapses"))
                };
                (volts(low)?, volts(high)?)
            }
        };
        most += load.amps(low).max(load.amps(high));
    }
    Interval::new(0.0, most).map_err(|error| NotKnown::because(error.to_string()))
}

fn at_controller(power: &[Power<'_>], asked: Asked, id: ControllerId) -> Known<Interval> {
    volts_only(asked)?;
    let found = power.iter().find_map(|power| {
        let drawing =
            power.drawings.iter().find(|drawing| drawing.of == Consumer::Controller(id))?;
        Some((power, drawing))
    });
    let (power, drawing) =
        found.ok_or_else(|| NotKnown::because("what it draws, or what feeds it, is not known"))?;
    let high = power.highest_read(drawing)?;
    let low = match asked.condition {
        Condition::Battery | Condition::Running => power.lowest_read(drawing)?,
        Condition::Resting | Condition::Active | Condition::Floating => {
            power.lowest_on_mains(drawing)?
        }
        _ => {
            return Err(NotKnown::because(
                "a controller's supply is measured on mains or on battery",
            ));
        }
    };
    span(low, high)
}

fn at_supply(power: &[Power<'_>], asked: Asked, id: SupplyId) -> Known<Interval> {
    volts_only(asked)?;
    let power = power.iter().find(|power| power.supply == id);
    let power = power.ok_or_else(|| NotKnown::because("the supply is not known"))?;
    let range = power.volts.clone()?;
    let low = match asked.condition {
        Condition::Battery => match &power.worst {
            // With all on that can be on, the battery at its end.
            Ok(case) if power.left_out.is_empty() => {
                return span(power.least_read(case, None)?, Some(range.hi()));
            }
            // What it gives at most, where it is not known what is drawn.
            _ => range.lo() - power.inside * power.rated.map_or(0.0, |(amps, _)| amps),
        },
        Condition::Floating | Condition::Resting | Condition::Running | Condition::Active => {
            let gives =
                power.gives.ok_or_else(|| NotKnown::because("its part gives no `gives`"))?;
            match (power.kind, power.rated) {
                (Some(CurrentKind::Ac), Some((amps, _))) => gives.lo() - power.inside * amps,
                (Some(CurrentKind::Ac), None) => {
                    return Err(NotKnown::because("how far it sags is not known"));
                }
                _ => power.least_read(&power.on_mains()?, None)?.unwrap_or(gives.lo()),
            }
        }
        _ => return Err(NotKnown::because("a supply is measured floating or on battery")),
    };
    span(Some(low.max(0.0)), Some(range.hi()))
}
