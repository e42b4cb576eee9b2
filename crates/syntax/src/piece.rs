//! A statement of the top as the forms read it: its lines, and the atoms of all of them in one list.

use crate::atom::{Atom, Block, Statement};
use curtilage_text::Span;

/// A statement of the top: the first line is its head, the others are those of its block.
#[derive(Default)]
pub(crate) struct Piece {
    pub(crate) atoms: Vec<Atom>,
    pub(crate) lines: Vec<Line>,
    /// From `{` to `}`.
    pub(crate) block: Option<Span>,
}

/// A line; its atoms begin where those of the line before end.
#[derive(Clone, Copy)]
pub(crate) struct Line {
    pub(crate) end: usize,
    /// A block that the line opens inside the block.
    pub(crate) block: Option<Span>,
}

impl Piece {
    /// Forgets the statement and keeps the memory.
    pub(crate) fn clear(&mut self) {
        self.atoms.clear();
        self.lines.clear();
        self.block = None;
    }

    /// The atoms of the head.
    pub(crate) fn head(&self) -> &[Atom] {
        let end = self.lines.first().map_or(0, |line| line.end);
        self.atoms.get(..end).unwrap_or_default()
    }

    /// The block, if it has one.
    pub(crate) fn body(&self) -> Option<Body<'_>> {
        let begin = self.lines.first()?.end;
        let lines = self.lines.get(1..).unwrap_or_default();
        Some(Body { span: self.block?, atoms: &self.atoms, begin, lines })
    }

    /// The same as a tree of its own.
    pub(crate) fn statement(&self) -> Option<Statement> {
        let statement = |atoms: &[Atom]| {
            let span = line_of(atoms)?;
            Some(Statement { atoms: atoms.to_vec(), block: None, span })
        };
        let mut whole = statement(self.head())?;
        if let Some(body) = self.body() {
            let statements = body.lines().filter_map(|(atoms, _)| statement(atoms)).collect();
            whole.span = whole.span.to(body.span);
            whole.block = Some(Block { statements, span: body.span });
        }
        Some(whole)
    }
}

/// As the grammar of record read it.
impl From<&Statement> for Piece {
    fn from(statement: &Statement) -> Self {
        let mut piece = Self { atoms: statement.atoms.clone(), ..Self::default() };
        piece.lines.push(Line { end: piece.atoms.len(), block: None });
        if let Some(block) = &statement.block {
            piece.block = Some(block.span);
            for inner in &block.statements {
                piece.atoms.extend_from_slice(&inner.atoms);
                let block = inner.block.as_ref().map(|block| block.span);
                piece.lines.push(Line { end: piece.atoms.len(), block });
            }
        }
        piece
    }
}

/// The lines of a block.
#[derive(Clone, Copy)]
pub(crate) struct Body<'a> {
    /// From `{` to `}`.
    pub(crate) span: Span,
    atoms: &'a [Atom],
    /// Where the atoms of the first line begin.
    begin: usize,
    lines: &'a [Line],
}

impl<'a> Body<'a> {
    /// The atoms of each line, and the block that it opens.
    pub(crate) fn lines(self) -> impl Iterator<Item = (&'a [Atom], Option<Span>)> {
        let mut from = self.begin;
        self.lines.iter().map(move |line| {
            let atoms = self.atoms.get(from..line.end).unwrap_or_default();
            from = line.end;
            (atoms, line.block)
        })
    }
}

/// The place of a line from its first atom to its last one.
#[inline]
pub(crate) fn line_of(atoms: &[Atom]) -> Option<Span> {
    Some(Span { start: atoms.first()?.span.start, end: atoms.last()?.span.end })
}
