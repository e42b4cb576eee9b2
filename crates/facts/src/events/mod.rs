//! What happens in time: the model as a system of the event engine, its rehearsals played, and the
//! engine's answers for every story. Nothing here is worked out before somebody asks for it.

mod clock;
mod drawing;
mod expect;
mod feedback;
mod plant;
mod play;
mod questions;
mod rehearsed;
mod responses;
mod story;

pub use clock::Clock;
pub use drawing::{Drawing, Row};
pub use expect::Outcome;
pub use feedback::Path;
pub use plant::Plant;
pub use play::{CameraLine, Played, Run, ZoneLine};
pub use questions::{Deafness, Keeps, KeepsGoing, Longest, Often};
pub use rehearsed::{Rehearsed, Show, Unplayed};
pub use story::Senseless;

pub(crate) use rehearsed::{not_whole, rehearsed};

use crate::Known;
use std::sync::OnceLock;

pub(crate) const MINUTE: i64 = 60_000;
pub(crate) const HOUR: i64 = curtilage_events::HOUR;

/// What has been asked for so far.
#[derive(Default)]
pub(crate) struct Events {
    pub(crate) plant: OnceLock<Known<Plant>>,
    pub(crate) rehearsed: OnceLock<Vec<Rehearsed>>,
    pub(crate) feedback: OnceLock<Vec<KeepsGoing>>,
}
