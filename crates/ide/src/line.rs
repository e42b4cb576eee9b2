//! Where a cursor stands: in which block, on which statement, before which word.

use crate::form::{Form, Leaf, LeafKind, block_of, forms};
use crate::piece::{Piece, PieceKind, pieces};
use crate::view::{boundary, in_comment};
use curtilage_model::Source;
use curtilage_syntax::Statement;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A statement with its form.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line<'a> {
    /// The block in which it stands: "a zone", or "a file" for items.
    pub(crate) block: &'static str,
    /// The item of which it is the first line, or in whose block it stands.
    pub(crate) item: &'a Statement,
    pub(crate) statement: &'a Statement,
}

impl<'a> Line<'a> {
    /// The form; none when the language has no such statement.
    pub(crate) fn form(&self, source: &Source) -> Option<&'static Form> {
        forms().of(self.block, first_word(source, self.statement))
    }

    /// The pieces that the form walks over: all but its own word.
    pub(crate) fn pieces(&self, source: &Source, form: &Form) -> Vec<Piece> {
        let skip = usize::from(!form.word.is_empty());
        pieces(&source.text, self.statement.atoms.get(skip..).unwrap_or_default())
    }

    /// The name of the item, if it has one.
    pub(crate) fn item_name(&self, source: &'a Source) -> &'a str {
        name_of(source, self.item)
    }
}

/// The first word of a statement; empty when it begins with a value.
pub(crate) fn first_word<'a>(source: &'a Source, statement: &Statement) -> &'a str {
    let first = statement.atoms.first();
    let first = first.filter(|atom| atom.kind == curtilage_syntax::AtomKind::Word);
    first.map_or("", |atom| source.text(atom.span))
}

/// The word after the first one: the name of most items.
pub(crate) fn name_of<'a>(source: &'a Source, item: &Statement) -> &'a str {
    let second = item.atoms.get(1);
    let second = second.filter(|atom| atom.kind == curtilage_syntax::AtomKind::Word);
    second.map_or("", |atom| source.text(atom.span))
}

/// The block that an item opens.
pub(crate) fn block_in(source: &Source, item: &Statement) -> Option<&'static str> {
    let words = item.atoms.iter().map(|atom| source.text(atom.span));
    let kind = words.skip_while(|word| *word != "is").nth(1);
    block_of(first_word(source, item), kind)
}

/// Every line of a file, items before their blocks.
pub(crate) fn lines(source: &Source) -> impl Iterator<Item = Line<'_>> {
    source.statements().iter().flat_map(move |item| {
        let block = block_in(source, item);
        let inner = item.block.iter().flat_map(|block| &block.statements);
        let first = Line { block: "a file", item, statement: item };
        let inner =
            inner.filter_map(move |statement| Some(Line { block: block?, item, statement }));
        std::iter::once(first).chain(inner)
    })
}

/// A cursor in a file.
pub(crate) struct Cursor<'a> {
    /// The block: "a zone", or "a file" outside of all.
    pub(crate) block: &'static str,
    /// The item in whose block it stands.
    pub(crate) item: Option<&'a Statement>,
    /// The statement on which it stands; none on an empty line.
    pub(crate) line: Option<Line<'a>>,
    /// The word or number that is being typed, up to the cursor; empty after a blank.
    pub(crate) typed: Span,
    /// The same to its end: what a choice replaces.
    pub(crate) word: Span,
}

/// What stands before a cursor, and what may stand at it.
pub(crate) struct Expected {
    pub(crate) form: &'static Form,
    pub(crate) pieces: Vec<Piece>,
    /// What may stand at the cursor.
    pub(crate) next: Vec<&'static Leaf>,
    /// The leaf of the last piece.
    pub(crate) last: Option<&'static Leaf>,
    /// The dimensions that the last piece may have, when that is a number whose unit is missing.
    pub(crate) units: Vec<Dimension>,
}

impl<'a> Cursor<'a> {
    /// Finds where an offset stands; none inside a comment.
    pub(crate) fn at(source: &'a Source, offset: u32) -> Option<Self> {
        let offset = boundary(&source.text, offset);
        if in_comment(source, offset) {
            return None;
        }
        let typed = typed(&source.text, offset);
        let mut word = typed;
        if !typed.is_empty() {
            let after = source.text.get(offset as usize..).unwrap_or_default();
            let length = after.find(|c| !is_part(c)).unwrap_or(after.len());
            word.end += u32::try_from(length).unwrap_or(0);
        }
        let mut cursor = Self { block: "a file", item: None, line: None, typed, word };
        // The last item that starts at or before the cursor is the one it can be in.
        let Some(item) = source.statement_before(offset) else { return Some(cursor) };
        let open = item.block.as_ref().filter(|block| {
            let closed = block.span.of(&source.text).ends_with('}');
            offset > block.span.start && (offset < block.span.end || !closed)
        });
        let Some(block) = open else {
            if is_on(source, item, offset) {
                cursor.line = Some(Line { block: "a file", item, statement: item });
            }
            return Some(cursor);
        };
        cursor.block = block_in(source, item).unwrap_or("");
        cursor.item = Some(item);
        let after = block.statements.partition_point(|line| line.span.start <= offset);
        let found = after.checked_sub(1).and_then(|index| block.statements.get(index));
        if let Some(statement) = found.filter(|statement| is_on(source, statement, offset)) {
            cursor.line = Some(Line { block: cursor.block, item, statement });
        }
        Some(cursor)
    }

    /// Whether the cursor stands on the first word of its line, or on an empty one.
    pub(crate) fn begins_line(&self) -> bool {
        self.line.is_none_or(|line| line.statement.span.start >= self.typed.start)
    }

