//! What may stand at the cursor: words of the form, names, free terminals, units, and whole things
//! that teach by example.

mod fill;
mod fits;
mod names;
mod open;
mod paths;
mod teach;
mod terminals;

pub(crate) use open::Said;
pub use paths::complete_paths;

use crate::form::{Form, LeafKind, Quoted, Slot, forms};
use crate::line::{Cursor, Expected, first_word};
use crate::names::Names;
use crate::piece::PieceKind;
use crate::view::token_at;
use crate::{Snippet, View};
use curtilage_model::{Kind, Source};
use curtilage_syntax::Kind as TokenKind;
use curtilage_text::Span;
use curtilage_units::{Dimension, Unit};
use std::cell::OnceCell;

/// What a completion is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CompletionKind {
    /// A statement with its slots.
    Statement,
    /// A whole thing with all that it needs.
    Snippet,
    /// A word of the statement.
    Word,
    /// A zone, an output, a supply and the like.
    Name,
    /// A part.
    Part,
    /// A schedule.
    Schedule,
    /// A terminal or a tap.
    Terminal,
    /// A unit.
    Unit,
    /// A day, a time, a date, a quantity.
    Value,
    /// A rule.
    Rule,
    /// A file.
    File,
}

/// Something that may stand at the cursor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// What the list shows.
    pub label: String,
    /// What it is.
    pub kind: CompletionKind,
    /// Figures, in one line.
    pub detail: String,
    /// More, in Markdown; may be empty.
    pub documentation: String,
    /// The text to replace.
    pub replace: Span,
    /// The new text.
    pub insert: Snippet,
}

/// The list that is being made.
pub(crate) struct List<'a> {
    pub(crate) view: View<'a>,
    pub(crate) source: &'a Source,
    pub(crate) cursor: Cursor<'a>,
    names: OnceCell<Names<'a>>,
    pub(crate) items: Vec<Completion>,
}

/// Fills in single statements, for those who add one that is missing.
pub(crate) struct Filler<'a>(List<'a>);

impl<'a> Filler<'a> {
    pub(crate) fn new(view: View<'a>, source: &'a Source) -> Self {
        let (typed, word) = (Span::default(), Span::default());
        let cursor = Cursor { block: "a file", item: None, line: None, typed, word };
        Self(List { view, source, cursor, names: OnceCell::new(), items: Vec::new() })
    }

    /// A statement of a block, as far as the site knows it; none that the block does not have, or for
    /// which there is nothing.
    pub(crate) fn statement(&self, block: &str, word: &str) -> Option<Said> {
        let form = forms().of(block, word).filter(|form| form.word == word)?;
        self.0.said_so_far(form)
    }

    /// The schedules in scope, the likeliest first.
    pub(crate) fn schedules(&self) -> Vec<String> {
        self.0.schedules()
    }

    /// Whether there is something of a kind.
    pub(crate) fn has(&self, kind: Kind) -> bool {
        self.0.known(kind).is_some()
    }
}

/// The words of which a statement is one or another and nothing else, the likelier first.
pub(crate) fn either(block: &str, word: &str) -> Vec<String> {
    let form = forms().of(block, word).filter(|form| form.word == word);
    form.and_then(|form| form.node.choice()).map_or(Vec::new(), fill::likelier_first)
}

/// What may stand at an offset, the likeliest first. Nothing is left out for what is typed so far:
/// editors do that as they see fit.
#[must_use]
pub fn complete(view: View<'_>, offset: u32) -> Vec<Completion> {
    let Some(source) = view.source() else { return Vec::new() };
    let Some(cursor) = Cursor::at(source, offset) else { return Vec::new() };
    let mut list = List { view, source, cursor, names: OnceCell::new(), items: Vec::new() };
    if in_text(source, offset) {
        list.within_text();
    } else if list.cursor.begins_line() {
        list.line_start();
    } else if let Some(expected) = list.cursor.expected(source) {
        list.within(&expected);
    }
    list.items
}

/// Whether an offset lies inside a text in quotes.
fn in_text(source: &Source, offset: u32) -> bool {
    let Some(before) = offset.checked_sub(1) else { return false };
    match token_at(source, before) {
        Some((TokenKind::Text, span)) => offset < span.end,
        Some((TokenKind::OpenText, _)) => true,
        _ => false,
    }
}

