//! What an editor shows of a site file while it is written: hover, completion, definitions, names in
//! other files, figures at the end of lines. All of it in byte offsets and strings; no protocol.
//!
//! A [`View`] is one file seen in the scope of a root file's facts. Functions take it and an offset
//! and give plain data. Those that look through the workspace take the models of all root files as
//! well; they must come from one loader, so that file numbers agree.
//!
//! Nothing here needs a text that parses. Lines are read by the forms of `form`, which are made
//! from the parser's own tables and take half a line as well; names are those that `names` finds by
//! the first words of lines. Figures come from `Facts` and are never worked out here.

mod actions;
mod calls;
mod complete;
mod exception;
mod figures;
mod fold;
mod form;
mod form_help;
mod format;
mod hover;
mod inlay;
mod lens;
mod line;
mod links;
mod mention;
mod names;
mod navigate;
mod piece;
mod rename;
mod snippet;
mod style;
mod symbols;
mod tokens;
mod view;

pub use actions::{Action, ActionKind, actions, fix_all};
pub use calls::{ChainLink, ChainStep, LinkKind, chain_at, chain_back, chain_onward};
pub use complete::{Completion, CompletionKind, complete, complete_paths};
pub use curtilage_format::FormatError;
pub use fold::{Fold, FoldKind, folds, selections};
pub use form_help::{FormHelp, form_help};
pub use format::{FORMAT_TRIGGERS, format, format_on_type, format_range};
pub use hover::{Hover, hover};
pub use inlay::{Inlay, InlayKind, inlays};
pub use lens::{Lens, LensCommand, lenses};
pub use links::{Link, links};
pub use mention::Identity;
pub use navigate::{Access, Target, declaration, definition, highlights, identify, references};
pub use rename::{Refusal, prepare_rename, rename};
pub use snippet::Snippet;
pub use symbols::{Found, Symbol, SymbolKind, document_symbols, workspace_symbols};
pub use tokens::{Modifiers, Token, TokenKind, tokens};
pub use view::View;
