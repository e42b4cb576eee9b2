//! What loops share that differ in their cable alone: the same sensor, the same resistors and the
//! same input. A site has few of them, and each is worked out once.

use super::StateName;
use super::build::network;
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{
    Condition, Divider, EndNetwork, EndsError, Gauge, Line, PartId, Position,
};
use curtilage_model::PartRef;
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::part::{self, BandName, InputSpec, Limits, Rest};
use curtilage_syntax::tree::wiring::{EndPart, EndStep, Ends};
use std::sync::{Arc, OnceLock};

/// A loop without its cable.
#[derive(Debug)]
pub(super) struct Pattern {
    /// What is at the end of the wires.
    pub(super) network: Arc<EndNetwork>,
    /// Its resistors, in the order in which they are written.
    pub(super) resistors: Vec<PartId>,
    /// The names of the bands of the input, in the order of its part.
    pub(super) bands: Vec<BandName>,
    /// The limits of the bands; none when one of them cannot be used.
    pub(super) limits: Vec<Interval>,
    /// In which unit the bands are given; none when they cannot be used.
    pub(super) gauge: Option<Gauge>,
    /// The input's pull-up.
    pub(super) divider: Option<Divider>,
    /// The states, rest first.
    pub(super) states: Vec<PatternState>,
    /// Whether every resistor can be bought off the shelf, once somebody has asked.
    pub(super) all_preferred: OnceLock<bool>,
}

/// A state of a loop without its cable.
#[derive(Debug)]
pub(super) struct PatternState {
    pub(super) name: StateName,
    /// The positions of its contacts and what is wrong with its wires.
    pub(super) condition: Condition,
    /// Ohms at the end of the wires.
    pub(super) ohms: Interval,
    /// The same with every part at its own figure.
    pub(super) nominal: f64,
    /// The band that means it, by index; none when the input has none for it.
    pub(super) belongs: Option<usize>,
}

/// As many patterns are remembered: more than a site has kinds of loops, and few enough to look
/// through for every zone.
const MOST: usize = 16;

/// The patterns that were worked out last.
#[derive(Default)]
pub(super) struct Patterns<'a> {
    list: Vec<(Parts, &'a [EndStep], Arc<Pattern>)>,
}

/// The parts of the sensor and of the controller.
type Parts = (curtilage_model::PartId, curtilage_model::PartId);

impl<'a> Patterns<'a> {
    /// The pattern of a zone.
    pub(super) fn of(
        &mut self,
        before: &mut Kept,
        sensor: PartRef<'a, part::Sensor>,
        rests: Rest,
        controller: PartRef<'a, part::Controller>,
        ends: Option<&'a Ends>,
    ) -> Result<Arc<Pattern>, EndsError> {
        let parts = (sensor.id, controller.id);
        let steps = ends.map_or(&[][..], |ends| ends.steps.as_slice());
        let known = self.list.iter().find(|one| one.0 == parts && same_steps(one.1, steps));
        if let Some((_, _, pattern)) = known {
            return Ok(Arc::clone(pattern));
        }
        let pattern =
            before.pattern(steps, sensor.sheet, rests, controller.sheet.input.as_ref())?;
        if self.list.len() == MOST {
            self.list.remove(0);
        }
        self.list.push((parts, steps, Arc::clone(&pattern)));
        Ok(pattern)
    }
}

/// The patterns of the version before. One that follows from the same is the very same one, so that two
/// can be told apart without a look inside.
#[derive(Default)]
pub(super) struct Kept {
    pub(super) keeps: bool,
    before: Vec<(Asked, Arc<Pattern>)>,
    now: Vec<(Asked, Arc<Pattern>)>,
}

impl Kept {
    fn pattern(
        &mut self,
        steps: &[EndStep],
        sensor: &part::Sensor,
        rests: Rest,
        spec: Option<&InputSpec>,
    ) -> Result<Arc<Pattern>, EndsError> {
        if !self.keeps || self.now.len() > MOST {
            return Pattern::new(steps, sensor, rests, spec).map(Arc::new);
        }
        let asked = Asked::new(steps, sensor, rests, spec);
        if let Some((_, known)) = self.now.iter().find(|(known, _)| *known == asked) {
            return Ok(Arc::clone(known));
        }
        let pattern = match self.before.iter().find(|(known, _)| *known == asked) {
            Some((_, known)) => Arc::clone(known),
            None => Arc::new(Pattern::new(steps, sensor, rests, spec)?),
        };
        self.now.push((asked, Arc::clone(&pattern)));
        Ok(pattern)
    }

