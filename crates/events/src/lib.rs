//! The event engine: what a small security installation does in time, and what it can ever do.
//!
//! It knows zones, responses, outputs and the ways in which an output comes back to a zone; it
//! knows nothing of a language, reads no clock and does no input or output. Time is a whole number
//! of milliseconds ([`Ms`]); signals are right-continuous: a value given at `t` holds from `t` on.
//!
//! - [`system`] is the installation as data.
//! - [`player`] plays one story and tells what happens.
//! - [`explorer`] answers for every story: yes with the shortest one, no for all, or not known.
//! - [`duty`] gives the closed forms of the commonest case, a contact held for ever.
//! - [`graph`] has the graph questions that the others need.
//!
//! The player and the explorer share one transition function. Its order inside an instant is that
//! of the timing model (IEC 61131-3 timers TP, TON and TOF):
//! raw levels, settling, expiries, registrations, outputs, areas. A feedback without delay settles
//! again in the same instant, at most [`ROUNDS`] times.

pub mod duty;
pub mod explorer;
pub mod graph;
pub mod player;
pub mod system;

mod state;
mod step;

/// A time in whole milliseconds: an instant counted from the story's origin, or a duration.
///
/// For weekly windows the origin is a Monday at 00:00. Durations are from 0 to [`LONGEST`].
pub type Ms = i64;

/// The longest duration that a system may use, in milliseconds: a hundred years of 366 days.
pub const LONGEST: Ms = 100 * 366 * DAY;

/// An hour in milliseconds.
pub const HOUR: Ms = 3_600_000;

/// A day of 24 hours in milliseconds.
pub const DAY: Ms = 24 * HOUR;

/// A week in milliseconds.
pub const WEEK: Ms = 7 * DAY;

/// How often one instant may settle again before it counts as never settling (source: the timing
/// model of the oracle, which says 64).
pub const ROUNDS: u32 = 64;
