//! The only library that touches files and the clock: finds the workspace, loads and caches files,
//! follows `use`, runs the analysis over many files, compares with a commit or a baseline, and
//! writes files whole or not at all.

mod analysis;
pub mod baseline;
mod check;
mod clock;
mod commit;
mod discover;
mod fingerprint;
mod folder;
pub mod git;
mod holidays;
mod load;
mod memo;
mod parts;
mod read;
mod scope;
mod since;
mod threads;
mod write;

pub use analysis::{Analysis, Named, Need, still};
pub use check::{Checked, Unreadable, check, check_only};
pub use clock::today;
pub use commit::{CommitFiles, at_commit};
pub use discover::{Discovered, discover, marked_root, workspace_root};
pub use fingerprint::{fingerprint, marks};
pub use folder::{FolderProblem, LIST, NOTE, Published, publish};
pub use load::{Loader, Stamp};
pub use memo::Memo;
pub use read::{ReadProblem, read_all};
pub use scope::{relative, scope};
pub use since::{Affected, Since};
pub use threads::together;
pub use write::{create, create_new, replace};

/// The ending of a site file.
pub const ENDING: &str = "site";
