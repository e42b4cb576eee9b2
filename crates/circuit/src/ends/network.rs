//! The end network itself: an arena of parts, children before parents.

use super::EndsError;
use super::fault::PartFault;
use crate::input::{in_range, positive};
use crate::interval::Interval;

/// A part of an end network, in the order in which it was added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct PartId(u32);

impl PartId {
    /// Its place in the order of adding.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// A contact, which may have several poles in the network.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ContactId(u32);

impl ContactId {
    /// Its place in the order of adding, and in a list of [`Position`]s.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// Where a contact is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Position {
    /// Conducting.
    Closed,
    /// Not conducting.
    Open,
}

/// One part, as a reader of the network sees it.
#[derive(Debug, Clone, PartialEq)]
pub enum EndPart {
    /// A resistor: nominal ohm, tolerance as a fraction.
    Resistor {
        /// Nominal value, ohm.
        ohm: f64,
        /// Tolerance, a fraction from 0 to 1.
        tolerance: f64,
    },
    /// One pole of a contact.
    Pole(ContactId),
    /// Parts in series.
    Series(Vec<PartId>),
    /// Parts in parallel.
    Parallel(Vec<PartId>),
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Contact {
    closed: Interval,
    open: Interval,
}

/// Builds an [`EndNetwork`]; groups are made of parts added before.
#[derive(Debug, Clone, Default)]
pub struct EndNetworkBuilder {
    parts: Vec<EndPart>,
    used: Vec<bool>,
    contacts: Vec<Contact>,
}

/// A finished end network.
#[derive(Debug, Clone, PartialEq)]
pub struct EndNetwork {
    parts: Vec<EndPart>,
    contacts: Vec<Contact>,
}

impl EndNetworkBuilder {
    /// An empty builder.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    fn add(&mut self, part: EndPart) -> PartId {
        let id = PartId(u32::try_from(self.parts.len()).unwrap_or(u32::MAX));
        self.parts.push(part);
        self.used.push(false);
        id
    }

    /// A resistor of nominal ohm and a tolerance as a fraction (0.01 for 1 %).
    ///
    /// # Errors
    /// [`EndsError::Input`] for zero ohm, or a tolerance outside 0 to 1.
    pub fn resistor(&mut self, ohm: f64, tolerance: f64) -> Result<PartId, EndsError> {
        let ohm = positive("resistor", ohm)?;
        let tolerance = in_range("tolerance", tolerance, 0.0, 1.0)?;
        Ok(self.add(EndPart::Resistor { ohm, tolerance }))
    }

    /// A contact: its resistance closed (a range from zero) and open (a range up to
    /// infinity), ohm.
    ///
    /// # Errors
    /// [`EndsError::Input`] if the closed resistance has no finite upper end.
    pub fn contact(&mut self, closed: Interval, open: Interval) -> Result<ContactId, EndsError> {
        in_range("closed contact resistance", closed.hi(), 0.0, crate::input::MOST)?;
        let id = ContactId(u32::try_from(self.contacts.len()).unwrap_or(u32::MAX));
        self.contacts.push(Contact { closed, open });
        Ok(id)
    }

    /// A pole of a contact. Two poles of one contact are two parts.
    ///
    /// # Errors
    /// [`EndsError::UnknownContact`] for a contact of another network.
    pub fn pole(&mut self, contact: ContactId) -> Result<PartId, EndsError> {
        if contact.index() >= self.contacts.len() {
            return Err(EndsError::UnknownContact(contact));
        }
        Ok(self.add(EndPart::Pole(contact)))
    }

    /// Takes the members out of the pool of free parts; all or none.
    fn take(&mut self, members: &[PartId]) -> Result<(), EndsError> {
        if members.is_empty() {
            return Err(EndsError::EmptyGroup);
        }
        for (k, &m) in members.iter().enumerate() {
            let twice = members.iter().take(k).any(|&n| n == m);
            match self.used.get(m.index()) {
                None => return Err(EndsError::UnknownPart(m)),
                Some(&used) if used || twice => return Err(EndsError::PartUsedTwice(m)),
                Some(_) => {}
            }
        }
        for m in members {
            if let Some(used) = self.used.get_mut(m.index()) {
                *used = true;
            }
        }
        Ok(())
    }

    /// Parts in series.
    ///
    /// # Errors
    /// [`EndsError`] for an empty group, or a member that is unknown or used before.
    pub fn series(&mut self, members: &[PartId]) -> Result<PartId, EndsError> {
        self.take(members)?;
        Ok(self.add(EndPart::Series(members.to_vec())))
    }

    /// Parts in parallel.
    ///
    /// # Errors
    /// [`EndsError`] for an empty group, or a member that is unknown or used before.
    pub fn parallel(&mut self, members: &[PartId]) -> Result<PartId, EndsError> {
        self.take(members)?;
        Ok(self.add(EndPart::Parallel(members.to_vec())))
    }

    /// The network whose whole is `root`, the part added last.
    ///
    /// # Errors
    /// [`EndsError::PartUnused`] for a part outside `root`, and
    /// [`EndsError::PartUsedTwice`] if `root` is itself in a group.
    pub fn finish(self, root: PartId) -> Result<EndNetwork, EndsError> {
        match self.used.get(root.index()) {
            None => return Err(EndsError::UnknownPart(root)),
            Some(true) => return Err(EndsError::PartUsedTwice(root)),
            Some(false) => {}
        }
        let unused = self.used.iter().enumerate().find(|&(k, &used)| !used && k != root.index());
        if let Some((k, _)) = unused {
            return Err(EndsError::PartUnused(PartId(u32::try_from(k).unwrap_or(u32::MAX))));
        }
        Ok(EndNetwork { parts: self.parts, contacts: self.contacts })
    }
}

impl EndNetwork {
    /// The number of contacts: a state gives that many positions.
    #[must_use]
    pub fn contacts(&self) -> usize {
        self.contacts.len()
    }

