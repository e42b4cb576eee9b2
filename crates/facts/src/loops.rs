//! The loop of each zone: what its input sees at rest, active, tampered, with a wire cut and with
//! the wires shorted, as windows and as the reading that a meter is to show.
//!
//! A window runs from the least to the most that the state can give: resistors at both ends of
//! their tolerance (exact where none is given), the closed contact from nothing to its resistance,
//! the cable from nothing to its most at the hottest ambient temperature, joints included. The
//! expected reading takes every part at its own figure, and the cable at 20 degC.

mod build;
mod fit;
mod judge;
mod pattern;
mod series;
mod working;

pub use build::{CLOSED_CONTACT, Resistor};
pub use fit::Fit;
pub use judge::LoopFault;

use crate::before::Turns;
use crate::cabling::Cabling;
use crate::doubt::{Doubt, UNREAD};
use crate::figure::{Known, NotKnown};
use crate::power::ambient;
use build::cable;
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{self, Condition, Divider, Gauge, Line, Placement, Position, place};
use curtilage_model::{Model, PartRef, Zone};
use curtilage_syntax::tree::part::{self, BandName};
use curtilage_syntax::tree::wiring::Ends;
use curtilage_text::FileId;
use pattern::{Kept, Pattern, Patterns};
use std::sync::{Arc, OnceLock};

/// A physical state of a loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StateName {
    /// Nothing is active.
    Resting,
    /// The sensor is active.
    Active,
    /// The tamper contact has moved.
    Tamper,
    /// The sensor is active and its tamper contact has moved.
    ActiveTamper,
    /// A wire is cut.
    Cut,
    /// The wires touch.
    Shorted,
}

impl StateName {
    /// The state in words that follow "reads 2.2 kohm": `at rest`.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Resting => "at rest",
            Self::Active => "when active",
            Self::Tamper => "with its tamper contact moved",
            Self::ActiveTamper => "when active with its tamper contact moved",
            Self::Cut => "with a wire cut",
            Self::Shorted => "with its wires shorted",
        }
    }

    /// The state in a few words, for a table: `at rest`, `wire cut`.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::Resting => "at rest",
            Self::Active => "active",
            Self::Tamper => "tamper",
            Self::ActiveTamper => "active, tamper",
            Self::Cut => "wire cut",
            Self::Shorted => "wires shorted",
        }
    }
}

/// One state and what the input sees of it.
#[derive(Clone, Debug)]
pub struct LoopState {
    /// Which.
    pub name: StateName,
    /// Ohms at the input's terminals.
    pub ohms: Interval,
    /// Volts at the input's terminals behind its pull-up, when it gives one.
    pub volts: Option<Interval>,
    /// The reading to expect, ohm.
    pub nominal: f64,
    /// The reading to expect, V, when the input gives a pull-up.
    pub nominal_volts: Option<f64>,
    /// In which band of the input it lies; none when the part gives no bands.
    pub placement: Option<Placement>,
    /// The band that means this state, by index; none when the input has none for it.
    pub belongs: Option<usize>,
}

/// The loop of a zone.
#[derive(Clone, Debug)]
pub struct Loop<'a> {
    /// Its cable; none when it is wired on the spot.
    pub cable: Option<Cabling<'a>>,
    /// The sensor.
    pub sensor: PartRef<'a, part::Sensor>,
    /// The controller that reads it.
    pub controller: PartRef<'a, part::Controller>,
    /// The ambient range, degC.
    pub ambient: Option<Interval>,
    states: Arc<States>,
    /// The words of the zone about the ends of its wires, and where they stand.
    ends: Option<&'a Ends>,
    file: FileId,
}

/// What follows from a pattern and a cable.
#[derive(Debug)]
pub(crate) struct States {
    /// What it shares with every loop that differs in its cable alone.
    pattern: Arc<Pattern>,
    /// The engine's loop.
    seen: ends::Loop,
    list: Vec<LoopState>,
    /// What is wrong, once somebody has asked.
    fault: OnceLock<Option<LoopFault>>,
}

/// What the states of a loop follow from.
#[derive(Clone, Debug)]
pub(crate) struct Question {
    pattern: Arc<Pattern>,
    /// Ohms of the cable, and as a meter is read.
    ohms: Interval,
    nominal: f64,
}

impl PartialEq for Question {
    fn eq(&self, other: &Self) -> bool {
        let alike = Arc::ptr_eq(&self.pattern, &other.pattern);
        alike && self.ohms == other.ohms && self.nominal == other.nominal
    }
}

/// The states of a loop, or what is wrong with its figures.
type Answer = Result<Arc<States>, ends::EndsError>;

/// What was asked about the loops of the version before.
#[derive(Default)]
pub(crate) struct Before {
    patterns: Kept,
    states: Turns<Question, Answer>,
}

impl Before {
    pub(crate) fn keep(&mut self) {
        self.keep_patterns();
        self.states.keep();
    }

    pub(crate) fn keep_patterns(&mut self) {
        self.patterns.keeps = true;
    }

    pub(crate) fn turn(&mut self) {
        self.patterns.turn();
        self.states.turn();
    }
}

