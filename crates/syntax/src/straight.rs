//! The way of a text without a mistake in its shape: read straight from the tokens into statements,
//! one of the top at a time. It gives up at the first thing that the grammar would complain of, and
//! at what few would write, a block inside a block; the grammar of record then reads the text. What it
//! does read is the grammar's tree, which a test holds it to.

use crate::atom::{Atom, AtomKind, Statement};
use crate::fault::{Fault, FaultKind};
use crate::layout::MAX_DEPTH;
use crate::piece::{Line, Piece};
use crate::token::{Kind, Split};
use crate::tree::item_word;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// The statements of a text; none where the grammar of record has to read it.
pub(crate) fn statements(source: &str) -> Option<Vec<Statement>> {
    let mut list = Vec::new();
    each(source, &mut Vec::new(), |piece, _| list.extend(piece.statement()))?;
    Some(list)
}

/// How a text ends that was read.
pub(crate) struct End {
    /// A comma is the last of it: what follows would be of the same statement.
    pub(crate) in_a_list: bool,
}

/// Shows every statement of a text to `each`, one after the other, and keeps none: all are read
/// into the same memory. Faults of single tokens are added to `faults`. None where the grammar of
/// record has to read the text.
pub(crate) fn each(
    source: &str,
    faults: &mut Vec<Fault>,
    mut each: impl FnMut(&Piece, &mut Vec<Fault>),
) -> Option<End> {
    let tokens = Split::new(source);
    let (piece, groups) = (Piece::default(), Vec::new());
    let mut reader = Reader { source, tokens, piece, groups, in_a_list: false };
    while reader.statement(faults)? {
        each(&reader.piece, faults);
    }
    Some(End { in_a_list: reader.in_a_list })
}

struct Reader<'a> {
    source: &'a str,
    /// What is still to be read.
    tokens: Split<'a>,
    /// The statement that is read.
    piece: Piece,
    /// The open groups: which atom each of them is.
    groups: Vec<usize>,
    in_a_list: bool,
}

/// What ends a line.
enum Ended {
    Line,
    Open(Span),
    Close(Span),
    Text,
}