impl<'a> List<'a> {
    /// The names in scope: many a place takes none.
    pub(crate) fn names(&self) -> &Names<'a> {
        self.names.get_or_init(|| Names::of(self.view.model()))
    }

    pub(crate) fn push(
        &mut self,
        kind: CompletionKind,
        label: impl Into<String>,
        detail: impl Into<String>,
        documentation: impl Into<String>,
    ) {
        let label = label.into();
        let insert = Snippet::of(&label);
        self.items.push(Completion {
            label,
            kind,
            detail: detail.into(),
            documentation: documentation.into(),
            replace: self.cursor.word,
            insert,
        });
    }

    pub(crate) fn push_snippet(
        &mut self,
        kind: CompletionKind,
        label: impl Into<String>,
        detail: impl Into<String>,
        documentation: impl Into<String>,
        insert: Snippet,
    ) {
        self.items.push(Completion {
            label: label.into(),
            kind,
            detail: detail.into(),
            documentation: documentation.into(),
            replace: self.cursor.word,
            insert,
        });
    }

    /// Statements of the block; at the file's level whole things too.
    fn line_start(&mut self) {
        let block = self.cursor.block;
        if block == "a file" && !self.cursor.goes_on() {
            self.teach();
        }
        let said = self.said();
        for form in forms().of_block(block) {
            if form.word.is_empty() {
                let expected = Expected::start(form);
                self.within(&expected);
                continue;
            }
            if !form.many && said.contains(&form.word) {
                continue;
            }
            self.statement(form);
        }
    }

    /// The first words of the lines around the cursor.
    fn said(&self) -> Vec<&'a str> {
        let on = self.cursor.line.map(|line| line.statement.span);
        let source = self.source;
        let lines: &'a [curtilage_syntax::Statement] = match self.cursor.item {
            Some(item) => item.block.as_ref().map_or(&[], |block| &block.statements),
            None => source.statements(),
        };
        let others = lines.iter().filter(|line| Some(line.span) != on);
        others.map(|line| first_word(source, line)).collect()
    }

    fn statement(&mut self, form: &'static Form) {
        // What it takes is there.
        let insert = match (form.block, form.word) {
            _ if self.cursor.goes_on() => Snippet::of(form.word),
            // Nobody has measured in days to come.
            ("a file", "measured") => self.measured_today(),
            _ => self.filled(form),
        };
        let shown = format!("{} {}", form.word, form.shown);
        let documentation = format!("`{}`\n\n{}", shown.trim(), form.about);
        self.push_snippet(CompletionKind::Statement, form.word, form.about, documentation, insert);
    }

    /// What may stand next in a line.
    fn within(&mut self, expected: &Expected) {
        for dimension in &expected.units {
            self.units(*dimension, self.below(expected));
        }
        for leaf in &expected.next {
            // A number without its unit may begin a range, `5 to 35 degC`, and nothing else.
            if !expected.units.is_empty() && leaf.kind != LeafKind::Word("to") {
                continue;
            }
            match leaf.kind {
                LeafKind::Word(word) if self.word_fits(word, expected) => {
                    self.push(CompletionKind::Word, word, expected.form.about, "");
                }
                LeafKind::Word(_) => {}
                LeafKind::Comma => {}
                LeafKind::Slot(slot) => self.slot(slot, expected),
            }
        }
    }

    fn slot(&mut self, slot: Slot, expected: &Expected) {
        match slot {
            Slot::Declares(_) => {}
            Slot::Refers(kind) => self.named(kind, expected),
            Slot::Terminal(kind) => self.terminals(kind, false, expected),
            Slot::Quantity(dimension) if !self.value_fits(dimension, expected) => {}
            Slot::Quantity(dimension) => {
                let example = dimension.example();
                self.push(CompletionKind::Value, example, dimension.words(), "");
            }
            Slot::Number => self.of_cable(expected),
            Slot::Date => {
                let today = self.today();
                self.push(CompletionKind::Value, today, "today", "");
            }
            Slot::MonthDay => {
                self.push(CompletionKind::Value, "12-25", "a day of every year", "");
            }
            Slot::Clock => {
                for clock in ["00:00", "07:30", "12:00", "18:00", "24:00"] {
                    self.push(CompletionKind::Value, clock, "a time of day", "");
                }
            }
            Slot::Day => {
                for (day, name) in crate::form::DAYS.into_iter().zip(DAY_NAMES) {
                    self.push(CompletionKind::Value, day, name, "");
                }
            }
            // The caller knows the files: see `complete_paths`.
            Slot::Text(Quoted::File | Quoted::Holidays) => {}
            Slot::Text(quoted) => {
                let (label, inside) = match quoted {
                    Quoted::File | Quoted::Holidays => return,
                    Quoted::Title => ("\"title\"", "title"),
                    Quoted::Reason => ("\"reason\"", "reason"),
                    Quoted::Source => ("\"source\"", "where the limit comes from"),
                };
                let mut insert = Snippet::of("\"");
                insert.stop(inside);
                insert.raw("\"");
                self.push_snippet(CompletionKind::Value, label, "a text in quotes", "", insert);
            }
            Slot::TimeZone => {
                let replace = self.cursor.word;
                // A sign in a name is no part of a word.
                let is_word = |zone: &str| !zone.contains('+');
                self.time_zones(replace, |zone| match is_word(zone) {
                    true => zone.to_owned(),
                    false => format!("\"{zone}\""),
                });
            }
        }
    }

    fn time_zones(&mut self, replace: Span, written: impl Fn(&str) -> String) {
        for zone in curtilage_facts::Hours::zones() {
            self.items.push(Completion {
                insert: Snippet::of(&written(&zone)),
                label: zone,
                kind: CompletionKind::Value,
                detail: "an IANA time zone".to_owned(),
                documentation: String::new(),
                replace,
            });
        }
    }

    /// Inside quotes: time zones, where one stands in them.
    fn within_text(&mut self) {
        let Some(line) = self.cursor.line else { return };
        let Some(form) = line.form(self.source) else { return };
        let pieces = line.pieces(self.source, form);
        let matched = form.machine.walk(&self.source.text, &pieces);
        let at = self.cursor.typed.end;
        let text = pieces.iter().zip(&matched.taken).find(|(piece, leaf)| {
            piece.span.touches(at)
                && leaf.is_some_and(|leaf| leaf.kind == LeafKind::Slot(Slot::TimeZone))
        });
        let Some(span) = text.map(|(piece, _)| piece.span) else { return };
        let written = self.source.text(span);
        let end = if crate::links::is_closed(written) { "" } else { "\"" };
        let inner = crate::links::inner(written, span);
        self.time_zones(inner, |zone| format!("{zone}{end}"));
    }

    /// What may be said of a cable behind a comma.
    fn of_cable(&mut self, expected: &Expected) {
        let said = |word| expected.pieces.iter().any(|piece| self.source.text(piece.span) == word);
        if !expected.last_is_comma() || !said("over") {
            return;
        }
        let said = [said("cores"), said("joints") || said("joint")];
        let what = [
            ("2", " cores each way", "cores that carry the current side by side"),
            ("2", " joints", "joints on its way"),
        ];
        for ((number, rest, detail), _) in what.into_iter().zip(said).filter(|(_, said)| !said) {
            let mut insert = Snippet::default();
            insert.stop(number);
            insert.raw(rest);
            let label = format!("{number}{rest}");
            self.push_snippet(CompletionKind::Value, label, detail, "", insert);
        }
    }

    /// The unit of the part of a time before, `1 h 30`, in ms: the next part has a smaller one.
    fn below(&self, expected: &Expected) -> f64 {
        let [.., first, _] = expected.pieces.as_slice() else { return f64::INFINITY };
        let before = match first.kind {
            PieceKind::Quantity(Some(Dimension::Time)) => self.source.text(first.span),
            _ => "",
        };
        let unit = before.rsplit(|c: char| !c.is_alphabetic()).next();
        let unit = unit.and_then(curtilage_units::lookup).map(size);
        unit.unwrap_or(f64::INFINITY)
    }

    /// The units of a dimension below a size, the shown spelling of each.
    fn units(&mut self, dimension: Dimension, below: f64) {
        let mut seen: Vec<&str> = Vec::new();
        for spelling in curtilage_units::spellings() {
            let unit = curtilage_units::lookup(spelling);
            let Some(unit) = unit.filter(|unit| unit.dimension == dimension) else { continue };
            if size(unit) >= below {
                continue;
            }
            if seen.contains(&unit.text) {
                continue;
            }
            seen.push(unit.text);
            let insert = if self.cursor.typed_after_digit(self.source) {
                format!(" {}", unit.text)
            } else {
                unit.text.to_owned()
            };
            self.push(CompletionKind::Unit, unit.text, dimension.words(), "");
            if let Some(last) = self.items.last_mut() {
                last.insert = Snippet::of(&insert);
            }
        }
    }
}

/// One of a unit, in the base unit of its dimension.
fn size(unit: &Unit) -> f64 {
    curtilage_units::quantity("1", unit).map_or(f64::NAN, |one| one.value)
}

const DAY_NAMES: [&str; 7] =
    ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
