//! From text to a typed tree. [`parse`] never fails: it gives a tree and the faults.
//!
//! `token` splits the text without loss; `layout` drops trivia and joins continued lines;
//! `grammar` (chumsky) finds statements, blocks and values; `tree` reads each statement by its
//! form. Each step is bounded, so any bytes end.
//!
//! Two steps have a quick way for texts without a mistake, held to the slow one by tests: `scan` for
//! the rules of `token`, `straight` for `grammar`. `again` reads only the items that an edit touches.

mod again;
mod atom;
mod fault;
mod form;
mod grammar;
mod layout;
mod nearest;
mod parse;
mod phrase;
mod piece;
mod scan;
mod straight;
mod token;
pub mod tree;

pub use again::parse_again;
pub use atom::{Atom, AtomKind, Block, Statement};
pub use fault::{Fault, FaultKind};
pub use form::{Vocabulary, vocabulary};
pub use nearest::{nearest, only_nearest};
pub use parse::{Parsed, Top, both_ways, parse};
pub use token::{Kind, Token, Tokens};
