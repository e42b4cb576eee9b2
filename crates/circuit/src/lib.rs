//! The electrical engine: pure numbers in, facts out.
//!
//! It knows nothing of the language, does no input or output and reads no clock.
//! Volts, amperes, ohms, watts, metres, hours, ampere-hours and degrees Celsius
//! throughout; where a table uses another unit, the name says so.
//!
//! | module | question it answers |
//! |---|---|
//! | [`conductor`] | what resistance has this cable, which size or length would do |
//! | [`ends`] | what does a supervised loop read in each state, and which states look alike |
//! | [`network`] | what voltage and current has each point of a dc tree, or does it collapse |
//! | [`contact`] | may this contact switch this load |
//! | [`battery`] | how long does this battery last, how large must it be |
//! | [`interval`] | closed intervals, rounded outwards |
//! | [`limit`] | is this figure beyond its limit, rounding aside |
//! | [`working`] | formula, inputs and source of a figure, on request |
//!
//! Numbers are checked on the way in ([`BadInput`]): a NaN never comes out.

pub mod battery;
pub mod conductor;
pub mod contact;
pub mod ends;
mod input;
pub mod interval;
pub mod limit;
pub mod network;
mod root;
pub mod working;

pub use input::{BadInput, LEAST, MOST};
pub use interval::Interval;
