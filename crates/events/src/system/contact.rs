//! A contact as the controller's input sees it.

use crate::Ms;

/// A contact wired to an input. "Active" is away from the input's rest, whichever way it rests.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Contact {
    /// How long it must be active before the controller takes note, in ms.
    pub settle_on: Ms,
    /// How long it must be at rest before the controller takes note, in ms.
    pub settle_off: Ms,
    /// Whether it is active when a story begins; the controller has then taken note already.
    pub starts_active: bool,
    /// The shortest time for which the sensor stays active, in ms; 0 when it can be any time.
    /// Only the explorer asks: it never tries a shorter activation.
    pub shortest: Ms,
    /// The longest time for which the sensor stays active, in ms; `None` when it can be for ever
    /// (while held, until restored). Only the explorer asks.
    pub longest: Option<Ms>,
}

impl Contact {
    /// A contact at rest, noted after `settle` ms either way, that can stay active for any time.
    #[must_use]
    pub fn settling(settle: Ms) -> Self {
        Self {
            settle_on: settle,
            settle_off: settle,
            starts_active: false,
            shortest: 0,
            longest: None,
        }
    }
}
