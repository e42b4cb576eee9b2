//! The model of a site: what the files in its scope say, with every name resolved.
//!
//! A model borrows its sources, is built in one pass and never changes. It belongs to one root
//! file, usually one with a `site`, and sees that file and all that it uses. Every thing knows the
//! place of its words. What cannot be resolved is told as a [`Fault`] and left out; the rest stands.

mod build;
mod confusable;
mod contact;
mod fault;
mod ids;
mod names;
mod resolve;
mod schedule;
mod scope;
mod skeleton;
mod source;
mod terminal;
mod things;

pub use build::build;
pub use fault::{Fault, FaultKind, ImportProblem, RingOf};
pub use ids::{
    CableId, CameraId, ControllerId, OutputId, PartId, RelayId, ScheduleId, SupplyId, ZoneId,
};
pub use names::{Kind, Named};
pub use schedule::{Schedule, ScheduleBody, ScheduleRef, ScheduleTerm};
pub use source::{HolidayDates, HolidayFile, Scope, Source};
pub use terminal::{Offered, Terminal, TerminalKind};
pub use things::{
    Allow, Area, Cable, Camera, Cause, Contact, ContactAt, Controller, Effect, Feed, Input, Keep,
    Model, Origin, Output, Part, PartRef, Person, Policy, Reach, Reading, ReadingAt, Recording,
    Rehearsal, Relay, Response, RunOf, Site, StoryThing, Supply, Tap, Zone, part_kind,
};
