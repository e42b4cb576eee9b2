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
mod series;
mod working;

pub use build::{CLOSED_CONTACT, Resistor};
pub use fit::Fit;
pub use judge::LoopFault;

use crate::cabling::Cabling;
use crate::figure::{Known, NotKnown};
use crate::power::ambient;
use build::{build, cable, position};
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{self, Condition, Divider, Gauge, Line, Placement, place};
use curtilage_model::{Model, PartRef, Zone};
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::part::{self, BandName, InputSpec, Rest};

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
    /// The positions of its contacts and what is wrong with its wires.
    pub condition: Condition,
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
    /// The states, rest first.
    pub states: Vec<LoopState>,
    /// The names of the bands, in the order of the part.
    pub bands: Vec<BandName>,
    /// The limits of the bands, in the unit of `gauge`.
    pub limits: Vec<Interval>,
    /// In which unit the bands are given; none when they cannot be used.
    pub gauge: Option<Gauge>,
    /// The input's pull-up.
    pub divider: Option<Divider>,
    /// The resistors of its end-of-line network.
    pub resistors: Vec<Resistor>,
    /// Its cable; none when it is wired on the spot.
    pub cable: Option<Cabling<'a>>,
    /// The sensor.
    pub sensor: PartRef<'a, part::Sensor>,
    /// The controller that reads it.
    pub controller: PartRef<'a, part::Controller>,
    /// The engine's loop.
    pub seen: ends::Loop,
    /// The ambient range, degC.
    pub ambient: Option<Interval>,
}

impl Loop<'_> {
    /// A state by name.
    #[must_use]
    pub fn state(&self, name: StateName) -> Option<&LoopState> {
        self.states.iter().find(|state| state.name == name)
    }

    /// What the input sees of a state, in the unit of its bands.
    #[must_use]
    pub fn window(&self, state: &LoopState) -> Option<Interval> {
        self.gauge.as_ref().map(|gauge| gauge.shows(state.ohms))
    }

    /// Whether the bands are given in volts.
    #[must_use]
    pub fn in_volts(&self) -> bool {
        matches!(self.gauge, Some(Gauge::Volts(_)))
    }
}

pub(crate) fn loops<'a>(model: &Model<'a>) -> Vec<Known<Loop<'a>>> {
    let ambient = ambient(model);
    model.zones.iter().map(|zone| of_zone(model, zone, ambient)).collect()
}

fn of_zone<'a>(model: &Model<'a>, zone: &Zone<'a>, ambient: Option<Interval>) -> Known<Loop<'a>> {
    let because = NotKnown::because;
    let sensor = zone.sensor.ok_or_else(|| because("its sensor's part is not known"))?;
    let rests = sensor.sheet.rests.ok_or_else(|| because("its sensor's part gives no `rests`"))?;
    let input = zone.input.as_ref().ok_or_else(|| because("where it lands is not known"))?;
    let terminal = input.terminal.ok_or_else(|| because("where it lands is not known"))?;
    let controller = model.controller(terminal.controller).and_then(|controller| controller.part);
    let controller = controller.ok_or_else(|| because("its controller's part is not known"))?;
    let run = input.run.map(|run| Cabling::of_run(model, &run, input.line)).transpose()?;
    let ohms = cable(run.as_ref(), ambient)?;
    let file = zone.name.at.file;
    let built = build(zone.tree.ends.as_ref(), file, sensor.sheet, ohms);
    let built = built.map_err(|error| NotKnown::because(error.to_string()))?;
    let spec = controller.sheet.input.as_ref();
    let bands = spec.map_or(&[][..], |spec| spec.bands.as_slice());
    let limits: Option<Vec<Interval>> = bands
        .iter()
        .map(|band| {
            let low = band.limits.low.unwrap_or(0.0);
            let high = band.limits.high.unwrap_or(f64::INFINITY);
            Interval::new(low, high).ok()
        })
        .collect();
    let limits = limits.unwrap_or_default();
    let mut seen = Loop {
        states: Vec::new(),
        bands: bands.iter().map(|band| band.name).collect(),
        gauge: spec.and_then(gauge).filter(|_| !limits.is_empty()),
        divider: spec.and_then(divider),
        limits,
        resistors: built.resistors,
        cable: run,
        sensor,
        controller,
        seen: built.seen,
        ambient,
    };
    let tamper = sensor.sheet.tamper.filter(|_| built.has_tamper).map(|rest| rest.value);
    seen.fill(rests.value, built.has_tamper, tamper);
    Ok(seen)
}