impl Reader<'_> {
    /// Reads the next statement of the top, with its block; false at the end of the text.
    fn statement(&mut self, faults: &mut Vec<Fault>) -> Option<bool> {
        self.piece.clear();
        let open = match self.line(false, faults)? {
            Ended::Line => self.brace_on_a_later_line(faults),
            Ended::Open(span) => Some(span),
            Ended::Close(_) => return None,
            Ended::Text => return Some(!self.piece.lines.is_empty()),
        };
        if let Some(open) = open {
            let close = loop {
                match self.line(true, faults)? {
                    Ended::Line => {}
                    Ended::Close(span) => break span,
                    Ended::Open(_) | Ended::Text => return None,
                }
            };
            self.piece.block = Some(Span { start: open.start, end: close.end });
        }
        Some(true)
    }

    /// The brace that opens the block of the line before.
    fn brace_on_a_later_line(&mut self, faults: &mut Vec<Fault>) -> Option<Span> {
        loop {
            let here = self.tokens;
            match self.tokens.next_word() {
                Some((Kind::Open, span)) => return Some(span),
                Some((Kind::Newline, _)) => {}
                Some((Kind::Stray, span)) => stray(span, faults),
                _ => {
                    self.tokens = here;
                    return None;
                }
            }
        }
    }

    /// Reads the atoms of the next line that has any.
    fn line(&mut self, in_block: bool, faults: &mut Vec<Fault>) -> Option<Ended> {
        let from = self.piece.atoms.len();
        loop {
            let Some((kind, span)) = self.tokens.next_word() else {
                self.in_a_list |= self.is_after_a_comma(true);
                self.end_line(from, faults);
                return Some(Ended::Text);
            };
            match kind {
                Kind::Word => {
                    if self.piece.atoms.len() == from {
                        // The brace before an item is missing.
                        if in_block && self.begins_item(span) {
                            return None;
                        }
                    } else if self.is_after_a_number() && self.unit(span, from) {
                        continue;
                    }
                    self.push(AtomKind::Word, span);
                }
                Kind::Number => self.push(AtomKind::Number, span),
                Kind::Comma => self.push(AtomKind::Comma, span),
                Kind::Newline => {
                    // An empty line, or one that goes on.
                    if self.piece.atoms.len() == from || self.is_after_a_comma(false) {
                        continue;
                    }
                    self.end_line(from, faults);
                    return Some(Ended::Line);
                }
                Kind::Open => return self.open(in_block, from, span, faults),
                Kind::Close => {
                    self.end_line(from, faults);
                    return Some(Ended::Close(span));
                }
                Kind::Text => self.push(AtomKind::Text, span),
                Kind::PlusMinus => self.push(AtomKind::Word, span),
                Kind::Clock => self.push(AtomKind::Clock, span),
                Kind::Date => self.push(AtomKind::Date, span),
                Kind::MonthDay => self.push(AtomKind::MonthDay, span),
                Kind::GroupOpen => {
                    if self.groups.len() == MAX_DEPTH {
                        return None;
                    }
                    self.groups.push(self.piece.atoms.len());
                    self.push(AtomKind::Group(Vec::new()), span);
                }
                Kind::GroupClose => match self.groups.pop() {
                    Some(group) => self.close(group, span.end),
                    None => faults.push(Fault::new(FaultKind::StrayGroup, span)),
                },
                Kind::OpenText => {
                    faults.push(Fault::new(FaultKind::OpenText, span));
                    self.push(AtomKind::Text, span);
                    // The brace behind a title that is not closed still opens the block.
                    if span.of(self.source).trim_end().ends_with('{') {
                        return self.open(in_block, from, span, faults);
                    }
                }
                Kind::Stray => stray(span, faults),
                Kind::Space | Kind::Comment => {}
            }
        }
    }

    #[inline]
    fn push(&mut self, kind: AtomKind, span: Span) {
        self.piece.atoms.push(Atom { kind, span });
    }

    fn open(
        &mut self,
        in_block: bool,
        from: usize,
        span: Span,
        faults: &mut Vec<Fault>,
    ) -> Option<Ended> {
        if in_block || self.piece.atoms.len() == from {
            return None;
        }
        self.end_line(from, faults);
        Some(Ended::Open(span))
    }

    /// Ends the line whose atoms begin at `from`, and the groups that it leaves open.
    #[inline]
    fn end_line(&mut self, from: usize, faults: &mut Vec<Fault>) {
        if !self.groups.is_empty() {
            self.close_groups(faults);
        }
        let end = self.piece.atoms.len();
        if end > from {
            self.piece.lines.push(Line { end, block: None });
        }
    }

    #[cold]
    fn close_groups(&mut self, faults: &mut Vec<Fault>) {
        let outermost = self.groups.first().and_then(|group| self.piece.atoms.get(*group));
        let end = self.piece.atoms.last().map_or(0, |last| last.span.end);
        faults.extend(outermost.map(|open| Fault::new(FaultKind::StrayGroup, open.span)));
        while let Some(group) = self.groups.pop() {
            self.close(group, end);
        }
    }

    /// Makes what stands behind an open group its own.
    fn close(&mut self, group: usize, end: u32) {
        let inner = self.piece.atoms.split_off(group + 1);
        if let Some(atom) = self.piece.atoms.last_mut() {
            atom.kind = AtomKind::Group(inner);
            atom.span.end = end;
        }
    }

    /// Whether the last word or sign is a comma; in a closed group its last one counts, if asked for.
    fn is_after_a_comma(&self, in_groups: bool) -> bool {
        let mut last = self.piece.atoms.last();
        while let Some(Atom { kind: AtomKind::Group(inner), .. }) = last
            && in_groups
        {
            last = inner.last();
        }
        last.is_some_and(|atom| matches!(atom.kind, AtomKind::Comma))
    }

    fn is_after_a_number(&self) -> bool {
        self.piece.atoms.last().is_some_and(|atom| matches!(atom.kind, AtomKind::Number))
    }

    /// Whether a word at a line's start inside a block begins an item. One that may be either is the
    /// block's: only a brace behind it could tell, and that is given up at.
    fn begins_item(&self, span: Span) -> bool {
        item_word(span.bytes_of(self.source)).is_some_and(|item| !item.also_statement)
    }

    /// Takes a word behind a number for its unit, if it is one: the number becomes a quantity, goes on
    /// with a time in several units, or is the tolerance of the quantity before.
    fn unit(&mut self, span: Span, from: usize) -> bool {
        let Some(unit) = curtilage_units::lookup(span.of(self.source)) else { return false };
        let is_time = unit.dimension == Dimension::Time;
        let line = self.piece.atoms.get_mut(from..).unwrap_or_default();
        let quantity = AtomKind::Quantity { tolerance: None };
        let taken = match line {
            [.., before, _]
                if is_time && before.kind == quantity && is_time_of(before, self.source) =>
            {
                before.span.end = span.end;
                1
            }
            [.., before, sign, number]
                if !is_time && before.kind == quantity && is_plus_minus(sign, self.source) =>
            {
                let tolerance = Span { start: number.span.start, end: span.end };
                before.kind = AtomKind::Quantity { tolerance: Some(tolerance) };
                before.span.end = span.end;
                2
            }
            [.., number] => {
                number.kind = quantity;
                number.span.end = span.end;
                0
            }
            [] => return false,
        };
        self.piece.atoms.truncate(self.piece.atoms.len() - taken);
        true
    }
}

fn stray(span: Span, faults: &mut Vec<Fault>) {
    faults.push(Fault::new(FaultKind::StrayCharacter, span));
}

#[cold]
fn is_time_of(atom: &Atom, source: &str) -> bool {
    atom.unit(source).is_some_and(|unit| unit.dimension == Dimension::Time)
}

/// Whether a word is a sign of a tolerance; no other word begins with these letters.
fn is_plus_minus(atom: &Atom, source: &str) -> bool {
    matches!(atom.kind, AtomKind::Word) && {
        let text = source.as_bytes().get(atom.span.start as usize..).unwrap_or_default();
        matches!(text, [b'+', ..] | [0xc2, 0xb1, ..])
    }
}
