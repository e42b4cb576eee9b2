//! A story: what comes from outside, and when.

use crate::Ms;
use crate::system::{AreaCommand, AreaId, ContactId};

/// What comes from outside.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Story {
    /// When it begins, in ms. Until then every output was off and every contact as it starts.
    pub from: Ms,
    /// The inputs. Their order matters only within one instant. Those before `from` are left out.
    pub inputs: Vec<TimedInput>,
}

/// An input and its instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TimedInput {
    /// When, in ms.
    pub at: Ms,
    /// What.
    pub input: Input,
}

/// Something from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Input {
    /// A contact goes to active or to rest. Of several at one instant the last one counts.
    Contact(ContactId, bool),
    /// An area is armed.
    Arm(AreaId),
    /// An area is disarmed.
    Disarm(AreaId),
}

impl Input {
    pub(crate) fn command(self) -> Option<(AreaId, AreaCommand)> {
        match self {
            Self::Contact(..) => None,
            Self::Arm(area) => Some((area, AreaCommand::Arm)),
            Self::Disarm(area) => Some((area, AreaCommand::Disarm)),
        }
    }
}
