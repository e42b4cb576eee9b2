//! From the words of a zone to the engine's loop.

use crate::cabling::Cabling;
use crate::figure::{Known, NotKnown};
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{self, ContactId, EndNetworkBuilder, EndsError, PartId, Position};
use curtilage_syntax::tree::part::{self, Rest};
use curtilage_syntax::tree::wiring::{EndPart, EndStep, Ends};
use curtilage_text::{FileId, Place};

/// A resistor of an end-of-line network.
#[derive(Clone, Copy, Debug)]
pub struct Resistor {
    /// The engine's number of it.
    pub part: PartId,
    /// Nominal value, ohm.
    pub ohm: f64,
    /// Its tolerance as a ratio; none given counts as exact.
    pub tolerance: Option<f64>,
    /// The words that give its value.
    pub at: Place,
}

/// What a zone has at the end of its wires.
pub(super) struct Built {
    pub(super) seen: ends::Loop,
    pub(super) resistors: Vec<Resistor>,
    pub(super) has_tamper: bool,
}

/// A contact is taken to be no more than this when closed, when its sheet does not say, ohm
/// (common practice, no source).
pub const CLOSED_CONTACT: f64 = 2.0;

/// Ohms of a loop's cable, from a perfect one to the hottest with all its joints: the figures of
/// the standard are the most that it allows, so a real cable may have less.
pub(super) fn cable(cable: Option<&Cabling<'_>>, ambient: Option<Interval>) -> Known<Interval> {
    let Some(cable) = cable else { return Ok(Interval::ZERO) };
    let ambient = ambient.ok_or_else(|| NotKnown::because("the site gives no `ambient`"))?;
    let most = cable.ohm(ambient.hi()).and_then(|most| Interval::new(0.0, most).ok());
    most.ok_or_else(|| NotKnown::because("the cable's figures are beyond what can be worked with"))
}

pub(super) fn build(
    ends: Option<&Ends>,
    file: FileId,
    sensor: &part::Sensor,
    cable: Interval,
) -> Result<Built, EndsError> {
    let closed = sensor.closed_resistance.map_or(CLOSED_CONTACT, |ohms| ohms.value);
    let mut builder = Builder {
        network: EndNetworkBuilder::new(),
        closed: Interval::new(0.0, closed)?,
        tamper: None,
        resistors: Vec::new(),
        file,
    };
    let main = builder.network.contact(builder.closed, Interval::OPEN)?;
    let mut whole = builder.network.pole(main)?;
    if let Some(ends) = ends {
        whole = builder.join(whole, &ends.steps)?;
    }
    let Builder { network, resistors, tamper, .. } = builder;
    let seen = ends::Loop::new(network.finish(whole)?, cable, None)?;
    Ok(Built { seen, resistors, has_tamper: tamper.is_some() })
}

/// The position of a contact in a state.
pub(super) fn position(rest: Rest) -> Position {
    match rest {
        Rest::Open => Position::Open,
        Rest::Closed => Position::Closed,
    }
}

struct Builder {
    network: EndNetworkBuilder,
    closed: Interval,
    tamper: Option<ContactId>,
    resistors: Vec<Resistor>,
    file: FileId,
}

impl Builder {
    fn join(&mut self, mut whole: PartId, steps: &[EndStep]) -> Result<PartId, EndsError> {
        for step in steps {
            let part = self.one(&step.part)?;
            whole = if step.series {
                self.network.series(&[whole, part])?
            } else {
                self.network.parallel(&[whole, part])?
            };
        }
        Ok(whole)
    }

    fn one(&mut self, part: &EndPart) -> Result<PartId, EndsError> {
        match part {
            EndPart::Resistor(ohms, tolerance) => {
                let tolerance = tolerance.map(|tolerance| tolerance.value);
                let part = self.network.resistor(ohms.value, tolerance.unwrap_or(0.0))?;
                let at = Place::new(self.file, ohms.span);
                self.resistors.push(Resistor { part, ohm: ohms.value, tolerance, at });
                Ok(part)
            }
            EndPart::Tamper(_) => {
                let contact = match self.tamper {
                    Some(contact) => contact,
                    None => self.network.contact(self.closed, Interval::OPEN)?,
                };
                self.tamper = Some(contact);
                self.network.pole(contact)
            }
            EndPart::Group(first, steps) => {
                let first = self.one(first)?;
                self.join(first, steps)
            }
        }
    }
}
