//! What a change does: two models and their facts in, what the site now does differently out.
//!
//! Nothing here compares texts to find what changed. A [`Sheet`] lists what a site amounts to,
//! figure by figure, from the same [`curtilage_facts::Facts`] that rules and papers read; two sheets
//! are compared by name, once renames are recognised. The text is looked at only to say *why*: the
//! lines that changed, and which figures depend on them.
//!
//! Names of weights are those that people read: a protection is *lost* or *gained*, a limit is
//! *crossed* or *mended*, a margin grows *thinner* or *thicker*, and everything else has *changed*.
//! Turning a comparison round swaps each pair and nothing else, but for findings that are silenced or
//! told again.

mod compare;
mod figure;
mod findings;
mod groups;
mod hours;
mod lines;
mod missing;
mod names;
mod portfolio;
mod renames;
mod retest;
mod sheet;
mod spot;
mod thing;
mod timed;
mod weight;
mod words;

pub use compare::{Change, HoursChange, SiteChange, Told, Unknown, compare};
pub use figure::{Aspect, Better, Figure, Limit, Value};
pub use findings::FindingChange;
pub use groups::Group;
pub use hours::{Cell, Strip};
pub use lines::{Line, LineChange};
pub use portfolio::{Portfolio, Shared, Touched, portfolio};
pub use renames::Rename;
pub use retest::{Kept, Retest, Tests};
pub use sheet::Sheet;
pub use spot::Spot;
pub use thing::{Thing, ThingKind};
pub use weight::Weight;
pub use words::Words;
