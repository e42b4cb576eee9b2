//! Whether each state of a loop lies in its band, and which states read alike.
//!
//! Rest and active have to be told apart in any case. A cut wire, shorted wires and a moved tamper
//! contact have to be told from rest and from active only where the input has a band of that name:
//! a plain input that knows `closed` and `open` takes a cut wire for an open contact, and that is
//! what was bought.

use super::{Loop, LoopState, StateName};
use curtilage_circuit::ends::Placement;
use curtilage_syntax::tree::part::{BandName, Rest};

/// What is wrong with a loop. A loop has at most one fault: the one that explains the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoopFault {
    /// Rest and active read alike, in this band.
    NeverActive(usize),
    /// Two states that have to be told apart read alike.
    Overlap(StateName, StateName),
    /// A state lies in no band, across two, or in the band of another state.
    OutOfBand(StateName),
}

impl Loop<'_> {
    /// What is wrong with the loop, if anything.
    #[must_use]
    pub fn fault(&self) -> Option<LoopFault> {
        *self.states.fault.get_or_init(|| self.judge())
    }

    fn judge(&self) -> Option<LoopFault> {
        if let Some(band) = self.never_active() {
            return Some(LoopFault::NeverActive(band));
        }
        let wrong = self.states().iter().find(|state| self.is_wrong(state))?;
        let alike = self.states().iter().find(|other| {
            other.name != wrong.name
                && self.must_differ(wrong.name, other.name)
                && self.read_alike(wrong, other)
        });
        Some(match alike {
            Some(other) => LoopFault::Overlap(wrong.name, other.name),
            None => LoopFault::OutOfBand(wrong.name),
        })
    }

    /// The band in which both rest and active lie.
    fn never_active(&self) -> Option<usize> {
        let (rest, active) = (self.state(StateName::Resting)?, self.state(StateName::Active)?);
        let band = within(active)?;
        (within(rest) == Some(band)).then_some(band)
    }

    fn is_wrong(&self, state: &LoopState) -> bool {
        let Some(placement) = &state.placement else { return false };
        if state.name == StateName::ActiveTamper {
            let rest = self.state(StateName::Resting).and_then(within);
            return rest.is_some() && within(state) == rest && self.has(BandName::Tamper);
        }
        state.belongs.is_some_and(|band| *placement != Placement::Within(band))
    }

    fn has(&self, name: BandName) -> bool {
        self.bands().contains(&name)
    }

    fn must_differ(&self, a: StateName, b: StateName) -> bool {
        use StateName::{Active, ActiveTamper, Cut, Resting, Shorted, Tamper};
        let one_way = |a: StateName, b: StateName| match (a, b) {
            (Resting, Active) => true,
            (Cut, Resting | Active) => self.has(BandName::Cut),
            (Shorted, Resting | Active) => self.has(BandName::Shorted),
            (Tamper, Resting | Active) => self.has(BandName::Tamper),
            (ActiveTamper, Resting) => self.has(BandName::Tamper),
            _ => false,
        };
        one_way(a, b) || one_way(b, a)
    }

    /// Whether no resistors can put rest and activity into their bands: an open contact reads more
    /// than a closed one whatever is soldered to it, and `resting` lies on the other side of
    /// `active`.
    #[must_use]
    pub fn is_turned_round(&self) -> bool {
        let low = |name: BandName| {
            let at = self.bands().iter().position(|band| *band == name)?;
            self.limits().get(at).map(|limits| limits.lo())
        };
        let both = low(BandName::Resting).zip(low(BandName::Active));
        both.zip(self.sensor.sheet.rests).is_some_and(|((resting, active), rests)| {
            (resting > active) != (rests.value == Rest::Open)
        })
    }

    /// Whether its input takes a cut wire or shorted wires for something that is neither rest nor
    /// activity. Not known where it gives no bands, or where a reading lies in none of them.
    #[must_use]
    pub fn is_supervised(&self) -> Option<bool> {
        let band = |name: StateName| self.state(name).and_then(within);
        let usual = [band(StateName::Resting)?, band(StateName::Active)?];
        let faults = [band(StateName::Cut), band(StateName::Shorted)];
        if faults.into_iter().flatten().any(|band| !usual.contains(&band)) {
            return Some(true);
        }
        faults.iter().all(Option::is_some).then_some(false)
    }

    /// Whether two states lie in one band, or can show the same reading.
    fn read_alike(&self, a: &LoopState, b: &LoopState) -> bool {
        if within(a).is_some() && within(a) == within(b) {
            return true;
        }
        let (Some(a), Some(b)) = (self.window(a), self.window(b)) else { return false };
        a.overlap(b).is_some()
    }
}

/// The band in which a state wholly lies.
pub(super) fn within(state: &LoopState) -> Option<usize> {
    match state.placement {
        Some(Placement::Within(band)) => Some(band),
        _ => None,
    }
}
