//! An area that is armed and disarmed as one, with a common exit and entry time.

use super::ContactId;
use crate::Ms;

/// An area. Its states are off, exit, on, entry and alarm.
///
/// Activations while it is off or in its exit time do nothing, and a contact that is already
/// active when it comes on is not an activation.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Area {
    /// From the command to arm until it is on, in ms.
    pub exit: Ms,
    /// From a delayed activation to the alarm, in ms.
    pub entry: Ms,
    /// Its contacts, in the order in which they are looked at within an instant.
    pub members: Vec<AreaMember>,
}

/// A contact in an area.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct AreaMember {
    /// The contact.
    pub contact: ContactId,
    /// What its activation does.
    pub kind: MemberKind,
}

/// What an activation in an area does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MemberKind {
    /// Alarm at once.
    Instant,
    /// Starts the entry time.
    Delayed,
}

/// A command to an area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AreaCommand {
    /// Begin the exit time; nothing if the area is not off.
    Arm,
    /// Off, from any state.
    Disarm,
}
