//! The words and values of a line, one after the other; parentheses are left out, so that a line is
//! flat.

use curtilage_syntax::{Atom, AtomKind};
use curtilage_text::Span;
use curtilage_units::{Dimension, Quantity};

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
                let found = quantity(source, atom);
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

/// The words of a quantity without its tolerance.
pub(crate) fn without_tolerance(source: &str, atom: &Atom) -> Option<Span> {
    let AtomKind::Quantity { tolerance } = atom.kind else { return None };
    let end = tolerance.map_or(atom.span.end, |tolerance| tolerance.start);
    let whole = Span::new(atom.span.start, end);
    let text = whole.of(source).trim_end_matches(['±', '+', '-', '/', ' ', '\t', '\u{a0}']);
    Some(Span::new(whole.start, whole.start + u32::try_from(text.len()).unwrap_or(0)))
}

/// The value of a quantity, its tolerance left out.
pub(crate) fn quantity(source: &str, atom: &Atom) -> Option<Quantity> {
    let text = without_tolerance(source, atom)?.of(source);
    // Set apart what may stand together: `18m`, `1h30min`.
    let mut spaced = String::with_capacity(text.len() + 4);
    let mut last = ' ';
    for character in text.chars() {
        let unit_starts = last.is_ascii_digit()
            && !character.is_ascii_digit()
            && !matches!(character, '.' | 'e' | 'E' | ' ');
        if unit_starts || (last.is_alphabetic() && character.is_ascii_digit()) {
            spaced.push(' ');
        }
        let blank = matches!(character, '\t' | '\u{a0}');
        last = if blank { ' ' } else { character };
        spaced.push(last);
    }
    curtilage_units::parse(&spaced).or_else(|_| curtilage_units::parse(text)).ok()
}
