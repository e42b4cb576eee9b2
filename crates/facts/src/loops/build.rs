//! From the words of a zone to the engine's loop.

use super::Loop;
use crate::cabling::Cabling;
use crate::figure::{Known, NotKnown};
use curtilage_circuit::Interval;
use curtilage_circuit::ends::{ContactId, EndNetwork, EndNetworkBuilder, EndsError, PartId};
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::part;
use curtilage_syntax::tree::wiring::{EndPart, EndStep};
use curtilage_text::Place;

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
    pub(super) network: EndNetwork,
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

/// What is at the end of the wires. Its resistors are added in the order in which they are written.
pub(super) fn network(steps: &[EndStep], sensor: &part::Sensor) -> Result<Built, EndsError> {
    let closed = sensor.closed_resistance.map_or(CLOSED_CONTACT, |ohms| ohms.value);
    let closed = Interval::new(0.0, closed)?;
    let mut builder = Builder { network: EndNetworkBuilder::new(), tamper: None };
    let main = builder.network.contact(closed, Interval::OPEN)?;
    let whole = builder.network.pole(main)?;
    let whole = builder.join(whole, steps)?;
    let Builder { network, tamper, .. } = builder;
    Ok(Built { network: network.finish(whole)?, has_tamper: tamper.is_some() })
}

impl Loop<'_> {
    /// The resistors of its end-of-line network, in the order in which they are written.
    #[must_use]
    pub fn resistors(&self) -> Vec<Resistor> {
        let mut out = Vec::with_capacity(self.pattern().resistors.len());
        let mut parts = self.pattern().resistors.iter();
        each(self.ends.map_or(&[], |ends| &ends.steps), &mut |ohms, tolerance| {
            let Some(part) = parts.next() else { return };
            let at = Place::new(self.file, ohms.span);
            out.push(Resistor { part: *part, ohm: ohms.value, tolerance, at });
        });
        out
    }
}

/// Shows every resistor of a network, in the order in which they are written.
fn each(steps: &[EndStep], show: &mut impl FnMut(&Spanned<f64>, Option<f64>)) {
    for step in steps {
        each_of(&step.part, show);
    }
}

fn each_of(part: &EndPart, show: &mut impl FnMut(&Spanned<f64>, Option<f64>)) {
    match part {
        EndPart::Resistor(ohms, tolerance) => show(ohms, tolerance.map(|said| said.value)),
        EndPart::Tamper(_) => {}
        EndPart::Group(first, steps) => {
            each_of(first, show);
            each(steps, show);
        }
    }
}

struct Builder {
    network: EndNetworkBuilder,
    tamper: Option<ContactId>,
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
                self.network.resistor(ohms.value, tolerance.unwrap_or(0.0))
            }
            EndPart::Tamper(_) => {
                let contact = match self.tamper {
                    Some(contact) => contact,
                    // A sheet gives the resistance of the alarm contact alone.
                    None => {
                        let closed = Interval::new(0.0, CLOSED_CONTACT)?;
                        self.network.contact(closed, Interval::OPEN)?
                    }
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