impl Loop<'_> {
    /// Works out the states of a loop whose contacts rest like this.
    fn fill(&mut self, rests: Rest, has_tamper: bool, tamper: Option<Rest>) {
        let at = |main: Rest, tampered: bool| {
            let mut positions = vec![position(main)];
            if has_tamper {
                // Without a tamper contact in the sheet the word `tamper` is reported elsewhere.
                let rest = tamper.unwrap_or(Rest::Closed);
                positions.push(position(if tampered { rest.opposite() } else { rest }));
            }
            Condition::healthy(&positions)
        };
        let active = rests.opposite();
        self.push(StateName::Resting, at(rests, false), rests);
        self.push(StateName::Active, at(active, false), rests);
        if has_tamper && tamper.is_some() {
            self.push(StateName::Tamper, at(rests, true), rests);
            self.push(StateName::ActiveTamper, at(active, true), rests);
        }
        self.push(StateName::Cut, at(rests, false).with_line(Line::Cut), rests);
        self.push(StateName::Shorted, at(rests, false).with_line(Line::Shorted), rests);
    }

    fn push(&mut self, name: StateName, condition: Condition, rests: Rest) {
        let Ok(ohms) = self.seen.resistance(&condition) else { return };
        let window = self.gauge.as_ref().map(|gauge| gauge.shows(ohms));
        let nominal = self.nominal(&condition);
        let nominal_volts = self.divider.map(|divider| {
            let (supply, pull_up) = (divider.supply().middle(), divider.pull_up().middle());
            if nominal.is_infinite() { supply } else { supply * nominal / (nominal + pull_up) }
        });
        self.states.push(LoopState {
            name,
            ohms,
            volts: self.divider.map(|divider| divider.volts(ohms)),
            nominal,
            nominal_volts,
            placement: window.map(|window| place(window, &self.limits)),
            belongs: self.belongs(name, rests),
            condition,
        });
    }

    /// The reading to expect, ohm: every part at its own figure, the cable at 20 degC.
    fn nominal(&self, condition: &Condition) -> f64 {
        let cable = self.cable.and_then(|cable| cable.ohm(20.0)).unwrap_or(0.0);
        let net = self.seen.network().nominal(&condition.positions, &condition.parts);
        match condition.line {
            Line::Intact => net.map_or(f64::INFINITY, |net| net + cable),
            Line::Cut => f64::INFINITY,
            Line::ShortedNear => 0.0,
            Line::ShortedFar | Line::Shorted => cable,
        }
    }

    /// The band that means a state.
    fn belongs(&self, name: StateName, rests: Rest) -> Option<usize> {
        let band = |name: BandName| self.bands.iter().position(|band| *band == name);
        let contact = |rest: Rest| match rest {
            Rest::Open => band(BandName::Open),
            Rest::Closed => band(BandName::Closed),
        };
        match name {
            StateName::Resting => band(BandName::Resting).or_else(|| contact(rests)),
            StateName::Active => band(BandName::Active).or_else(|| contact(rests.opposite())),
            StateName::Tamper => band(BandName::Tamper),
            // Taken for an alarm or for a tamper, it is told.
            StateName::ActiveTamper => None,
            StateName::Cut => band(BandName::Cut),
            StateName::Shorted => band(BandName::Shorted),
        }
    }
}

/// In which unit bands are given.
fn gauge(spec: &InputSpec) -> Option<Gauge> {
    if !spec.bands.iter().any(|band| band.limits.volts) {
        return Some(Gauge::Ohms);
    }
    if !spec.bands.iter().all(|band| band.limits.volts) {
        return None;
    }
    divider(spec).map(Gauge::Volts)
}

fn divider(spec: &InputSpec) -> Option<Divider> {
    let around = |value: f64, tolerance: Option<Spanned<f64>>| {
        Interval::with_tolerance(value, tolerance.map_or(0.0, |tolerance| tolerance.value)).ok()
    };
    let supply = around(spec.pull_up?.value, spec.pull_up_tolerance)?;
    let pull_up = around(spec.resistance?.value, spec.resistance_tolerance)?;
    Divider::new(supply, pull_up).ok()
}
