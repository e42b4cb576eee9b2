//! The loop of each zone: what the input sees at rest, active, tampered, cut and shorted.

use curtilage_circuit::conductor::{Class, Conductor, Leg};
use curtilage_circuit::ends::{
    Condition, ContactId, Divider, EndNetworkBuilder, EndsError, Gauge, Line, PartId, Placement,
    Position, place,
};
use curtilage_circuit::{Interval, ends};
use curtilage_model::{Model, RunOf, Zone};
use curtilage_syntax::tree::part::{self, BandName, InputSpec, Rest};
use curtilage_syntax::tree::wiring::{EndPart, EndStep};

/// A physical state of a loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StateName {
    /// Nothing is active.
    Resting,
    /// The sensor is active.
    Active,
    /// The tamper contact has moved.
    Tamper,
    /// A wire is cut.
    Cut,
    /// The wires touch.
    Shorted,
}

/// One state and what the input sees of it.
#[derive(Clone, Debug)]
pub struct LoopState {
    /// Which.
    pub name: StateName,
    /// Ohms at the input's terminals.
    pub ohms: Interval,
    /// In which band of the input it lies; none when the part gives no bands.
    pub placement: Option<Placement>,
}

/// The loop of a zone.
#[derive(Clone, Debug)]
pub struct Loop {
    /// The states, rest first.
    pub states: Vec<LoopState>,
    /// The bands, in the order of the part.
    pub bands: Vec<BandName>,
}

impl Loop {
    /// A state by name.
    #[must_use]
    pub fn state(&self, name: StateName) -> Option<&LoopState> {
        self.states.iter().find(|state| state.name == name)
    }
}

pub(crate) fn loops(model: &Model<'_>) -> Vec<Option<Loop>> {
    let ambient = model.site.as_ref().and_then(|site| site.tree.ambient);
    let ambient =
        ambient.and_then(|ambient| Interval::signed(ambient.value.low, ambient.value.high).ok());
    model.zones.iter().map(|zone| of_zone(model, zone, ambient)).collect()
}

/// A contact is taken to be no more than this when closed, when its sheet does not say, ohm
/// (common practice, no source).
const CLOSED_CONTACT: f64 = 2.0;

fn of_zone(model: &Model<'_>, zone: &Zone<'_>, ambient: Option<Interval>) -> Option<Loop> {
    let sensor = zone.sensor?.sheet;
    let rests = sensor.rests?.value;
    let input = zone.input.as_ref()?;
    let controller = model.controller(input.terminal?.controller)?.part?.sheet;
    let cable = match &input.run {
        None => Interval::ZERO,
        Some(run) => cable_ohms(run, ambient?)?,
    };
    let (seen, has_tamper) = build(zone, sensor, cable).ok()?;
    let gauge = controller.input.as_ref().and_then(|spec| gauge(spec));
    let bands: Vec<_> = controller.input.as_ref().map_or(Vec::new(), |spec| spec.bands.clone());
    let limits: Vec<Interval> = bands
        .iter()
        .filter_map(|band| {
            let low = band.limits.low.unwrap_or(0.0);
            let high = band.limits.high.unwrap_or(f64::INFINITY);
            Interval::new(low, high).ok()
        })
        .collect();
    let mut states = Vec::new();
    let mut push = |name: StateName, condition: &Condition| {
        let Ok(ohms) = seen.resistance(condition) else { return };
        let placement = gauge
            .as_ref()
            .filter(|_| !limits.is_empty())
            .map(|gauge| place(gauge.shows(ohms), &limits));
        states.push(LoopState { name, ohms, placement });
    };
    let position = |rest: Rest| match rest {
        Rest::Open => Position::Open,
        Rest::Closed => Position::Closed,
    };
    let tamper = sensor.tamper.map(|rest| rest.value);
    let at = |main: Rest, tamper_rests: bool| {
        let mut positions = vec![position(main)];
        if let (true, Some(rest)) = (has_tamper, tamper) {
            positions.push(position(if tamper_rests { rest } else { rest.opposite() }));
        }
        Condition::healthy(&positions)
    };
    push(StateName::Resting, &at(rests, true));
    push(StateName::Active, &at(rests.opposite(), true));
    if has_tamper {
        push(StateName::Tamper, &at(rests, false));
    }
    push(StateName::Cut, &at(rests, true).with_line(Line::Cut));
    push(StateName::Shorted, &at(rests, true).with_line(Line::Shorted));
    Some(Loop { states, bands: bands.iter().map(|band| band.name).collect() })
}

