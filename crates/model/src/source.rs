//! The texts from which a model is built.

use curtilage_syntax::tree::{Date, DateSpan};
use curtilage_syntax::{Atom, AtomKind, Parsed, Statement, Tokens, Top};
use curtilage_text::{FileId, LineIndex, Place, Span};
use std::sync::{Arc, OnceLock};

use crate::Fault;

/// One file: its text, parsed.
#[derive(Debug)]
pub struct Source {
    /// Its number in the snapshot.
    pub file: FileId,
    /// Its path from the workspace root, with `/`.
    pub path: String,
    /// Its text, which an open document shares.
    pub text: Arc<String>,
    /// The parsed text.
    pub parsed: Parsed,
    lines: OnceLock<Arc<LineIndex>>,
    /// What the texts in quotes say that have a backslash in them, by where they begin.
    escaped: OnceLock<Vec<(u32, String)>>,
}

impl Source {
    /// A text that was parsed, with its line starts when they were counted already.
    #[must_use]
    pub fn new(
        file: FileId,
        path: String,
        text: impl Into<Arc<String>>,
        parsed: Parsed,
        lines: Option<Arc<LineIndex>>,
    ) -> Self {
        let text = text.into();
        let lines = lines.map_or_else(OnceLock::new, OnceLock::from);
        Self { file, path, text, parsed, lines, escaped: OnceLock::new() }
    }

    /// Its line starts, counted when they are first asked for: a site without a finding needs none.
    #[must_use]
    pub fn lines(&self) -> &LineIndex {
        self.lines.get_or_init(|| Arc::new(LineIndex::new(&self.text)))
    }

    /// Every token, trivia included.
    #[must_use]
    pub fn tokens(&self) -> &Tokens {
        self.parsed.tokens(&self.text)
    }

    /// The untyped statements.
    #[must_use]
    pub fn statements(&self) -> &[Statement] {
        self.parsed.statements(&self.text)
    }

    /// The statements of the file's top, each as its item where that can be.
    #[must_use]
    pub fn tops(&self) -> Vec<Top<'_>> {
        self.parsed.tops(&self.text)
    }

    /// The words at a span.
    #[must_use]
    pub fn text(&self, span: Span) -> &str {
        span.of(&self.text)
    }

    /// The last statement of the file's top that begins at an offset or before it.
    #[must_use]
    pub fn statement_before(&self, offset: u32) -> Option<&Statement> {
        self.parsed.statement_before(&self.text, offset)
    }

    /// What a text in quotes says: `\"` is a quotation mark, and `\\` a backslash.
    #[must_use]
    pub fn quoted(&self, span: Span) -> &str {
        let text = span.of(&self.text);
        let Some(inside) = text.strip_prefix('"') else { return text };
        let inside = inside.strip_suffix('"').unwrap_or(inside);
        if !inside.contains('\\') {
            return inside;
        }
        let escaped = self.escaped.get_or_init(|| {
            let mut out = Vec::new();
            for statement in self.statements() {
                escaped(&self.text, statement, &mut out);
            }
            out
        });
        let found = escaped.binary_search_by_key(&span.start, |(start, _)| *start).ok();
        found.and_then(|at| escaped.get(at)).map_or(inside, |(_, text)| text)
    }
}

/// The texts of a statement and of its block that have a backslash in them, in the order of the file.
fn escaped(text: &str, statement: &Statement, out: &mut Vec<(u32, String)>) {
    let mut todo: Vec<&Atom> = statement.atoms.iter().rev().collect();
    while let Some(atom) = todo.pop() {
        match &atom.kind {
            AtomKind::Group(inner) => todo.extend(inner.iter().rev()),
            AtomKind::Text => {
                let inside = atom.span.of(text).strip_prefix('"').unwrap_or_default();
                let inside = inside.strip_suffix('"').unwrap_or(inside);
                if inside.contains('\\') {
                    out.push((atom.span.start, unescaped(inside)));
                }
            }
            _ => {}
        }
    }
    for line in statement.block.iter().flat_map(|block| &block.statements) {
        escaped(text, line, out);
    }
}

/// A backslash before any other character is one.
fn unescaped(inside: &str) -> String {
    let mut out = String::with_capacity(inside.len());
    let mut letters = inside.chars().peekable();
    while let Some(letter) = letters.next() {
        let next = letters.next_if(|next| letter == '\\' && matches!(next, '"' | '\\'));
        out.push(next.unwrap_or(letter));
    }
    out
}

/// The holidays that a file of them gives.
#[derive(Clone, Debug)]
pub struct HolidayFile {
    /// The words that name the file.
    pub at: Place,
    /// Its dates.
    pub dates: Vec<HolidayDates>,
}

/// The dates that one event of such a file gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HolidayDates {
    /// The dates.
    pub dates: DateSpan,
    /// The first of those that come back every year; there are none before it.
    pub since: Option<Date>,
    /// What the event is called.
    pub title: String,
}

/// Everything that a root file sees.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    /// The root file, then each used file once, in the order of its first `use`.
    pub files: Vec<Arc<Source>>,
    /// For each used file, the words of the root's `use` that leads to it.
    pub through: Vec<(FileId, Place)>,
    /// The holiday files that the root's site names.
    pub holidays: Vec<HolidayFile>,
    /// What was wrong with the `use` lines and the holiday files.
    pub faults: Vec<Fault>,
}

impl Scope {
    /// The words of the root's `use` that leads to a used file.
    pub(crate) fn through(&self, file: FileId) -> Option<Place> {
        self.through.iter().find(|(used, _)| *used == file).map(|(_, at)| *at)
    }
}

#[cfg(test)]
mod tests {
    use super::Source;
    use curtilage_syntax::parse;
    use curtilage_text::{FileId, Span};

    #[test]
    fn a_text_says_what_its_escapes_stand_for() {
        let text = "site a \"The \\\"odd\\\" one\" {\n    area b \"C:\\\\yard\"\n    area c \"plain\"\n}\nzone d \"\\e\" is e\n";
        let source = Source::new(FileId(0), String::new(), text.to_owned(), parse(text, &[]), None);
        let said = |written: &str| {
            let start = text.find(written).unwrap();
            let end = start + written.len();
            let at = |at: usize| u32::try_from(at).unwrap();
            source.quoted(Span { start: at(start), end: at(end) }).to_owned()
        };
        assert_eq!(said(r#""The \"odd\" one""#), r#"The "odd" one"#);
        assert_eq!(said(r#""C:\\yard""#), r"C:\yard");
        assert_eq!(said(r#""plain""#), "plain");
        assert_eq!(said(r#""\e""#), r"\e");
    }
}
