//! Plays one story: timed inputs in, everything that happens out.
//!
//! It goes from event to event, so that a quiet year costs next to nothing.

mod event;
mod run;
mod story;

pub use event::{AlarmCause, Event, Refusal, What};
pub use run::{Ended, Limits, Trace, play, play_by_the_millisecond};
pub use story::{Input, Story, TimedInput};

pub(crate) use run::Player;