fn gauge(spec: &InputSpec) -> Option<Gauge> {
    if !spec.bands.iter().any(|band| band.limits.volts) {
        return Some(Gauge::Ohms);
    }
    if !spec.bands.iter().all(|band| band.limits.volts) {
        return None;
    }
    let around = |value: f64, tolerance: Option<curtilage_syntax::tree::Spanned<f64>>| {
        Interval::with_tolerance(value, tolerance.map_or(0.0, |tolerance| tolerance.value)).ok()
    };
    let supply = around(spec.pull_up?.value, spec.pull_up_tolerance)?;
    let pull_up = around(spec.resistance?.value, spec.resistance_tolerance)?;
    Divider::new(supply, pull_up).ok().map(Gauge::Volts)
}

/// Both conductors of a run over the ambient range, ohm.
pub(crate) fn cable_ohms(run: &RunOf<'_>, ambient: Interval) -> Option<Interval> {
    let conductor = conductor(run.cable?.sheet)?;
    let leg = Leg::new(conductor, run.tree.length.value).ok()?;
    let cores = run.tree.cores.map_or(1, |cores| cores.value);
    let leg = leg.with_parallel(cores).ok()?.ohm_range(ambient).ok()?;
    let joints = run.tree.joints.map_or(0.0, |joints| f64::from(joints.value));
    let joint = run.tree.joint.map_or(0.0, |joint| joint.value);
    Some(leg.plus(leg).plus(Interval::point(joints * joint).ok()?))
}

/// The conductor of a cable part: what its sheet states, otherwise by its size. A size without a
/// class is taken as class 5, whose maximum is the higher one; a size that IEC 60228 does not have
/// as ideal copper, a lower bound.
pub(crate) fn conductor(sheet: &part::Cable) -> Option<Conductor> {
    if let Some(stated) = sheet.resistance {
        return Conductor::stated(stated.value * 1000.0, 0.003_93).ok();
    }
    match sheet.conductor?.value {
        part::Conductor::Gauge(gauge) =>
        {
            #[expect(clippy::cast_possible_truncation, reason = "a gauge number is small")]
            Conductor::awg(gauge as i32).ok()
        }
        part::Conductor::Area(area, class) => {
            let class = match class {
                Some(1) => Class::One,
                Some(2) => Class::Two,
                _ => Class::Five,
            };
            Conductor::iec60228(area, class).or_else(|_| Conductor::ideal(area)).ok()
        }
    }
}

fn build(
    zone: &Zone<'_>,
    sensor: &part::Sensor,
    cable: Interval,
) -> Result<(ends::Loop, bool), EndsError> {
    let closed = sensor.closed_resistance.map_or(CLOSED_CONTACT, |ohms| ohms.value);
    let closed = Interval::new(0.0, closed)?;
    let mut network = EndNetworkBuilder::new();
    let main = network.contact(closed, Interval::OPEN)?;
    let mut whole = network.pole(main)?;
    let mut tamper = None;
    if let Some(written) = &zone.tree.ends {
        whole = join(&mut network, whole, &written.steps, closed, &mut tamper)?;
    }
    let seen = ends::Loop::new(network.finish(whole)?, cable, None)?;
    Ok((seen, tamper.is_some()))
}

fn join(
    network: &mut EndNetworkBuilder,
    mut whole: PartId,
    steps: &[EndStep],
    closed: Interval,
    tamper: &mut Option<ContactId>,
) -> Result<PartId, EndsError> {
    for step in steps {
        let part = one(network, &step.part, closed, tamper)?;
        whole = if step.series {
            network.series(&[whole, part])?
        } else {
            network.parallel(&[whole, part])?
        };
    }
    Ok(whole)
}

fn one(
    network: &mut EndNetworkBuilder,
    part: &EndPart,
    closed: Interval,
    tamper: &mut Option<ContactId>,
) -> Result<PartId, EndsError> {
    match part {
        EndPart::Resistor(ohms, tolerance) => {
            network.resistor(ohms.value, tolerance.map_or(0.0, |tolerance| tolerance.value))
        }
        EndPart::Tamper(_) => {
            let contact = match *tamper {
                Some(contact) => contact,
                None => network.contact(closed, Interval::OPEN)?,
            };
            *tamper = Some(contact);
            network.pole(contact)
        }
        EndPart::Group(first, steps) => {
            let first = one(network, first, closed, tamper)?;
            join(network, first, steps, closed, tamper)
        }
    }
}
