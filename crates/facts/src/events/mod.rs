//! What happens in time: the model as a system of the event engine, its rehearsals played, and the
//! engine's answers for every story. Nothing here is worked out before somebody asks for it.

mod by_the_clock;
mod clock;
mod clock_changes;
mod drawing;
mod edges;
mod expect;
mod feedback;
mod guess;
mod making;
mod paste;
mod plant;
mod play;
mod questions;
mod rehearsed;
mod responses;
mod rings;
mod story;
mod together;

pub use clock::Clock;
pub use curtilage_events::explorer::WhyDeaf;
pub use drawing::{Drawing, Row};
pub use expect::{Outcome, refusal};
pub use feedback::Path;
pub use making::{moves, rests_on};
pub use paste::Pasted;
pub use plant::Plant;
pub use play::{CameraLine, Played, Run, ZoneLine};
pub use questions::{Deafness, Keeps, KeepsGoing, Most};
pub use rehearsed::{Rehearsed, Show, Unplayed};
pub use story::Senseless;
pub use together::{Together, is_automatic, switched};

use crate::{Facts, Known};
use rehearsed::rehearsed;
use std::sync::OnceLock;

pub(crate) const HOUR: i64 = curtilage_events::HOUR;

/// What has been asked for so far.
#[derive(Default)]
pub(crate) struct Events {
    rehearsed: OnceLock<Vec<Rehearsed>>,
    plant: OnceLock<Known<Plant>>,
    feedback: OnceLock<Vec<KeepsGoing>>,
    held: OnceLock<Vec<Option<Known<Option<Keeps>>>>>,
    hour: OnceLock<Vec<Option<Known<Most>>>>,
    day: OnceLock<Vec<Option<Known<Most>>>>,
    changes: OnceLock<Known<Vec<clock_changes::ChangeWeek>>>,
}

impl Facts<'_, '_> {
    /// The rehearsals, played, in the order of the model.
    #[must_use]
    pub fn rehearsed(&self) -> &[Rehearsed] {
        self.events.rehearsed.get_or_init(|| rehearsed(self))
    }
}
