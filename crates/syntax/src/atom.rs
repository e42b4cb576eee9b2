//! The untyped tree: statements of atoms. The formatter works on it, and each form reads it.

use crate::tree::Shift;
use curtilage_text::Span;

/// What an atom is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AtomKind {
    /// A word or a dotted path.
    Word,
    /// A number without a unit.
    Number,
    /// One or more numbers with units, then perhaps a tolerance.
    Quantity {
        /// The span of the tolerance's number and unit.
        tolerance: Option<Span>,
    },
    /// `2026-12-25`
    Date,
    /// `12-25`
    MonthDay,
    /// `07:30`
    Clock,
    /// A text in quotes.
    Text,
    /// `,`
    Comma,
    /// Atoms in parentheses.
    Group(Vec<Atom>),
}

/// A word or a value with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Atom {
    /// What it is.
    pub kind: AtomKind,
    /// Where it stands.
    pub span: Span,
}

/// A line, with the block that it opens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// The words and values of the line; never empty.
    pub atoms: Vec<Atom>,
    /// The block in braces.
    pub block: Option<Block>,
    /// From the first atom to the last one or to the block's end.
    pub span: Span,
}

impl Statement {
    /// The span of the line without its block.
    #[must_use]
    pub fn line(&self) -> Span {
        match (self.atoms.first(), self.atoms.last()) {
            (Some(first), Some(last)) => first.span.to(last.span),
            _ => self.span,
        }
    }
}

/// The statements between two braces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// The statements, in order.
    pub statements: Vec<Statement>,
    /// From `{` to `}`.
    pub span: Span,
}

impl Shift for Atom {
    fn shift(&mut self, by: u32) {
        self.span.shift(by);
        match &mut self.kind {
            AtomKind::Quantity { tolerance } => tolerance.shift(by),
            AtomKind::Group(inner) => inner.shift(by),
            _ => {}
        }
    }
}

impl Shift for Statement {
    fn shift(&mut self, by: u32) {
        self.atoms.shift(by);
        self.block.shift(by);
        self.span.shift(by);
    }
}

impl Shift for Block {
    fn shift(&mut self, by: u32) {
        self.statements.shift(by);
        self.span.shift(by);
    }
}