    pub(super) fn turn(&mut self) {
        self.before = std::mem::take(&mut self.now);
    }
}

/// What a pattern follows from, wherever it is written.
struct Asked {
    steps: Vec<EndStep>,
    rests: Rest,
    closed: Option<f64>,
    tamper: Option<Rest>,
    /// The voltage and the resistance of the pull-up, each with its tolerance.
    pull_up: [Option<f64>; 4],
    bands: Vec<(BandName, Limits)>,
}

impl Asked {
    fn new(
        steps: &[EndStep],
        sensor: &part::Sensor,
        rests: Rest,
        spec: Option<&InputSpec>,
    ) -> Self {
        let value = |said: Option<Spanned<f64>>| said.map(|said| said.value);
        let pull_up = spec.map(|spec| {
            [spec.pull_up, spec.pull_up_tolerance, spec.resistance, spec.resistance_tolerance]
        });
        let bands = spec.map_or(&[][..], |spec| spec.bands.as_slice());
        Self {
            steps: steps.to_vec(),
            rests,
            closed: value(sensor.closed_resistance),
            tamper: sensor.tamper.map(|rest| rest.value),
            pull_up: pull_up.unwrap_or_default().map(value),
            bands: bands.iter().map(|band| (band.name, band.limits)).collect(),
        }
    }
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        let Self { steps, rests, closed, tamper, pull_up, bands } = self;
        same_steps(steps, &other.steps)
            && *rests == other.rests
            && *closed == other.closed
            && *tamper == other.tamper
            && *pull_up == other.pull_up
            && *bands == other.bands
    }
}

impl Pattern {
    /// Works out a pattern.
    pub(super) fn new(
        steps: &[EndStep],
        sensor: &part::Sensor,
        rests: Rest,
        spec: Option<&InputSpec>,
    ) -> Result<Self, EndsError> {
        let built = network(steps, sensor)?;
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
        let mut out = Self {
            resistors: built.network.resistors().map(|(part, _, _)| part).collect(),
            network: Arc::new(built.network),
            bands: bands.iter().map(|band| band.name).collect(),
            gauge: spec.and_then(gauge).filter(|_| !limits.is_empty()),
            limits,
            divider: spec.and_then(divider),
            states: Vec::new(),
            all_preferred: OnceLock::new(),
        };
        let tamper = sensor.tamper.filter(|_| built.has_tamper).map(|rest| rest.value);
        out.fill(rests, built.has_tamper, tamper);
        Ok(out)
    }

    /// A state by name.
    pub(super) fn state(&self, name: StateName) -> Option<&PatternState> {
        self.states.iter().find(|state| state.name == name)
    }

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
        let Some(resting) = self.states.first().map(|first| (first.ohms, first.nominal)) else {
            return;
        };
        for (name, line) in [(StateName::Cut, Line::Cut), (StateName::Shorted, Line::Shorted)] {
            let condition = at(rests, false).with_line(line);
            let (ohms, nominal) = resting;
            let belongs = self.belongs(name, rests);
            self.states.push(PatternState { name, condition, ohms, nominal, belongs });
        }
    }

    fn push(&mut self, name: StateName, condition: Condition, rests: Rest) {
        let (positions, parts) = (&condition.positions, &condition.parts);
        let Ok(ohms) = self.network.resistance(positions, parts) else { return };
        let nominal = self.network.nominal(positions, parts).unwrap_or(f64::INFINITY);
        let belongs = self.belongs(name, rests);
        self.states.push(PatternState { name, condition, ohms, nominal, belongs });
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

/// The position of a contact in a state.
fn position(rest: Rest) -> Position {
    match rest {
        Rest::Open => Position::Open,
        Rest::Closed => Position::Closed,
    }
}

/// Whether two networks are the same, wherever they are written.
fn same_steps(a: &[EndStep], b: &[EndStep]) -> bool {
    a.len() == b.len()
        && a.iter().zip(b).all(|(a, b)| a.series == b.series && same_part(&a.part, &b.part))
}

fn same_part(a: &EndPart, b: &EndPart) -> bool {
    match (a, b) {
        (EndPart::Resistor(a, a_tolerance), EndPart::Resistor(b, b_tolerance)) => {
            let value = |said: &Option<Spanned<f64>>| said.map(|said| said.value);
            a.value == b.value && value(a_tolerance) == value(b_tolerance)
        }
        (EndPart::Tamper(_), EndPart::Tamper(_)) => true,
        (EndPart::Group(a, a_steps), EndPart::Group(b, b_steps)) => {
            same_part(a, b) && same_steps(a_steps, b_steps)
        }
        _ => false,
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
