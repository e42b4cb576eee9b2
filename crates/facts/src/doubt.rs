//! What is in doubt because a statement could not be read: a rule that argues from something being
//! absent must not speak of names and things that a faulty statement mentions.

use curtilage_model::{FaultKind, Model};
use curtilage_syntax::tree::Item;
use curtilage_syntax::{AtomKind, Parsed, Statement};
use curtilage_text::{FileId, Place};
use std::collections::HashSet;

/// Names and things in doubt.
#[derive(Debug, Default)]
pub struct Doubt<'a> {
    words: HashSet<&'a str>,
    /// Items that have a fault inside.
    items: Vec<Place>,
    /// Whether a file of the scope could not be read.
    missing_file: bool,
    /// Whether anything at all is not known.
    anything: bool,
}

impl<'a> Doubt<'a> {
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut doubt = Self::default();
        for source in model.sources() {
            doubt.file(source.file, &source.text, &source.parsed);
        }
        let items = model.root().map_or(&[][..], |root| &root.parsed.file.items);
        let is_use = |at: Place| {
            items.iter().any(|item| matches!(item, Item::Import(used) if used.path == at.span))
        };
        doubt.missing_file = model
            .faults
            .iter()
            .any(|fault| matches!(fault.kind, FaultKind::Import(_)) && is_use(fault.at));
        let unread = model.sources().iter().any(|source| !source.parsed.faults.is_empty());
        let is_of_names = |kind: &FaultKind| {
            matches!(kind, FaultKind::Confusable { .. } | FaultKind::Unused { .. })
        };
        doubt.anything = unread || model.faults.iter().any(|fault| !is_of_names(&fault.kind));
        doubt
    }

    fn file(&mut self, file: FileId, text: &'a str, parsed: &Parsed) {
        for fault in &parsed.faults {
            let fault = fault.span;
            for item in parsed.statements_at(text, fault) {
                let at = Place::new(file, item.span);
                if self.items.last() != Some(&at) {
                    self.items.push(at);
                }
                let lines = item.block.iter().flat_map(|block| &block.statements);
                for statement in std::iter::once(&*item).chain(lines) {
                    let line = statement.line();
                    if fault.start <= line.end && fault.end >= line.start {
                        self.mention(text, statement);
                    }
                }
            }
        }
    }

    fn mention(&mut self, text: &'a str, statement: &Statement) {
        for atom in &statement.atoms {
            if atom.kind == AtomKind::Word {
                let word = atom.span.of(text);
                self.words.insert(word);
                self.words.extend(word.split('.'));
            }
        }
    }

    /// Whether a faulty statement mentions a name.
    #[must_use]
    pub fn mentions(&self, name: &str) -> bool {
        self.words.contains(name)
    }

    /// Whether a place lies in an item that has a fault inside.
    #[must_use]
    pub fn holds(&self, at: Place) -> bool {
        let within = |item: &Place| {
            item.file == at.file && item.span.start <= at.span.start && at.span.end <= item.span.end
        };
        self.items.iter().any(within)
    }

    /// Whether anything at all is not known: a statement that cannot be read, a file, a name or a
    /// fact that is not there. What depends on every other finding is held back then.
    #[must_use]
    pub fn anything(&self) -> bool {
        self.anything
    }

    /// Whether a used file could not be read, so that names of parts, schedules and limits may be
    /// missing.
    #[must_use]
    pub fn missing_file(&self) -> bool {
        self.missing_file
    }
}
