//! The grammar of record, in chumsky: a file is a list of statements, a statement is a line of
//! atoms with an optional block, a block is a list of statements.
//!
//! What the atoms of a statement mean is not decided here but by its form (see `tree`), so that a
//! mistake in one line never reaches the next. The grammar is generic over its error type: a file
//! is parsed with the cheapest first, and again with full errors only when it failed.

use crate::layout::Mark;
use chumsky::error::{EmptyErr, Error, Rich};
use chumsky::prelude::*;

/// A range of marks.
pub(crate) type Range = SimpleSpan<usize>;

/// One word or value of a statement.
#[derive(Clone, Debug)]
pub(crate) struct RawAtom {
    pub(crate) kind: RawKind,
    pub(crate) range: Range,
}

#[derive(Clone, Debug)]
pub(crate) enum RawKind {
    Word,
    Number,
    /// Numbers with units, and how many marks at the end are a tolerance.
    Quantity {
        tolerance: Option<Range>,
    },
    Date,
    MonthDay,
    Clock,
    Text,
    Comma,
    Group(Vec<RawAtom>),
}

/// One line and its block.
#[derive(Clone, Debug)]
pub(crate) struct RawStatement {
    pub(crate) atoms: Vec<RawAtom>,
    pub(crate) block: Option<RawBlock>,
}

#[derive(Clone, Debug)]
pub(crate) struct RawBlock {
    pub(crate) statements: Vec<RawStatement>,
    pub(crate) range: Range,
}

/// What the grammar itself can find wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Note {
    MissingBrace,
    StrayBrace,
}

impl std::fmt::Display for Note {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        std::fmt::Debug::fmt(self, f)
    }
}

/// An error type that can carry a [`Note`].
pub(crate) trait Carry<'a>: Error<'a, &'a [Mark]> + 'a {
    fn carry(note: Note, range: Range) -> Self;
}

impl<'a> Carry<'a> for EmptyErr {
    fn carry(_: Note, _: Range) -> Self {
        Self::default()
    }
}

impl<'a> Carry<'a> for Rich<'a, Mark> {
    fn carry(note: Note, range: Range) -> Self {
        Self::custom(range, note.to_string())
    }
}

/// A value: one word, number, quantity, date, time, text, comma or group.
fn value<'a, E: Carry<'a>>() -> impl Parser<'a, &'a [Mark], RawAtom, extra::Err<E>> + Clone {
    recursive(|value| {
        let mark = |mark| any().filter(move |found: &Mark| *found == mark);
        let number_and_unit = mark(Mark::Number).then(mark(Mark::Unit)).ignored();
        let time = mark(Mark::Number).then(mark(Mark::TimeUnit)).repeated().at_least(1);
        let tolerance =
            mark(Mark::PlusMinus).ignore_then(number_and_unit.map_with(|_, extra| extra.span()));
        let quantity = choice((number_and_unit, time))
            .ignore_then(tolerance.or_not())
            .map(|tolerance| RawKind::Quantity { tolerance });
        let group = value
            .repeated()
            .collect()
            .delimited_by(mark(Mark::GroupOpen), mark(Mark::GroupClose))
            .map(RawKind::Group);
        let single = select! {
            Mark::Word | Mark::Unit | Mark::TimeUnit | Mark::PlusMinus => RawKind::Word,
            Mark::Number => RawKind::Number,
            Mark::Date => RawKind::Date,
            Mark::MonthDay => RawKind::MonthDay,
            Mark::Clock => RawKind::Clock,
            Mark::Text => RawKind::Text,
            Mark::Comma => RawKind::Comma,
        };
        choice((quantity, single, group))
            .map_with(|kind, extra| RawAtom { kind, range: extra.span() })
    })
}

/// `{`, statements, `}`; a missing brace is noted at the open one and ends the block where an item
/// begins or the file ends.
fn block<'a, E: Carry<'a>>(
    statement: impl Parser<'a, &'a [Mark], RawStatement, extra::Err<E>> + Clone,
) -> impl Parser<'a, &'a [Mark], RawBlock, extra::Err<E>> + Clone {
    let mark = |mark| any().filter(move |found: &Mark| *found == mark);
    let line_ends = mark(Mark::LineEnd).repeated();
    mark(Mark::Open)
        .map_with(|_, extra| -> Range { extra.span() })
        .then_ignore(line_ends)
        .then(statement.then_ignore(line_ends).repeated().collect())
        .then(mark(Mark::Close).or_not())
        .validate(|((open, statements), close), extra, emitter| {
            if close.is_none() {
                emitter.emit(E::carry(Note::MissingBrace, open));
            }
            RawBlock { statements, range: extra.span() }
        })
}

/// A whole file. It takes every list of marks that the layout pass makes.
pub(crate) fn file<'a, E: Carry<'a>>()
-> impl Parser<'a, &'a [Mark], Vec<RawStatement>, extra::Err<E>> {
    let mark = |mark| any().filter(move |found: &Mark| *found == mark);
    let line_ends = mark(Mark::LineEnd).repeated();
    let value = value::<E>();
    let line = value.clone().repeated().at_least(1).collect();
    let inner = recursive(|inner| {
        line.clone().then(block(inner).or_not()).map(|(atoms, block)| RawStatement { atoms, block })
    });
    let item_word = select! { Mark::Item => RawKind::Word }
        .map_with(|kind, extra| RawAtom { kind, range: extra.span() });
    let item_line = item_word.then(value.repeated().collect()).map(|(first, rest): (_, Vec<_>)| {
        let mut atoms = vec![first];
        atoms.extend(rest);
        atoms
    });
    let item = choice((item_line, line))
        .then(block(inner).or_not())
        .map(|(atoms, block)| RawStatement { atoms, block });
    let stray_brace = one_of([Mark::Close, Mark::Open])
        .validate(|_, extra, emitter| emitter.emit(E::carry(Note::StrayBrace, extra.span())));
    line_ends.ignore_then(
        choice((item.map(Some), stray_brace.to(None)))
            .then_ignore(line_ends)
            .repeated()
            .collect::<Vec<_>>()
            .map(|list| list.into_iter().flatten().collect()),
    )
}