impl Loop<'_> {
    /// The names of the bands, in the order of the part.
    #[must_use]
    pub fn bands(&self) -> &[BandName] {
        &self.pattern().bands
    }

    /// The limits of the bands, in the unit of [`Loop::gauge`].
    #[must_use]
    pub fn limits(&self) -> &[Interval] {
        &self.pattern().limits
    }

    /// In which unit the bands are given; none when they cannot be used.
    #[must_use]
    pub fn gauge(&self) -> Option<&Gauge> {
        self.pattern().gauge.as_ref()
    }

    /// The input's pull-up.
    #[must_use]
    pub fn divider(&self) -> Option<Divider> {
        self.pattern().divider
    }

    /// The engine's loop.
    #[must_use]
    pub fn seen(&self) -> &ends::Loop {
        &self.states.seen
    }

    fn pattern(&self) -> &Pattern {
        &self.states.pattern
    }

    /// The states, rest first.
    #[must_use]
    pub fn states(&self) -> &[LoopState] {
        &self.states.list
    }

    /// A state by name.
    #[must_use]
    pub fn state(&self, name: StateName) -> Option<&LoopState> {
        self.states().iter().find(|state| state.name == name)
    }

    /// What the input sees of a state, in the unit of its bands.
    #[must_use]
    pub fn window(&self, state: &LoopState) -> Option<Interval> {
        self.gauge().map(|gauge| gauge.shows(state.ohms))
    }

    /// The positions of the contacts in a state, and what is wrong with the wires.
    fn condition(&self, name: StateName) -> Option<&Condition> {
        self.pattern().state(name).map(|state| &state.condition)
    }

    /// The states in which the wires are in order, with the positions of the contacts.
    pub(crate) fn healthy(&self) -> impl Iterator<Item = (&LoopState, &[Position])> {
        self.states().iter().filter_map(|state| {
            let condition = self.condition(state.name)?;
            (condition.line == Line::Intact).then_some((state, condition.positions.as_slice()))
        })
    }

    /// Whether the bands are given in volts.
    #[must_use]
    pub fn in_volts(&self) -> bool {
        matches!(self.gauge(), Some(Gauge::Volts(_)))
    }
}

pub(crate) fn loops<'a>(
    model: &Model<'a>,
    doubt: &Doubt<'a>,
    before: &mut Before,
) -> Vec<Known<Loop<'a>>> {
    let ambient = ambient(model);
    let mut known = Patterns::default();
    let all = model.zones.iter().map(|zone| {
        if doubt.about_zone(model, zone) {
            return Err(NotKnown::because(UNREAD));
        }
        of_zone(model, zone, ambient, &mut known, before)
    });
    all.collect()
}

fn of_zone<'a>(
    model: &Model<'a>,
    zone: &Zone<'a>,
    ambient: Option<Interval>,
    known: &mut Patterns<'a>,
    before: &mut Before,
) -> Known<Loop<'a>> {
    let because = NotKnown::because;
    let sensor = zone.sensor.ok_or_else(|| because("its sensor's part is not known"))?;
    let rests = sensor.sheet.rests.ok_or_else(|| because("its sensor's part gives no `rests`"))?;
    let input = zone.input.as_ref().ok_or_else(|| because("where it lands is not known"))?;
    let terminal = input.terminal.ok_or_else(|| because("where it lands is not known"))?;
    let controller = model.controller(terminal.controller).and_then(|controller| controller.part);
    let controller = controller.ok_or_else(|| because("its controller's part is not known"))?;
    let run = input.run.map(|run| Cabling::of_run(model, &run, input.line)).transpose()?;
    let ohms = cable(run.as_ref(), ambient)?;
    let ends = zone.tree.ends.as_ref();
    let told = |error: ends::EndsError| NotKnown::because(error.to_string());
    let pattern =
        known.of(&mut before.patterns, sensor, rests.value, controller, ends).map_err(told)?;
    // A meter is read with the cable at 20 degC.
    let nominal = run.and_then(|cable| cable.ohm(20.0)).unwrap_or(0.0);
    let question = Question { pattern, ohms, nominal };
    let states = before.states.answer(&question, states).map_err(told)?;
    Ok(Loop { cable: run, sensor, controller, ambient, states, ends, file: zone.name.at.file })
}

/// The states of a pattern behind a cable.
fn states(asked: &Question) -> Answer {
    let Question { pattern, ohms, nominal: cable } = asked;
    let seen = ends::Loop::new(Arc::clone(&pattern.network), *ohms, None)?;
    let list = pattern.states.iter().map(|state| {
        let line = state.condition.line;
        let ohms = seen.seen(state.ohms, line);
        let volts = pattern.divider.map(|divider| divider.volts(ohms));
        let window = pattern.gauge.as_ref().map(|gauge| match (gauge, volts) {
            // The bands are given behind the same pull-up.
            (Gauge::Volts(_), Some(volts)) => volts,
            _ => gauge.shows(ohms),
        });
        // The reading to expect: every part at its own figure.
        let nominal = match line {
            Line::Intact => state.nominal + cable,
            Line::Cut => f64::INFINITY,
            Line::ShortedNear => 0.0,
            Line::ShortedFar | Line::Shorted => *cable,
        };
        let nominal_volts = pattern.divider.map(|divider| {
            let (supply, pull_up) = (divider.supply().middle(), divider.pull_up().middle());
            if nominal.is_infinite() { supply } else { supply * nominal / (nominal + pull_up) }
        });
        LoopState {
            name: state.name,
            ohms,
            volts,
            nominal,
            nominal_volts,
            placement: window.map(|window| place(window, &pattern.limits)),
            belongs: state.belongs,
        }
    });
    let list = list.collect();
    let pattern = Arc::clone(pattern);
    Ok(Arc::new(States { pattern, seen, list, fault: OnceLock::new() }))
}
