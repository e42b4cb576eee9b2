//! What can happen.

use crate::Ms;
use crate::system::{AreaId, ContactId, OutputId, ResponseId, ZoneId};

/// Something that happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Event {
    /// When, in ms.
    pub at: Ms,
    /// What.
    pub what: What,
}

/// What happened. Within an instant events come in the order in which they take effect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum What {
    /// A contact, or a feedback on its input, changed the level at the input.
    Level {
        /// The contact.
        contact: ContactId,
        /// Whether the level is active.
        active: bool,
    },
    /// The controller took note of a level that stayed for the settle time.
    Settled {
        /// The contact.
        contact: ContactId,
        /// Whether it is active.
        active: bool,
    },
    /// A zone became armed.
    Armed {
        /// The zone.
        zone: ZoneId,
    },
    /// A zone became disarmed.
    Disarmed {
        /// The zone.
        zone: ZoneId,
    },
    /// A zone registered.
    Registered {
        /// The zone.
        zone: ZoneId,
    },
    /// An activation did not register.
    Refused {
        /// The zone.
        zone: ZoneId,
        /// Why.
        why: Refusal,
    },
    /// An activation that nothing else refuses came exactly when the zone's lockout ended; another
    /// controller may decide otherwise. It comes just before the `Registered` or `Refused` that this one
    /// decided for.
    OnEquality {
        /// The zone.
        zone: ZoneId,
    },
    /// A zone's entry time began.
    EntryBegins {
        /// The zone.
        zone: ZoneId,
    },
    /// A zone begins to wait for a second one.
    Unconfirmed {
        /// The zone.
        zone: ZoneId,
    },
    /// A response was caused outside the windows in which it works.
    OutsideHours {
        /// The response.
        response: ResponseId,
    },
    /// An effect that is not an output.
    Noted {
        /// The response.
        response: ResponseId,
        /// The number given in the effect.
        note: u32,
    },
    /// An output changed. Off and on again within one instant is no change.
    Output {
        /// The output.
        output: OutputId,
        /// Whether it is on.
        on: bool,
    },
    /// An area was disarmed.
    AreaOff {
        /// The area.
        area: AreaId,
    },
    /// An area's exit time began.
    AreaExit {
        /// The area.
        area: AreaId,
    },
    /// An area came on.
    AreaOn {
        /// The area.
        area: AreaId,
    },
    /// An area's entry time began.
    AreaEntry {
        /// The area.
        area: AreaId,
        /// The contact that began it.
        contact: ContactId,
    },
    /// An area went to alarm.
    AreaAlarm {
        /// The area.
        area: AreaId,
        /// Why.
        cause: AlarmCause,
    },
    /// An instant did not settle within [`crate::ROUNDS`] rounds; the story ends here.
    NeverSettles,
}

/// Why an activation did not register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Refusal {
    /// The zone is not armed.
    NotArmed,
    /// The zone's exit time runs.
    Exit,
    /// The zone's lockout runs.
    Lockout,
    /// This arming has had all its registrations.
    Limit,
    /// The zone's entry time already runs.
    Entry,
}

/// Why an area went to alarm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AlarmCause {
    /// The entry time ran out.
    EntryOver,
    /// An instant contact was activated.
    Contact(ContactId),
}
