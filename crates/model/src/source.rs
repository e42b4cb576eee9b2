//! The texts from which a model is built.

use curtilage_syntax::tree::{Date, DateSpan};
use curtilage_syntax::{Parsed, Statement, Tokens, Top};
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
        Self { file, path, text, parsed, lines }
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

    /// The inside of a text in quotes.
    #[must_use]
    pub fn quoted(&self, span: Span) -> &str {
        let text = span.of(&self.text);
        text.strip_prefix('"').map_or(text, |text| text.strip_suffix('"').unwrap_or(text))
    }
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
