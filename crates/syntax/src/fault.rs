//! What can be wrong with a text, as data; the rules put it into words.

use crate::tree::Shift;
use curtilage_text::{Span, TextFaultKind};
use curtilage_units::Dimension;

/// One fault and its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub kind: FaultKind,
    /// The words to change.
    pub span: Span,
}

impl Fault {
    pub(crate) fn new(kind: FaultKind, span: Span) -> Self {
        Self { kind, span }
    }
}

impl Shift for Fault {
    fn shift(&mut self, by: u32) {
        self.span.shift(by);
        match &mut self.kind {
            FaultKind::MissingBrace { ends: place } | FaultKind::SaidTwice { first: place, .. } => {
                place.shift(by);
            }
            FaultKind::Text(_)
            | FaultKind::StrayCharacter
            | FaultKind::OpenText
            | FaultKind::TooDeep
            | FaultKind::StrayBrace
            | FaultKind::StrayGroup
            | FaultKind::Expected { .. }
            | FaultKind::Surplus { .. }
            | FaultKind::UnknownStatement { .. }
            | FaultKind::Block { .. }
            | FaultKind::WrongDimension { .. }
            | FaultKind::NoUnit { .. }
            | FaultKind::UnknownUnit { .. }
            | FaultKind::TooMany { .. }
            | FaultKind::BadValue { .. } => {}
        }
    }
}

/// The kinds of fault that reading a text can find.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// The bytes are not proper text.
    Text(TextFaultKind),
    /// A character that no word, number or sign starts with.
    StrayCharacter,
    /// A quote that its line does not close.
    OpenText,
    /// Groups nested too deep.
    TooDeep,
    /// A block whose `}` is missing; the place is that of its `{`.
    MissingBrace {
        /// Where the block had to end.
        ends: Span,
    },
    /// A `}` that closes nothing.
    StrayBrace,
    /// A `(` that is not closed on its line, or a `)` that closes nothing.
    StrayGroup,
    /// Something else had to stand here.
    Expected {
        /// What had to stand, in words: "a length, such as `18 m`".
        what: String,
        /// What stands instead; `None` at the end of a statement.
        found: Option<String>,
    },
    /// More words than the statement takes.
    Surplus {
        /// The statement's first word; empty when it begins with a value.
        word: &'static str,
        /// What the statement takes, as a pattern.
        pattern: &'static str,
    },
    /// A line that begins with no word known in this block.
    UnknownStatement {
        /// The block, in words: "a zone".
        block: &'static str,
        /// The written word.
        word: String,
        /// The nearest word that is known there.
        nearest: Option<&'static str>,
    },
    /// A block where the thing takes none, or none where it needs one.
    Block {
        /// Whether one was expected.
        expected: bool,
        /// The thing, in words.
        thing: &'static str,
    },
    /// One fact said twice in a block.
    SaidTwice {
        /// The statement's word.
        word: &'static str,
        /// Where it was said first.
        first: Span,
    },
    /// A quantity of another kind than is wanted.
    WrongDimension {
        /// What is wanted.
        wanted: Dimension,
        /// What stands here.
        found: Dimension,
    },
    /// A number without a unit.
    NoUnit {
        /// What is wanted.
        wanted: Dimension,
    },
    /// A number followed by a word that is no unit.
    UnknownUnit {
        /// The word.
        word: String,
        /// What was most likely meant.
        nearest: Option<&'static str>,
        /// What is wanted.
        wanted: Dimension,
    },
    /// More faults than anybody reads; the place is that of the first that is not told.
    TooMany {
        /// How many are not told.
        left: usize,
        /// Whether one of those makes the tokens or the blocks themselves uncertain.
        broken: bool,
    },
    /// A value that its statement cannot have: a negative length, 25:00, 30 February.
    BadValue {
        /// Why, in words.
        why: String,
        /// What can be, with the text to type.
        help: String,
    },
}
