//! The whole way from text to tree.

use crate::atom::{Atom, AtomKind, Block, Statement};
use crate::fault::{Fault, FaultKind};
use crate::grammar::{self, Note, Range, RawAtom, RawBlock, RawKind, RawStatement};
use crate::layout::{Layout, Mark};
use crate::piece::Piece;
use crate::straight::{self, End};
use crate::token::Tokens;
use crate::tree::{self, File, Item, Shift};
use chumsky::Parser;
use chumsky::error::{EmptyErr, Rich, RichReason};
use curtilage_text::{Span, TextFault};
use std::borrow::Cow;
use std::sync::OnceLock;

/// A parsed text.
#[derive(Clone, Debug)]
pub struct Parsed {
    /// The typed items.
    pub file: File,
    /// Everything that is wrong with the text, in order of place.
    pub faults: Vec<Fault>,
    /// Where each statement of the file's top begins, and how many items stand before it.
    pub(crate) heads: Vec<Head>,
    /// Whether no mistake in its shape was found.
    pub(crate) straight: bool,
    /// What can be read again when somebody asks for it.
    pub(crate) again: Again,
}

/// What checking a site has no need of: it is read again when it is first asked for.
#[derive(Clone, Debug, Default)]
pub(crate) struct Again {
    tokens: OnceLock<Tokens>,
    statements: OnceLock<Vec<Statement>>,
    /// Single statements, by head.
    single: OnceLock<Vec<OnceLock<Statement>>>,
}

/// A statement of the file's top, as it can be looked at.
#[derive(Clone, Debug)]
pub enum Top<'p> {
    /// The item that it is.
    Item(&'p Item),
    /// Its words; something about it is wrong.
    Statement(Cow<'p, Statement>),
}

/// Where a statement of the file's top begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Head {
    pub(crate) start: u32,
    pub(crate) before: u32,
}

impl Parsed {
    /// Every token of the text that was parsed, trivia included.
    #[must_use]
    pub fn tokens(&self, source: &str) -> &Tokens {
        self.again.tokens.get_or_init(|| Tokens::new(source))
    }

    /// The untyped statements of the text that was parsed.
    #[must_use]
    pub fn statements(&self, source: &str) -> &[Statement] {
        self.again.statements.get_or_init(|| {
            straight::statements(source).unwrap_or_else(|| by_the_grammar(source, &mut Vec::new()))
        })
    }

    /// The last statement of the file's top that begins at an offset or before it, read for itself
    /// where that can be.
    #[must_use]
    pub fn statement_before(&self, source: &str, offset: u32) -> Option<&Statement> {
        if !self.straight || self.again.statements.get().is_some() {
            let all = self.statements(source);
            let after = all.partition_point(|statement| statement.span.start <= offset);
            return all.get(after.checked_sub(1)?);
        }
        let index = self.heads.partition_point(|head| head.start <= offset).checked_sub(1)?;
        let single = self.again.single.get_or_init(|| vec![OnceLock::new(); self.heads.len()]);
        let slot = single.get(index)?;
        if slot.get().is_none() {
            let statement = self.read_alone(source, index)?;
            return Some(slot.get_or_init(|| statement));
        }
        slot.get()
    }

