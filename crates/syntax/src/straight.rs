//! The way of a text without a mistake: the grammar of `grammar`, read straight from the marks into
//! statements. It gives up at the first thing that the grammar would complain of, and the grammar
//! of record then reads the text; what it does read is the grammar's tree, which a test holds it to.

use crate::atom::{Atom, AtomKind, Block, Statement};
use crate::layout::{Layout, Mark};
use curtilage_text::Span;

/// The statements of a text; none where the grammar of record has to read it.
pub(crate) fn statements(layout: &Layout) -> Option<Vec<Statement>> {
    let mut list = Vec::new();
    let mut reader = Reader::new(layout);
    while let Some(statement) = reader.next()? {
        list.push(statement);
    }
    Some(list)
}

/// Shows every statement of a text to `each`, one after the other, and keeps none: all are read
/// into the same memory. None where the grammar of record has to read the text.
pub(crate) fn each(layout: &Layout, mut each: impl FnMut(&Statement)) -> Option<()> {
    let mut reader = Reader::new(layout);
    while let Some(statement) = reader.next()? {
        each(&statement);
        reader.take_back(statement);
    }
    Some(())
}

struct Reader<'a> {
    layout: &'a Layout,
    at: usize,
    /// Lists that were filled before and are empty again.
    atoms: Vec<Vec<Atom>>,
    statements: Vec<Vec<Statement>>,
}

impl<'a> Reader<'a> {
    fn new(layout: &'a Layout) -> Self {
        Self { layout, at: 0, atoms: Vec::new(), statements: Vec::new() }
    }

    /// The next statement of the file, if there is one.
    #[expect(clippy::option_option, reason = "giving up is not the end of the text")]
    fn next(&mut self) -> Option<Option<Statement>> {
        self.line_ends();
        if self.at < self.layout.marks.len() { self.statement(true).map(Some) } else { Some(None) }
    }

    fn take_back(&mut self, statement: Statement) {
        self.take_back_atoms(statement.atoms);
        if let Some(Block { mut statements, .. }) = statement.block {
            statements.drain(..).for_each(|inner| self.take_back(inner));
            self.statements.push(statements);
        }
    }

    fn take_back_atoms(&mut self, mut atoms: Vec<Atom>) {
        for atom in atoms.drain(..) {
            if let AtomKind::Group(inner) = atom.kind {
                self.take_back_atoms(inner);
            }
        }
        self.atoms.push(atoms);
    }

    fn peek(&self) -> Option<Mark> {
        self.layout.marks.get(self.at).copied()
    }

    fn ahead(&self, by: usize) -> Option<Mark> {
        self.layout.marks.get(self.at + by).copied()
    }

    /// The place of the token that was just taken.
    fn last(&self) -> Span {
        self.layout.span(self.at - 1)
    }

    fn take(&mut self, mark: Mark) -> Option<()> {
        (self.peek()? == mark).then(|| self.at += 1)
    }

    fn line_ends(&mut self) {
        while self.peek() == Some(Mark::LineEnd) {
            self.at += 1;
        }
    }

    fn span(&self, from: usize) -> Span {
        self.layout.span_of(from, self.at)
    }

    /// A line and its block. An item's word begins one only at the top of a file.
    fn statement(&mut self, top: bool) -> Option<Statement> {
        let mut atoms = self.atoms.pop().unwrap_or_default();
        if top && self.peek() == Some(Mark::Item) {
            self.at += 1;
            atoms.push(Atom { kind: AtomKind::Word, span: self.last() });
        }
        self.values(&mut atoms)?;
        let (first, last) = (atoms.first()?.span, atoms.last()?.span);
        let block = if self.peek() == Some(Mark::Open) { Some(self.block()?) } else { None };
        let span = first.to(block.as_ref().map_or(last, |block| block.span));
        Some(Statement { atoms, block, span })
    }

    /// The depth is bounded by the layout.
    fn block(&mut self) -> Option<Block> {
        let from = self.at;
        self.take(Mark::Open)?;
        self.line_ends();
        let mut statements = self.statements.pop().unwrap_or_default();
        while self.peek() != Some(Mark::Close) {
            statements.push(self.statement(false)?);
            self.line_ends();
        }
        self.take(Mark::Close)?;
        Some(Block { statements, span: self.span(from) })
    }

    /// Values up to the first mark that begins none.
    fn values(&mut self, atoms: &mut Vec<Atom>) -> Option<()> {
        while let Some(mark) = self.peek() {
            let from = self.at;
            let kind = match mark {
                Mark::Number => self.number(),
                Mark::Word | Mark::Unit | Mark::TimeUnit | Mark::PlusMinus => {
                    self.one(AtomKind::Word)
                }
                Mark::Date => self.one(AtomKind::Date),
                Mark::MonthDay => self.one(AtomKind::MonthDay),
                Mark::Clock => self.one(AtomKind::Clock),
                Mark::Text => self.one(AtomKind::Text),
                Mark::Comma => self.one(AtomKind::Comma),
                Mark::GroupOpen => {
                    self.at += 1;
                    let mut inner = self.atoms.pop().unwrap_or_default();
                    self.values(&mut inner)?;
                    self.take(Mark::GroupClose)?;
                    AtomKind::Group(inner)
                }
                Mark::Item | Mark::Open | Mark::Close | Mark::GroupClose | Mark::LineEnd => break,
            };
            atoms.push(Atom { kind, span: self.span(from) });
        }
        Some(())
    }

    fn one(&mut self, kind: AtomKind) -> AtomKind {
        self.at += 1;
        kind
    }

    /// A number, or a quantity: with one unit, or with units of time as often as they come; then
    /// perhaps a tolerance.
    fn number(&mut self) -> AtomKind {
        match self.ahead(1) {
            Some(Mark::Unit) => self.at += 2,
            Some(Mark::TimeUnit) => {
                while self.peek() == Some(Mark::Number) && self.ahead(1) == Some(Mark::TimeUnit) {
                    self.at += 2;
                }
            }
            _ => return self.one(AtomKind::Number),
        }
        let tolerance = [self.peek(), self.ahead(1), self.ahead(2)];
        if tolerance != [Some(Mark::PlusMinus), Some(Mark::Number), Some(Mark::Unit)] {
            return AtomKind::Quantity { tolerance: None };
        }
        self.at += 3;
        AtomKind::Quantity { tolerance: Some(self.span(self.at - 2)) }
    }
}