    /// The parts with their ids.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, &EndPart)> {
        (0u32..).map(PartId).zip(&self.parts)
    }

    /// The resistors: id, nominal ohm, tolerance.
    pub fn resistors(&self) -> impl Iterator<Item = (PartId, f64, f64)> {
        self.parts().filter_map(|(id, p)| match *p {
            EndPart::Resistor { ohm, tolerance } => Some((id, ohm, tolerance)),
            _ => None,
        })
    }

    /// The same network with another value of one resistor.
    ///
    /// # Errors
    /// [`EndsError::UnknownPart`] if the part is no resistor of this network, and
    /// [`EndsError::Input`] for zero ohm.
    pub fn with_resistor(mut self, part: PartId, ohm: f64) -> Result<Self, EndsError> {
        let value = positive("resistor", ohm)?;
        match self.parts.get_mut(part.index()) {
            Some(EndPart::Resistor { ohm, .. }) => *ohm = value,
            _ => return Err(EndsError::UnknownPart(part)),
        }
        Ok(self)
    }

    /// The exact range of the network's resistance, ohm, for the given position of
    /// each contact and faults of parts.
    ///
    /// # Errors
    /// [`EndsError`] if the positions do not match the contacts, or a fault names an
    /// unknown part.
    pub fn resistance(
        &self,
        positions: &[Position],
        faults: &[(PartId, PartFault)],
    ) -> Result<Interval, EndsError> {
        self.check(positions, faults)?;
        let mut scratch = Vec::with_capacity(self.parts.len());
        Ok(self.fold(positions, faults, &mut scratch, |_, ohm, tolerance| {
            Interval::tolerated(ohm, tolerance)
        }))
    }

    /// The resistance with every element at its nominal value, ohm: resistors
    /// without tolerance, contacts at the middle of their range (an open one whose
    /// range has no end: infinite).
    ///
    /// # Errors
    /// As [`EndNetwork::resistance`].
    pub fn nominal(
        &self,
        positions: &[Position],
        faults: &[(PartId, PartFault)],
    ) -> Result<f64, EndsError> {
        self.check(positions, faults)?;
        let middle = |i: Interval| Interval::point(i.middle()).unwrap_or(i);
        let mut scratch = Vec::with_capacity(self.parts.len());
        let resistor = |_, ohm, _| Interval::tolerated(ohm, 0.0);
        let r = self.evaluate(positions, faults, &mut scratch, resistor, middle);
        Ok(r.middle())
    }

    pub(super) fn check(
        &self,
        positions: &[Position],
        faults: &[(PartId, PartFault)],
    ) -> Result<(), EndsError> {
        if positions.len() != self.contacts.len() {
            return Err(EndsError::WrongNumberOfPositions {
                given: positions.len(),
                contacts: self.contacts.len(),
            });
        }
        match faults.iter().find(|f| f.0.index() >= self.parts.len()) {
            Some(f) => Err(EndsError::UnknownPart(f.0)),
            None => Ok(()),
        }
    }

    /// Children stand before parents, so one pass in order evaluates the tree.
    /// The inputs were checked by [`EndNetwork::check`].
    pub(super) fn fold(
        &self,
        positions: &[Position],
        faults: &[(PartId, PartFault)],
        scratch: &mut Vec<Interval>,
        resistor: impl FnMut(PartId, f64, f64) -> Interval,
    ) -> Interval {
        self.evaluate(positions, faults, scratch, resistor, |contact| contact)
    }

    /// [`EndNetwork::fold`] with a view of each contact's resistance.
    fn evaluate(
        &self,
        positions: &[Position],
        faults: &[(PartId, PartFault)],
        scratch: &mut Vec<Interval>,
        mut resistor: impl FnMut(PartId, f64, f64) -> Interval,
        contact: impl Fn(Interval) -> Interval,
    ) -> Interval {
        scratch.clear();
        for (id, part) in self.parts() {
            let members = |m: &[PartId], f: fn(Interval, Interval) -> Interval, none: Interval| {
                m.iter().filter_map(|p| scratch.get(p.index()).copied()).fold(none, f)
            };
            let healthy = match part {
                EndPart::Resistor { ohm, tolerance } => resistor(id, *ohm, *tolerance),
                EndPart::Pole(c) => {
                    let position = positions.get(c.index());
                    match (self.contacts.get(c.index()), position) {
                        (Some(k), Some(Position::Closed)) => contact(k.closed),
                        (Some(k), _) => contact(k.open),
                        (None, _) => Interval::OPEN,
                    }
                }
                EndPart::Series(m) => members(m, Interval::plus, Interval::ZERO),
                EndPart::Parallel(m) => members(m, Interval::parallel, Interval::OPEN),
            };
            let value = match faults.iter().find(|f| f.0 == id) {
                Some((_, PartFault::Open)) => Interval::OPEN,
                Some((_, PartFault::Short)) => Interval::ZERO,
                None => healthy,
            };
            scratch.push(value);
        }
        // The root is the part that was added last: it can stand in no group.
        scratch.last().copied().unwrap_or(Interval::OPEN)
    }
}