    /// The statements of the file's top that a span touches, be it only at an end. Where it can be,
    /// they are read for themselves.
    #[must_use]
    pub fn statements_at(&self, source: &str, span: Span) -> Vec<Cow<'_, Statement>> {
        let touches = |of: Span| span.start <= of.end && of.start <= span.end;
        if !self.straight || self.again.statements.get().is_some() {
            let all = self.statements(source);
            let first = all.partition_point(|one| one.span.end < span.start);
            let touched = all.iter().skip(first).take_while(|one| touches(one.span));
            return touched.map(Cow::Borrowed).collect();
        }
        // The one before the last that begins at the span or earlier may end where that begins.
        let from = self.heads.partition_point(|head| head.start <= span.start).saturating_sub(2);
        let to = self.heads.partition_point(|head| head.start <= span.end);
        let read = (from..to).filter_map(|index| self.read_alone(source, index));
        read.filter(|one| touches(one.span)).map(Cow::Owned).collect()
    }

    /// The statements of the file's top, in order: each as its item where it was read without a fault.
    #[must_use]
    pub fn tops(&self, source: &str) -> Vec<Top<'_>> {
        let untold = |fault: &Fault| matches!(fault.kind, FaultKind::TooMany { .. });
        if !self.straight || self.faults.iter().any(untold) {
            let all = self.statements(source).iter();
            return all.map(|one| Top::Statement(Cow::Borrowed(one))).collect();
        }
        let mut faults = self.faults.iter().map(|fault| fault.span).peekable();
        let top = |(index, head): (usize, &Head)| {
            let next = self.heads.get(index + 1);
            let end = next.map_or(u32::MAX, |next| next.start);
            while faults.next_if(|fault| fault.end < head.start).is_some() {}
            let faulty = faults.peek().is_some_and(|fault| fault.start <= end);
            let after = next.map_or(self.file.items.len(), |next| next.before as usize);
            let own = self.file.items.get(head.before as usize..after).and_then(<[Item]>::first);
            match own.filter(|_| !faulty) {
                Some(item) => Some(Top::Item(item)),
                None => self.read_alone(source, index).map(Cow::Owned).map(Top::Statement),
            }
        };
        self.heads.iter().enumerate().filter_map(top).collect()
    }

    /// A statement of a text without a mistake in its shape, read for itself.
    fn read_alone(&self, source: &str, index: usize) -> Option<Statement> {
        let start = self.heads.get(index)?.start;
        let end = self.heads.get(index + 1).map_or(source.len(), |head| head.start as usize);
        let text = source.get(start as usize..end)?;
        let mut statement = straight::statements(text)?.into_iter().next()?;
        statement.shift(start);
        Some(statement)
    }
}

/// Parses `source`; `text_faults` are those that decoding its bytes gave.
#[must_use]
pub fn parse(source: &str, text_faults: &[TextFault]) -> Parsed {
    let mut faults = of_text(text_faults);
    let mut read = Read::default();
    let again = Again::default();
    let straight = read.straight(source, &mut faults).is_some();
    if !straight {
        let list = by_the_grammar(source, &mut faults);
        list.iter().for_each(|one| read.statement(source, &Piece::from(one), &mut faults));
        let _ = again.statements.set(list);
    }
    let Read { items, heads } = read;
    in_order(source, &mut faults);
    if let Some(first) = faults.get(MOST_FAULTS).map(|fault| fault.span) {
        let untold = faults.split_off(MOST_FAULTS);
        let broken = untold.iter().any(|fault| {
            rank(&fault.kind) < 2
                || matches!(
                    fault.kind,
                    FaultKind::TooDeep
                        | FaultKind::MissingBrace { .. }
                        | FaultKind::StrayBrace
                        | FaultKind::StrayGroup
                )
        });
        faults.push(Fault::new(FaultKind::TooMany { left: untold.len(), broken }, first));
    }
    Parsed { file: File { items }, faults, heads, straight, again }
}

pub(crate) fn of_text(faults: &[TextFault]) -> Vec<Fault> {
    faults.iter().map(|fault| Fault::new(FaultKind::Text(fault.kind), fault.span)).collect()
}

/// Sorts the faults of a text by place, and leaves out what tells nothing new.
pub(crate) fn in_order(source: &str, faults: &mut Vec<Fault>) {
    faults.sort_by_key(|fault| (fault.span.start, rank(&fault.kind), fault.span.end));
    tell_once(source, faults);
}

/// What was read of a text so far.
#[derive(Default)]
pub(crate) struct Read {
    pub(crate) items: Vec<Item>,
    pub(crate) heads: Vec<Head>,
}

impl Read {
    fn statement(&mut self, source: &str, piece: &Piece, faults: &mut Vec<Fault>) {
        let before = u32::try_from(self.items.len()).unwrap_or(u32::MAX);
        let start = piece.atoms.first().map_or(0, |first| first.span.start);
        self.heads.push(Head { start, before });
        self.items.extend(tree::item_of(source, piece, faults));
    }

    /// Reads the items of a text without a mistake in its shape, and says how it ends; of any other
    /// text nothing.
    pub(crate) fn straight(&mut self, source: &str, faults: &mut Vec<Fault>) -> Option<End> {
        let before = faults.len();
        let end = straight::each(source, faults, |piece, faults| {
            self.statement(source, piece, faults);
        });
        if end.is_none() {
            *self = Self::default();
            faults.truncate(before);
        }
        end
    }
}

