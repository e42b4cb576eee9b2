//! A response: from registrations to effects.

use super::{OnTime, OutputId, Windows, ZoneId};
use crate::Ms;

/// What happens when zones register.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Response {
    /// The zones that cause it.
    pub causes: Causes,
    /// When it works; asked at the instant of its cause, not after the delay.
    pub during: Windows,
    /// From the cause to the effects, in ms. Each cause waits on its own.
    pub delay: Ms,
    /// What it does, in this order.
    pub effects: Vec<Effect>,
}

impl Response {
    /// A response of one zone that always works, at once.
    #[must_use]
    pub fn to(zone: ZoneId, effects: Vec<Effect>) -> Self {
        Self { causes: Causes::Any(vec![zone]), during: Windows::Always, delay: 0, effects }
    }
}

/// Which registrations cause a response.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Causes {
    /// Each registration of any of these zones.
    Any(Vec<ZoneId>),
    /// The registration after which each of these zones has registered within the time. It then
    /// needs all of them anew.
    All {
        /// The zones, each once.
        zones: Vec<ZoneId>,
        /// The longest time between the first and the last, in ms; exactly this long still counts.
        within: Ms,
    },
}

impl Causes {
    /// The zones, in the given order.
    #[must_use]
    pub fn zones(&self) -> &[ZoneId] {
        match self {
            Self::Any(zones) | Self::All { zones, .. } => zones,
        }
    }
}

/// One effect.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Effect {
    /// Switches an output on for a time.
    On {
        /// The output.
        output: OutputId,
        /// The hold time, in ms; what it amounts to is the on-time's matter.
        hold: Ms,
        /// Another on-time than the output's own, for this effect.
        on_time: Option<OnTime>,
    },
    /// Switches an output on until something switches it off.
    Latch {
        /// The output.
        output: OutputId,
    },
    /// Switches an output off: for good, which ends all that keeps it on, or for a time, which ends
    /// nothing: what keeps it on shows again after that, if it is not over by then.
    Off {
        /// The output.
        output: OutputId,
        /// For how long it stays off whatever happens, in ms; the newest such time counts. 0 is for
        /// good, until something switches it on.
        hold: Ms,
    },
    /// Anything that is not an output: record, show, tell. The number is the caller's.
    Note {
        /// The caller's number for it.
        note: u32,
    },
}

impl Effect {
    /// The output that it acts on.
    #[must_use]
    pub fn output(&self) -> Option<OutputId> {
        match self {
            Self::On { output, .. } | Self::Latch { output } | Self::Off { output, .. } => {
                Some(*output)
            }
            Self::Note { .. } => None,
        }
    }
}
