//! A zone: when an active contact counts, and how often.

use super::{ContactId, Windows, ZoneId};
use crate::Ms;

/// A zone on a contact. Several zones may share one contact.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Zone {
    /// The contact that it watches.
    pub contact: ContactId,
    /// When it is armed.
    pub armed: Windows,
    /// How long it is deaf after a registration, in ms.
    pub lockout: Ms,
    /// Whether an activation exactly at the lockout's end counts.
    pub lockout_end: LockoutEnd,
    /// Whether an activation within the lockout starts the lockout again.
    pub lockout_restarts: bool,
    /// Whether a contact that stays active registers again.
    pub registration: Registration,
    /// How many registrations one arming allows; `None` for no limit. Always armed is one arming.
    pub limit: Option<u32>,
    /// A second zone that must agree before this one registers.
    pub confirmed: Option<Confirm>,
    /// After arming: how long activations are ignored, in ms. A contact that is still active at
    /// its end is not a new activation, but a level registration sees it.
    pub exit: Ms,
    /// From an activation to its registration, in ms; disarming in between cancels it.
    pub entry: Ms,
}

impl Zone {
    /// An always armed zone that registers once an activation, with this lockout in ms.
    #[must_use]
    pub fn edge(contact: ContactId, lockout: Ms) -> Self {
        Self {
            contact,
            armed: Windows::Always,
            lockout,
            lockout_end: LockoutEnd::Accepts,
            lockout_restarts: false,
            registration: Registration::Edge,
            limit: None,
            confirmed: None,
            exit: 0,
            entry: 0,
        }
    }

    /// As [`Zone::edge`], but it registers again each time that its on-time has run out and the
    /// contact is still active.
    #[must_use]
    pub fn level(contact: ContactId, lockout: Ms) -> Self {
        Self {
            registration: Registration::Level(Again::AfterOnTime { gap: 0 }),
            ..Self::edge(contact, lockout)
        }
    }

    pub(crate) fn is_level(&self) -> bool {
        matches!(self.registration, Registration::Level(_))
    }

    pub(crate) fn waits_for_outputs(&self) -> bool {
        matches!(self.registration, Registration::Level(Again::AfterOnTime { .. }))
    }

    /// For how long after a registration an activation does not count, in ms.
    ///
    /// In whole milliseconds, an end that rejects is one more millisecond. A level registers at
    /// most once a millisecond, so that a held contact without lockout does not stop the clock.
    pub(crate) fn deaf_for(&self) -> Ms {
        let reject = match self.lockout_end {
            LockoutEnd::Accepts => 0,
            LockoutEnd::Rejects => 1,
        };
        (self.lockout + reject).max(Ms::from(self.is_level()))
    }
}

/// What happens to an activation exactly at the end of the lockout. Controllers differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LockoutEnd {
    /// It registers: the lockout is `[t, t + lockout)`.
    Accepts,
    /// It is refused: the lockout is `[t, t + lockout]`.
    Rejects,
}

/// What registers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Registration {
    /// The change from rest to active.
    Edge,
    /// That change, and staying active.
    Level(Again),
}

/// When a contact that stays active registers again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Again {
    /// As soon as the lockout has run out.
    AfterLockout,
    /// When the lockout, and every on-time and delay that this zone started, have run out, and
    /// `gap` more ms have passed since then.
    AfterOnTime {
        /// Pause after the on-time, in ms.
        gap: Ms,
    },
}

/// Confirmation by a second zone: this zone registers when both were activated within a time, in
/// either order. Its own lockout runs from its own activation.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Confirm {
    /// The zone that must agree; its own confirmation is not asked for.
    pub by: ZoneId,
    /// The longest time between the two, in ms; exactly this long still counts.
    pub within: Ms,
}
