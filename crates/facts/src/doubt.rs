//! What is in doubt because a statement could not be read: a rule that argues from something being
//! absent must not speak of names and things that a faulty statement mentions.

use curtilage_model::{FaultKind, Model};
use curtilage_syntax::tree::Item;
use curtilage_syntax::{AtomKind, Parsed, Statement};
use curtilage_text::{Place, Span};
use std::collections::HashSet;

/// Names and things in doubt.
#[derive(Debug, Default)]
pub struct Doubt<'a> {
    words: HashSet<&'a str>,
    /// Items of the root file that have a fault inside.
    items: Vec<Span>,
    /// Whether a file of the scope could not be read.
    missing_file: bool,
    /// Whether anything at all is not known.
    anything: bool,
}

impl<'a> Doubt<'a> {
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut doubt = Self::default();
        for (index, source) in model.sources().iter().enumerate() {
            doubt.file(&source.text, &source.parsed, index == 0);
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

    fn file(&mut self, text: &'a str, parsed: &Parsed, is_root: bool) {
        for fault in &parsed.faults {
            let fault = fault.span;
            for item in parsed.statements_at(text, fault) {
                if is_root && self.items.last() != Some(&item.span) {
                    self.items.push(item.span);
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

    /// Whether a place of the root file lies in an item that has a fault inside.
    #[must_use]
    pub fn holds(&self, at: Place) -> bool {
        self.items.iter().any(|item| item.start <= at.span.start && at.span.end <= item.end)
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