    /// Whether something of its statement stands behind the word at the cursor.
    pub(crate) fn goes_on(&self) -> bool {
        self.line.is_some_and(|line| {
            let last = line.statement.atoms.last();
            line.statement.block.is_some() || last.is_some_and(|atom| atom.span.end > self.word.end)
        })
    }

    /// Whether what is typed stands right behind a digit, as in `18m`.
    pub(crate) fn typed_after_digit(&self, source: &Source) -> bool {
        let before = source.text.get(..self.typed.start as usize).unwrap_or_default();
        before.ends_with(|c: char| c.is_ascii_digit())
    }

    /// What may stand at the cursor; none at the beginning of a line.
    pub(crate) fn expected(&self, source: &'a Source) -> Option<Expected> {
        let line = self.line?;
        let form = line.form(source)?;
        let mut pieces = line.pieces(source, form);
        let start = self.typed.start;
        if let Some(cut) = pieces.iter().position(|piece| piece.span.end > start) {
            // A quantity whose unit is being typed is a number.
            let number = pieces.get(cut).filter(|piece| {
                piece.span.start < start && matches!(piece.kind, PieceKind::Quantity(_))
            });
            let number = number.copied();
            pieces.truncate(cut);
            if let Some(Piece { kind, span }) = number {
                let written = Span::new(span.start, start);
                // The number is that of the tolerance, when that has begun.
                let sign = written.of(&source.text).find(['+', '±']).filter(|sign| *sign > 0);
                let sign = sign.and_then(|sign| u32::try_from(sign).ok()).unwrap_or(0);
                let before = Span::new(written.start, written.start + sign);
                let number = Span::new(before.end, start);
                pieces.extend((sign > 0).then_some(Piece { kind, span: before }));
                pieces.push(Piece { kind: PieceKind::Number, span: number });
            }
        }
        let mut matched = form.machine.walk(&source.text, &pieces);
        if form.word == "ends" && pieces.last().is_some_and(|last| last.kind != PieceKind::Comma) {
            // A line of pieces has no groups: only in one does a part follow another at once.
            let before = Span::new(line.statement.span.start, start).of(&source.text);
            if before.matches('(').count() == before.matches(')').count() {
                let part = pieces
                    .last()
                    .is_some_and(|last| matches!(source.text(last.span), "in" | "across"));
                matched.next.retain(|leaf| part || leaf.kind == LeafKind::Comma);
            }
        }
        let last = matched.taken.last().copied().flatten();
        let units = units(source, &pieces, &matched.last);
        Some(Expected { form, last, units, next: matched.next, pieces })
    }
}

impl Expected {
    /// Whether a comma stands before the cursor.
    pub(crate) fn last_is_comma(&self) -> bool {
        self.pieces.last().is_some_and(|last| last.kind == PieceKind::Comma)
    }

    /// The beginning of a line that starts with a value.
    pub(crate) fn start(form: &'static Form) -> Self {
        let next = form.machine.walk("", &[]).next;
        Self { form, pieces: Vec::new(), next, last: None, units: Vec::new() }
    }
}

/// The dimensions of a last number, by the leaves that take it.
fn units(source: &Source, pieces: &[Piece], leaves: &[&Leaf]) -> Vec<Dimension> {
    let Some(number) = pieces.last().filter(|piece| piece.kind == PieceKind::Number) else {
        return Vec::new();
    };
    let before = source.text.get(..number.span.start as usize).unwrap_or_default().trim_end();
    if before.ends_with("+-") || source.text(number.span).starts_with(['±', '+']) {
        return vec![Dimension::Ratio];
    }
    // `1 h 30`: a second part of one quantity.
    if let [.., first, _] = pieces
        && first.kind == PieceKind::Quantity(Some(Dimension::Time))
    {
        return vec![Dimension::Time];
    }
    let quantities = leaves.iter().filter_map(|leaf| match leaf.kind {
        LeafKind::Slot(crate::form::Slot::Quantity(dimension)) => Some(dimension),
        _ => None,
    });
    let mut out: Vec<Dimension> = quantities.collect();
    out.dedup();
    out
}

/// Whether an offset stands on a statement: on its line, or on one that a comma continues.
fn is_on(source: &Source, statement: &Statement, offset: u32) -> bool {
    let line = statement.line();
    if offset <= line.end {
        return true;
    }
    let between = Span::new(line.end, offset).of(&source.text);
    let continued = Span::new(line.start, line.end).of(&source.text).ends_with(',');
    let breaks = |c: char| matches!(c, '\n' | '\r' | '{' | '}');
    if continued { !between.contains(['{', '}']) } else { !between.contains(breaks) }
}

/// Whether a character belongs to a word, a unit or a value.
fn is_part(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | '²' | '°' | '%' | '^' | ':')
}

/// The word that ends at an offset.
fn typed(text: &str, offset: u32) -> Span {
    let before = text.get(..offset as usize).unwrap_or_default();
    let kept = before.trim_end_matches(is_part);
    let mut start = kept.len();
    // `18m`: the unit alone is typed, the number stands.
    let word = before.get(start..).unwrap_or_default();
    if word.starts_with(|c: char| c.is_ascii_digit())
        && let Some(unit) = word.find(|c: char| c.is_alphabetic() || matches!(c, '%' | '°'))
        && word.get(..unit).is_some_and(|n| n.chars().all(|c| c.is_ascii_digit() || c == '.'))
    {
        start += unit;
    }
    Span::new(u32::try_from(start).unwrap_or(0), offset)
}
