//! The only library that touches files and the clock: finds the workspace, loads and caches files,
//! follows `use`, runs the analysis over many files, and writes files whole or not at all.

mod check;
mod commit;
mod discover;
pub mod git;
mod holidays;
mod load;
mod scope;
mod write;

pub use check::{Checked, Unreadable, check};
pub use commit::{CommitFiles, at_commit};
pub use discover::{Discovered, discover, workspace_root};
pub use load::{Loader, ReadProblem};
pub use scope::scope;
pub use write::{create, replace};

use curtilage_syntax::tree::Date;

/// The ending of a site file.
pub const ENDING: &str = "site";

/// Today, by the machine's clock and zone.
#[must_use]
pub fn today() -> Date {
    let date = jiff::ZonedDateTime::now().date();
    Date {
        year: date.year(),
        month: u8::try_from(date.month()).unwrap_or(1),
        day: u8::try_from(date.day()).unwrap_or(1),
    }
}
