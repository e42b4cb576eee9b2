//! The typed tree: what a file says, item by item, with the place of every word. Names are not
//! resolved and nothing is checked here beyond the shape of each statement.

pub mod allow;
pub mod cable;
pub mod camera;
pub mod controller;
mod item;
pub mod measured;
pub mod output;
pub mod part;
pub mod policy;
pub mod recording;
pub mod rehearsal;
pub mod relay;
pub mod response;
pub mod schedule;
mod shift;
pub mod site;
pub mod supply;
mod value;
pub mod wiring;
pub mod zone;

pub use item::is_item_word;
pub use item::{File, Import, Item};
pub(crate) use item::{ITEM_WORDS, item_of, item_word};
pub(crate) use shift::Shift;
pub use value::{
    Clock, CurrentKind, Date, DateSpan, Days, Interval, MonthDay, Name, Names, Path, Spanned,
};