/// What the straight way and the grammar of record make of a text that the straight way takes, and
/// what the grammar complains of: for tests that hold one against the other.
#[doc(hidden)]
#[must_use]
pub fn both_ways(source: &str) -> Option<(Vec<Statement>, Vec<Statement>, Vec<Fault>)> {
    let straight = straight::statements(source)?;
    let (layout, mut faults) = (Layout::new(source, &mut Vec::new()), Vec::new());
    let recorded = recorded(&layout, &mut faults);
    Some((straight, recorded, faults))
}

/// What cannot be read is told once: not again as a word that makes no sense, nor as words that
/// are missing on the same line, which are likely those.
fn tell_once(source: &str, faults: &mut Vec<Fault>) {
    let unread: Vec<Span> =
        faults.iter().filter(|fault| rank(&fault.kind) < 2).map(|fault| fault.span).collect();
    if unread.is_empty() {
        return;
    }
    let mut end = 0;
    faults.retain(|fault| {
        let rank = rank(&fault.kind);
        let inside = rank > 0 && fault.span.start < end && fault.span.end <= end;
        if rank < 2 {
            end = end.max(fault.span.end);
        }
        let lost = matches!(fault.kind, FaultKind::Expected { found: None, .. }) && {
            let at = fault.span.start as usize;
            let before = source.get(..at).and_then(|text| text.rfind('\n')).unwrap_or(0);
            let after =
                source.get(at..).and_then(|text| text.find('\n')).map_or(source.len(), |n| at + n);
            let first = unread.partition_point(|span| (span.start as usize) < before);
            unread.get(first).is_some_and(|span| span.start as usize <= after)
        };
        !inside && !lost
    });
}

/// A file with more faults than this is no site file with mistakes, but something else.
pub(crate) const MOST_FAULTS: usize = 500;

/// Raw text comes before tokens, and tokens before what they would mean.
fn rank(kind: &FaultKind) -> u8 {
    match kind {
        FaultKind::Text(_) => 0,
        FaultKind::StrayCharacter | FaultKind::OpenText => 1,
        _ => 2,
    }
}

/// The statements as the grammar of record reads them.
fn by_the_grammar(source: &str, faults: &mut Vec<Fault>) -> Vec<Statement> {
    let layout = Layout::new(source, faults);
    recorded(&layout, faults)
}

fn recorded(layout: &Layout, faults: &mut Vec<Fault>) -> Vec<Statement> {
    let raw = statements(layout, faults);
    let convert = Convert { layout };
    raw.into_iter().map(|raw| convert.statement(raw)).collect()
}

/// Runs the grammar with the cheapest errors, and again with full ones when there is any.
fn statements(layout: &Layout, faults: &mut Vec<Fault>) -> Vec<RawStatement> {
    let marks = layout.marks();
    let marks = marks.as_slice();
    let (list, errors) = grammar::file::<EmptyErr>().parse(marks).into_output_errors();
    if errors.is_empty() {
        return list.unwrap_or_default();
    }
    let (list, errors) = grammar::file::<Rich<'_, Mark>>().parse(marks).into_output_errors();
    for error in errors {
        let range: Range = *error.span();
        let span = layout.span_of(range.start, range.end);
        let kind = match error.reason() {
            RichReason::Custom(note) if *note == Note::MissingBrace.to_string() => {
                FaultKind::MissingBrace { ends: block_end(layout, range.start) }
            }
            RichReason::Custom(_) => FaultKind::StrayBrace,
            RichReason::ExpectedFound { .. } => {
                FaultKind::Expected { what: "a statement".to_owned(), found: None }
            }
        };
        faults.push(Fault::new(kind, span));
    }
    list.unwrap_or_default()
}

/// Where the block that opens at a mark had to end: before the next item, or at the file's end.
fn block_end(layout: &Layout, open: usize) -> Span {
    let next = layout.list.iter().skip(open).position(|placed| placed.mark == Mark::Item);
    let mark = next.map_or(layout.list.len().saturating_sub(1), |next| open + next);
    Span::at(layout.span(mark).start)
}

struct Convert<'a> {
    layout: &'a Layout,
}

