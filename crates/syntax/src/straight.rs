//! The way of a text without a mistake: the grammar of `grammar`, read straight from the marks into
//! statements, a piece of the text at a time. It gives up at the first thing that the grammar would
//! complain of, and the grammar of record then reads the text; what it does read is the grammar's
//! tree, which a test holds it to.

use crate::atom::{Atom, AtomKind, Block, Statement};
use crate::fault::Fault;
use crate::layout::{Layout, Mark, Pass, Placed};
use curtilage_text::Span;

/// The statements of a text; none where the grammar of record has to read it.
pub(crate) fn statements(source: &str) -> Option<Vec<Statement>> {
    let (mut list, mut lists) = (Vec::new(), Lists::default());
    let mut pass = Pass::new(source);
    while let Some(piece) = pass.piece(&mut Vec::new()) {
        let mut reader = Reader::new(piece, &mut lists);
        while let Some(statement) = reader.next()? {
            list.push(statement);
        }
    }
    Some(list)
}

/// Shows every statement of a text to `each`, one after the other, and keeps none: all are read
/// into the same memory. Gives the marks of the last one; none where the grammar of record has to
/// read the text.
pub(crate) fn each(
    source: &str,
    faults: &mut Vec<Fault>,
    mut each: impl FnMut(&Statement, &mut Vec<Fault>),
) -> Option<Layout> {
    let mut lists = Lists::default();
    let mut pass = Pass::new(source);
    while let Some(piece) = pass.piece(faults) {
        let mut reader = Reader::new(piece, &mut lists);
        while let Some(statement) = reader.next()? {
            each(&statement, faults);
            reader.lists.take_back(statement);
            reader.lists.groups = false;
        }
    }
    Some(pass.into_last())
}

/// Lists that were filled before and are empty again.
#[derive(Default)]
struct Lists {
    atoms: Vec<Vec<Atom>>,
    statements: Vec<Vec<Statement>>,
    /// Whether any of those that are filled has a group in it.
    groups: bool,
}

impl Lists {
    fn take_back(&mut self, statement: Statement) {
        self.take_back_atoms(statement.atoms);
        if let Some(Block { mut statements, .. }) = statement.block {
            statements.drain(..).for_each(|inner| self.take_back(inner));
            self.statements.push(statements);
        }
    }

    fn take_back_atoms(&mut self, mut atoms: Vec<Atom>) {
        if self.groups {
            for atom in atoms.drain(..) {
                if let AtomKind::Group(inner) = atom.kind {
                    self.take_back_atoms(inner);
                }
            }
        }
        atoms.clear();
        self.atoms.push(atoms);
    }
}

struct Reader<'a> {
    marks: &'a [Placed],
    at: usize,
    lists: &'a mut Lists,
}

impl<'a> Reader<'a> {
    fn new(piece: &'a Layout, lists: &'a mut Lists) -> Self {
        Self { marks: &piece.list, at: 0, lists }
    }

    /// The next statement of the piece, if there is one.
    #[expect(clippy::option_option, reason = "giving up is not the end of the text")]
    fn next(&mut self) -> Option<Option<Statement>> {
        self.line_ends();
        if self.at < self.marks.len() { self.statement(true).map(Some) } else { Some(None) }
    }

    fn peek(&self) -> Option<Mark> {
        self.ahead(0)
    }

    fn ahead(&self, by: usize) -> Option<Mark> {
        self.marks.get(self.at + by).map(|placed| placed.mark)
    }

    /// Takes a mark of this kind, which has to stand here.
    fn take(&mut self, mark: Mark) -> Option<Span> {
        let placed = self.marks.get(self.at).filter(|placed| placed.mark == mark)?;
        self.at += 1;
        Some(placed.span)
    }

    fn line_ends(&mut self) {
        while self.peek() == Some(Mark::LineEnd) {
            self.at += 1;
        }
    }

    /// From the beginning of a span to the end of the mark that was taken last.
    fn span_from(&self, first: Span) -> Span {
        let last = self.marks.get(self.at.wrapping_sub(1)).map_or(first, |placed| placed.span);
        Span { start: first.start, end: last.end }
    }

    /// A line and its block. An item's word begins one only at the top of a file.
    fn statement(&mut self, top: bool) -> Option<Statement> {
        let mut atoms = self.lists.atoms.pop().unwrap_or_default();
        if top && let Some(span) = self.take(Mark::Item) {
            atoms.push(Atom { kind: AtomKind::Word, span });
        }
        self.values(&mut atoms)?;
        let (first, last) = (atoms.first()?.span, atoms.last()?.span);
        let block = if self.peek() == Some(Mark::Open) { Some(self.block()?) } else { None };
        let span = first.to(block.as_ref().map_or(last, |block| block.span));
        Some(Statement { atoms, block, span })
    }

    /// The depth is bounded by the layout.
    fn block(&mut self) -> Option<Block> {
        let open = self.take(Mark::Open)?;
        self.line_ends();
        let mut statements = self.lists.statements.pop().unwrap_or_default();
        while self.peek() != Some(Mark::Close) {
            statements.push(self.statement(false)?);
            self.line_ends();
        }
        self.take(Mark::Close)?;
        Some(Block { statements, span: self.span_from(open) })
    }

    /// Values up to the first mark that begins none.
    fn values(&mut self, atoms: &mut Vec<Atom>) -> Option<()> {
        while let Some(Placed { mark, span }) = self.marks.get(self.at).copied() {
            let kind = match mark {
                Mark::Word | Mark::Unit | Mark::TimeUnit | Mark::PlusMinus => AtomKind::Word,
                Mark::Number => {
                    let kind = self.number();
                    atoms.push(Atom { kind, span: self.span_from(span) });
                    continue;
                }
                Mark::Date => AtomKind::Date,
                Mark::MonthDay => AtomKind::MonthDay,
                Mark::Clock => AtomKind::Clock,
                Mark::Text => AtomKind::Text,
                Mark::Comma => AtomKind::Comma,
                Mark::GroupOpen => {
                    self.at += 1;
                    let mut inner = self.lists.atoms.pop().unwrap_or_default();
                    self.values(&mut inner)?;
                    self.take(Mark::GroupClose)?;
                    self.lists.groups = true;
                    atoms.push(Atom { kind: AtomKind::Group(inner), span: self.span_from(span) });
                    continue;
                }
                Mark::Item | Mark::Open | Mark::Close | Mark::GroupClose | Mark::LineEnd => break,
            };
            self.at += 1;
            atoms.push(Atom { kind, span });
        }
        Some(())
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
            _ => {
                self.at += 1;
                return AtomKind::Number;
            }
        }
        if self.peek() != Some(Mark::PlusMinus) {
            return AtomKind::Quantity { tolerance: None };
        }
        match self.marks.get(self.at + 1..self.at + 3) {
            Some([Placed { mark: Mark::Number, span }, Placed { mark: Mark::Unit, .. }]) => {
                self.at += 3;
                AtomKind::Quantity { tolerance: Some(self.span_from(*span)) }
            }
            _ => AtomKind::Quantity { tolerance: None },
        }
    }
}
