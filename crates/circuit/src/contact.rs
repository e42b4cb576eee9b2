//! Whether a contact may switch a load.
//!
//! A rating is a table of rows (voltage, ac or dc, duty, current). A row covers
//! lower voltages at the same current; nothing is interpolated between rows and
//! nothing is taken from a row of another kind of load, except that a row for a
//! coil also covers a plain resistance (common practice, no source).

mod chain;
mod check;
mod rating;

pub use chain::{Relay, interposing_chain};
pub use check::{ContactLoad, Covered, LoadKind, NotRated, Verdict, check, worst};
pub use rating::{Category, Current, Duty, RatingRow, dc13_longest_ms};