impl Convert<'_> {
    fn span(&self, range: Range) -> Span {
        self.layout.span_of(range.start, range.end)
    }

    fn atom(&self, raw: RawAtom) -> Atom {
        let kind = match raw.kind {
            RawKind::Word => AtomKind::Word,
            RawKind::Number => AtomKind::Number,
            RawKind::Quantity { tolerance } => {
                AtomKind::Quantity { tolerance: tolerance.map(|range| self.span(range)) }
            }
            RawKind::Date => AtomKind::Date,
            RawKind::MonthDay => AtomKind::MonthDay,
            RawKind::Clock => AtomKind::Clock,
            RawKind::Text => AtomKind::Text,
            RawKind::Comma => AtomKind::Comma,
            RawKind::Group(inner) => {
                AtomKind::Group(inner.into_iter().map(|atom| self.atom(atom)).collect())
            }
        };
        Atom { kind, span: self.span(raw.range) }
    }

    fn statement(&self, raw: RawStatement) -> Statement {
        let atoms: Vec<Atom> = raw.atoms.into_iter().map(|atom| self.atom(atom)).collect();
        let block = raw.block.map(|RawBlock { statements, range }| Block {
            statements: statements.into_iter().map(|inner| self.statement(inner)).collect(),
            span: self.span(range),
        });
        let start = atoms.first().map_or(Span::default(), |atom| atom.span);
        let last = atoms.last().map_or(start, |atom| atom.span);
        let span = start.to(block.as_ref().map_or(last, |block| block.span));
        Statement { atoms, block, span }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Whether the straight way took the text; where it did, it read what the grammar reads.
    fn agrees(source: &str) -> bool {
        let Some((straight, recorded, faults)) = both_ways(source) else { return false };
        assert_eq!(straight, recorded, "{source}");
        assert_eq!(faults, [], "{source}");
        true
    }

    fn sites(folder: &str, out: &mut Vec<String>) {
        #[allow(clippy::disallowed_methods, reason = "a test reads the examples")]
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sites(path.to_str().unwrap(), out);
            } else if path.extension().is_some_and(|ending| ending == "site") {
                #[allow(clippy::disallowed_methods, reason = "a test reads the examples")]
                out.extend(std::fs::read_to_string(path).ok());
            }
        }
    }

    fn examples() -> Vec<String> {
        let mut out = Vec::new();
        sites(concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples"), &mut out);
        out
    }

    #[test]
    fn the_straight_way_reads_the_examples_as_the_grammar_does() {
        let examples = examples();
        let straight = examples.iter().filter(|text| agrees(text)).count();
        // Those with a mistake in their shape are the grammar's.
        assert!(straight > 60 && straight + 5 > examples.len(), "{straight}/{}", examples.len());
    }

    #[test]
    fn the_straight_way_reads_damaged_examples_as_the_grammar_does() {
        let pieces =
            ["{", "}", "(", ")", "\n", ",", "+-", "5 m", "2 h 3 min", "1 kohm +-5 %", "\"", " "];
        let (mut random, mut taken) = (17_u64, 0);
        let mut next = |below: usize| {
            random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            usize::try_from(random >> 33).unwrap() % below
        };
        for text in examples() {
            for _ in 0..12 {
                let mut damaged = text.clone();
                for _ in 0..=next(3) {
                    let mut at = next(damaged.len() + 1);
                    while !damaged.is_char_boundary(at) {
                        at -= 1;
                    }
                    damaged.insert_str(at, pieces[next(pieces.len())]);
                }
                taken += usize::from(agrees(&damaged));
            }
        }
        assert!(taken > 200, "{taken}");
    }

    proptest! {
        #[test]
        fn the_straight_way_reads_any_words_as_the_grammar_does(
            words in proptest::collection::vec(
                prop_oneof![
                    Just("zone"), Just("site"), Just("{"), Just("}"), Just("("), Just(")"),
                    Just("\n"), Just(","), Just("+-"), Just("5"), Just("m"), Just("min"), Just("%"),
                    Just("07:30"), Just("2026-01-01"), Just("12-25"), Just("\"t\""), Just("door"),
                ],
                0..40,
            )
        ) {
            agrees(&words.join(" "));
        }
    }
}
