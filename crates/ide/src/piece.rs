//! The words and values of a line, one after the other; parentheses are left out, so that a line is
//! flat.

use curtilage_syntax::{Atom, AtomKind};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PieceKind {
    Word,
    Number,
    /// A number with a unit; none when it has several dimensions.
    Quantity(Option<Dimension>),
    Date,
    MonthDay,
    Clock,
    Text,
    Comma,
}

/// One word or value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Piece {
    pub(crate) kind: PieceKind,
    pub(crate) span: Span,
}

/// The pieces of some atoms, those inside groups too.
pub(crate) fn pieces(source: &str, atoms: &[Atom]) -> Vec<Piece> {
    let mut out = Vec::with_capacity(atoms.len());
    let mut stack: Vec<std::slice::Iter<'_, Atom>> = vec![atoms.iter()];
    while let Some(list) = stack.last_mut() {
        let Some(atom) = list.next() else {
            stack.pop();
            continue;
        };
        let kind = match &atom.kind {
            AtomKind::Group(inner) => {
                stack.push(inner.iter());
                continue;
            }
            AtomKind::Word => PieceKind::Word,
            AtomKind::Number => PieceKind::Number,
            AtomKind::Quantity { .. } => {
                let found = atom.quantity(source);
                PieceKind::Quantity(found.map(|found| found.dimension))
            }
            AtomKind::Date => PieceKind::Date,
            AtomKind::MonthDay => PieceKind::MonthDay,
            AtomKind::Clock => PieceKind::Clock,
            AtomKind::Text => PieceKind::Text,
            AtomKind::Comma => PieceKind::Comma,
        };
        out.push(Piece { kind, span: atom.span });
    }
    out
}
