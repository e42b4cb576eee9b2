//! The untyped tree: statements of atoms. The formatter works on it, and each form reads it.

use crate::token::{Kind, Split, offset};
use crate::tree::Shift;
use curtilage_text::Span;
use curtilage_units::{ParseError, Quantity, Unit};

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

impl Atom {
    /// The letters of a word; none of any other atom.
    #[inline]
    pub(crate) fn word_in<'a>(&self, source: &'a str) -> Option<&'a [u8]> {
        matches!(self.kind, AtomKind::Word).then(|| self.span.bytes_of(source))
    }

    /// The place of a quantity without its tolerance; none of any other atom.
    #[must_use]
    pub fn without_tolerance(&self, source: &str) -> Option<Span> {
        let AtomKind::Quantity { tolerance } = self.kind else { return None };
        let Some(tolerance) = tolerance else { return Some(self.span) };
        let whole = Span::new(self.span.start, tolerance.start);
        let text = whole.of(source).trim_end_matches(['±', '+', '-', '/', ' ', '\t', '\u{a0}']);
        Some(Span::new(whole.start, whole.start + offset(text.len())))
    }

    /// The unit of a quantity, the last one of a time in several; that of its tolerance does not count.
    #[must_use]
    pub fn unit(&self, source: &str) -> Option<&'static Unit> {
        let text = self.without_tolerance(source)?.of(source);
        let (_, unit) = Split::new(text).filter(|(kind, _)| *kind == Kind::Word).last()?;
        curtilage_units::lookup(unit.of(text))
    }

    /// The value of a quantity, its tolerance left out.
    #[must_use]
    pub fn quantity(&self, source: &str) -> Option<Quantity> {
        quantity(self.without_tolerance(source)?.of(source)).ok()
    }
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

/// A written quantity without a tolerance.
pub(crate) fn quantity(text: &str) -> Result<Quantity, ParseError> {
    let plain = curtilage_units::plain(text).map(Ok);
    plain.unwrap_or_else(|| curtilage_units::parse(&spaced(text)))
}

/// `18m` as `18 m`, so that every reader of a quantity sees it set apart.
fn spaced(text: &str) -> std::borrow::Cow<'_, str> {
    let joined = text
        .as_bytes()
        .windows(2)
        .any(|pair| matches!(pair, [a, b] if a.is_ascii_digit() && !b.is_ascii_digit() && !matches!(b, b' ' | b'\t' | b'.')));
    if !joined && text.is_ascii() && !text.contains('\t') {
        return text.into();
    }
    let mut out = String::with_capacity(text.len() + 4);
    let mut last = ' ';
    for character in text.chars() {
        let unit_starts = last.is_ascii_digit()
            && !character.is_ascii_digit()
            && !matches!(character, '.' | 'e' | 'E' | ' ' | '\t' | '\u{a0}');
        if unit_starts {
            out.push(' ');
        }
        out.push(if matches!(character, '\t' | '\u{a0}') { ' ' } else { character });
        last = character;
    }
    out.into()
}

#[cfg(test)]
mod tests {
    use super::{Atom, AtomKind};

    /// However it is written: the unit is the last one before the tolerance, and the value has none of it.
    #[test]
    fn a_quantity_without_its_tolerance() {
        for (written, without, unit, value) in [
            ("18 m", "18 m", "m", 18.0),
            ("18m", "18m", "m", 18.0),
            ("1.5mm2", "1.5mm2", "mm2", 1.5),
            ("2.5e+3 mW", "2.5e+3 mW", "mW", 2.5),
            ("12E3mV", "12E3mV", "mV", 12.0),
            ("2 h 3 min", "2 h 3 min", "min", 7_380_000.0),
            ("2 h\u{a0}3min", "2 h\u{a0}3min", "min", 7_380_000.0),
            ("2.2kohm+-1%", "2.2kohm", "kohm", 2200.0),
            ("2.2e+0 kohm\u{a0}+/- 1 %", "2.2e+0 kohm", "kohm", 2200.0),
            ("2.2 kohm \t± 1 %", "2.2 kohm", "kohm", 2200.0),
        ] {
            let source = format!("ends across {written}\n");
            let statements = crate::parse(&source, &[]);
            let statements = statements.statements(&source);
            let atom: &Atom = &statements[0].atoms[2];
            assert!(matches!(atom.kind, AtomKind::Quantity { .. }), "{written}");
            assert_eq!(atom.without_tolerance(&source).unwrap().of(&source), without);
            assert_eq!(atom.unit(&source).unwrap().text, unit, "{written}");
            assert_eq!(atom.quantity(&source).unwrap().value, value, "{written}");
        }
    }
}
