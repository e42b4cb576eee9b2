//! An output, how long it stays on, and where it comes back in.

use super::{ContactId, OutputId};
use crate::Ms;

/// An output. It is on while any on-time of it runs.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Output {
    /// How a controller makes the on-time from lockout and hold.
    pub on_time: OnTime,
    /// Automatic, or forced either way.
    pub mode: Mode,
}

impl Output {
    /// An automatic output with this on-time.
    #[must_use]
    pub fn automatic(on_time: OnTime) -> Self {
        Self { on_time, mode: Mode::Automatic }
    }
}

/// Who decides whether an output is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mode {
    /// The responses.
    Automatic,
    /// Always on.
    ForcedOn,
    /// Always off.
    ForcedOff,
}

/// How long an output stays on after a registration, and what a further registration does.
///
/// Source: the timing model of the oracle (`SUM`, `HOLD` and `MAX`, each as TP or TOF).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct OnTime {
    /// The length.
    pub span: Span,
    /// Whether a registration while it runs starts it anew (TOF) or is lost on it (TP).
    pub retriggered: bool,
}

impl OnTime {
    /// Lockout, then hold: 10 s and 10 s give 20 s; `TOF(TP(registration, lockout), hold)`.
    pub const LOCKOUT_THEN_HOLD: Self = Self { span: Span::LockoutThenHold, retriggered: true };
    /// Hold from the registration, whatever comes meanwhile.
    pub const HOLD: Self = Self { span: Span::Hold, retriggered: false };
    /// Hold from the last registration.
    pub const HOLD_RETRIGGERED: Self = Self { span: Span::Hold, retriggered: true };
    /// The longer of lockout and hold.
    pub const LONGER_OF_BOTH: Self = Self { span: Span::LongerOfBoth, retriggered: true };
}

/// The length of an on-time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Span {
    /// The zone's lockout and then the hold time.
    LockoutThenHold,
    /// The hold time.
    Hold,
    /// The longer of the two.
    LongerOfBoth,
}

impl Span {
    /// The length in ms for a zone's lockout and an effect's hold time, both in ms.
    #[must_use]
    pub fn length(self, lockout: Ms, hold: Ms) -> Ms {
        match self {
            Self::LockoutThenHold => lockout + hold,
            Self::Hold => hold,
            Self::LongerOfBoth => lockout.max(hold),
        }
    }
}

/// An output that is wired to an input, or disturbs the sensor on it. The input sees the contact,
/// or any of its feedback, active.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Feedback {
    /// From this output.
    pub output: OutputId,
    /// To this contact.
    pub contact: ContactId,
    /// From the change of the output to the change at the contact, in ms.
    pub delay: Ms,
    /// Whether the contact is active while the output is off.
    pub inverted: bool,
}
