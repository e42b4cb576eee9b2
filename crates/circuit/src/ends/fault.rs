//! A loop with its cable and leakage, in health and in fault.

use super::network::{EndNetwork, PartId, Position};
use super::{Divider, EndsError};
use crate::input::positive;
use crate::interval::Interval;
use crate::working::{Mark, OHM, Source, Step};
use std::sync::Arc;

/// What can happen to a part of the end network.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartFault {
    /// Missing, burnt out, or its wire off.
    Open,
    /// Bridged, or welded.
    Short,
}

/// What can happen to the cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// Nothing.
    Intact,
    /// A wire is cut, at either end or between: the network is no longer seen.
    Cut,
    /// The wires touch at the input.
    ShortedNear,
    /// The wires touch at the network.
    ShortedFar,
    /// The wires touch somewhere between the input and the network.
    Shorted,
}

/// One physical condition of a loop: contacts, cable and parts. More than one of
/// them out of order is a double fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// The position of each contact, by its id.
    pub positions: Vec<Position>,
    /// The cable.
    pub line: Line,
    /// Faults of single parts, groups included.
    pub parts: Vec<(PartId, PartFault)>,
}

impl Condition {
    /// All in order, with the contacts as given.
    #[must_use]
    pub fn healthy(positions: &[Position]) -> Self {
        Self { positions: positions.to_vec(), line: Line::Intact, parts: Vec::new() }
    }

    /// The same with a fault of the cable.
    #[must_use]
    pub fn with_line(mut self, line: Line) -> Self {
        self.line = line;
        self
    }

    /// The same with a fault of one more part.
    #[must_use]
    pub fn with_part(mut self, part: PartId, fault: PartFault) -> Self {
        self.parts.push((part, fault));
        self
    }
}

/// A supervised loop: the end network, the cable to it and the leakage across it.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop {
    network: Arc<EndNetwork>,
    cable: Interval,
    leakage: Interval,
}

impl Loop {
    /// A loop; several may share one network. `cable` is the resistance of both conductors with their joints over the
    /// ambient range, ohm. `least_leakage_ohm` is the lowest insulation resistance
    /// between the wires; none means that none is given.
    ///
    /// Leakage counts at the input's terminals: there it lowers the reading most,
    /// so every other place on the cable lies between that corner and no leakage.
    ///
    /// # Errors
    /// [`EndsError::Input`] for a leakage that is not positive or a cable without a
    /// finite end.
    pub fn new(
        network: impl Into<Arc<EndNetwork>>,
        cable: Interval,
        least_leakage_ohm: Option<f64>,
    ) -> Result<Self, EndsError> {
        crate::input::in_range("cable resistance", cable.hi(), 0.0, crate::input::MOST)?;
        let leakage = match least_leakage_ohm {
            None => Interval::OPEN,
            Some(r) => Interval::new(positive("insulation resistance", r)?, f64::INFINITY)?,
        };
        Ok(Self { network: network.into(), cable, leakage })
    }

    /// The end network.
    #[must_use]
    pub fn network(&self) -> &EndNetwork {
        &self.network
    }

    /// The resistance of both conductors, ohm.
    #[must_use]
    pub const fn cable(&self) -> Interval {
        self.cable
    }

    /// The exact range of resistance at the input's terminals, ohm; infinite where
    /// nothing conducts.
    ///
    /// # Errors
    /// [`EndsError`] if the condition does not match the network.
    pub fn resistance(&self, condition: &Condition) -> Result<Interval, EndsError> {
        let net = self.network.resistance(&condition.positions, &condition.parts)?;
        Ok(self.seen(net, condition.line))
    }

    /// The range at the input's terminals when the end network has the range `network`, ohm.
    #[must_use]
    pub fn seen(&self, network: Interval, line: Line) -> Interval {
        let wires = match line {
            Line::Intact => self.cable.plus(network),
            Line::Cut => Interval::OPEN,
            Line::ShortedNear => Interval::ZERO,
            Line::ShortedFar => self.cable,
            Line::Shorted => self.cable.hull(Interval::ZERO),
        };
        wires.parallel(self.leakage)
    }

    /// The reading to expect on a meter, ohm, with every element nominal, the cable at
    /// the middle of its range and no leakage.
    ///
    /// # Errors
    /// [`EndsError`] if the condition does not match the network.
    pub fn nominal(&self, condition: &Condition) -> Result<f64, EndsError> {
        let net = self.network.nominal(&condition.positions, &condition.parts)?;
        Ok(match condition.line {
            Line::Intact => self.cable.middle() + net,
            Line::Cut => f64::INFINITY,
            Line::ShortedNear => 0.0,
            Line::ShortedFar => self.cable.middle(),
            Line::Shorted => self.cable.middle() / 2.0,
        })
    }

    /// The working of both corners of [`Loop::resistance`], and of the voltage if a
    /// divider is given.
    ///
    /// # Errors
    /// [`EndsError`] if the condition does not match the network.
    pub fn explain(
        &self,
        condition: &Condition,
        divider: Option<&Divider>,
    ) -> Result<Vec<Step>, EndsError> {
        let monotone =
            Source::new("series and parallel resistances, each at its corner", Mark::Calculated);
        let net = self.network.resistance(&condition.positions, &condition.parts)?;
        let r = self.seen(net, condition.line);
        let mut steps = Vec::new();
        let corners = [
            ("Rmin", net.lo(), self.cable.lo(), self.leakage.lo(), r.lo()),
            ("Rmax", net.hi(), self.cable.hi(), self.leakage.hi(), r.hi()),
        ];
        for (symbol, n, c, l, result) in corners {
            let inputs = [("Rc", c, "ohm"), ("Rn", n, "ohm"), ("Ri", l, "ohm")];
            let (formula, inputs): (_, &[_]) = match (condition.line, l.is_infinite()) {
                (Line::Intact, true) => ("Rc + Rn", inputs.get(..2).unwrap_or(&[])),
                (Line::Intact, false) => ("1 / (1 / (Rc + Rn) + 1 / Ri)", &inputs),
                (Line::Cut, _) => ("Ri", inputs.get(2..).unwrap_or(&[])),
                (Line::ShortedNear, _) => ("0", &[]),
                (Line::ShortedFar | Line::Shorted, _) => ("Rc", inputs.get(..1).unwrap_or(&[])),
            };
            steps.push(Step::new(symbol, formula, inputs, result, "ohm", monotone));
        }
        if let Some(d) = divider {
            let v = d.volts(r);
            let (s, p) = (d.supply(), d.pull_up());
            for (symbol, us, rp, rl, result) in
                [("Umin", s.lo(), p.hi(), r.lo(), v.lo()), ("Umax", s.hi(), p.lo(), r.hi(), v.hi())]
            {
                let inputs = [("Us", us, "V"), ("R", rl, "ohm"), ("Rp", rp, "ohm")];
                steps.push(Step::new(symbol, "Us * R / (R + Rp)", &inputs, result, "V", OHM));
            }
        }
        Ok(steps)
    }
}
