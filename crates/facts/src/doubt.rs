//! What is in doubt because a statement could not be read: what seems not to be said may be what that one
//! says. So a rule that argues from something being absent must not speak of names and things that a faulty
//! statement mentions, and what hangs on the settings of a thing is not known.

use curtilage_model::{Contact, ContactAt, FaultKind, Input, Model, PartId, ReadingAt, Site, Zone};
use curtilage_syntax::tree::{Item, is_item_word};
use curtilage_syntax::{AtomKind, FaultKind as Unread, Parsed, Statement};
use curtilage_text::{FileId, Place, Span};
use std::collections::HashSet;

/// Why what hangs on a thing is not known while one of its statements cannot be read.
pub(crate) const UNREAD: &str = "a statement about it could not be read";

/// Names and things in doubt.
#[derive(Debug, Default)]
pub struct Doubt<'a> {
    words: HashSet<&'a str>,
    /// Items that have a fault inside.
    items: Vec<Place>,
    /// The statements that have one, without their blocks.
    statements: Vec<Place>,
    /// The first words of those of the root file.
    kinds: HashSet<&'a str>,
    /// Whether a file of the scope could not be read.
    missing_file: bool,
    /// Whether anything at all is not known.
    anything: bool,
}

impl<'a> Doubt<'a> {
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut doubt = Self::default();
        for (index, source) in model.sources().iter().enumerate() {
            doubt.file(source.file, &source.text, &source.parsed, index == 0);
        }
        let items = model.root().map_or(&[][..], |root| &root.parsed.file.items);
        let is_use = |at: Place| {
            items.iter().any(|item| matches!(item, Item::Import(used) if used.path == at.span))
        };
        doubt.missing_file |= doubt.kinds.contains("use");
        doubt.missing_file |= model
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

    fn file(&mut self, file: FileId, text: &'a str, parsed: &Parsed, is_root: bool) {
        for fault in &parsed.faults {
            if matches!(fault.kind, Unread::UnknownStatement { nearest: Some("use"), .. }) {
                self.missing_file = true;
            }
            let fault = whole_lines(text, fault.span);
            for item in parsed.statements_at(text, fault) {
                let at = Place::new(file, item.span);
                if self.items.last() != Some(&at) {
                    self.items.push(at);
                    let kind = item.atoms.first().map_or("", |atom| atom.span.of(text));
                    let speaks = is_item_word(kind) || item.block.is_some();
                    self.kinds.extend((is_root && speaks).then_some(kind));
                }
                let lines = item.block.iter().flat_map(|block| &block.statements);
                for statement in std::iter::once(&*item).chain(lines) {
                    let line = statement.line();
                    if fault.start <= line.end && fault.end >= line.start {
                        self.mention(text, statement);
                        self.statements.push(Place::new(file, line));
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
        lies_in(at, &self.items)
    }

    /// Whether a place lies in a statement that could not be read: it may be meant otherwise.
    #[must_use]
    pub fn unread(&self, at: Place) -> bool {
        lies_in(at, &self.statements)
    }

    /// Whether a statement of any item of this word could not be read: what no other one says may be
    /// said there. A block whose word begins no item may be meant for any.
    #[must_use]
    pub fn about_any(&self, word: &str) -> bool {
        self.kinds.iter().any(|kind| *kind == word || !is_item_word(kind))
    }

    /// Whether a date or a calendar of the holidays could not be read.
    pub(crate) fn about_holidays(&self, site: &Site<'_>) -> bool {
        let read = |written: &Span| site.holiday_files.iter().any(|file| file.at.span == *written);
        self.holds(site.name.at) || !site.tree.holiday_files.iter().all(read)
    }

    /// Whether the item of a part has a fault inside.
    fn holds_part(&self, model: &Model<'_>, part: Option<PartId>) -> bool {
        let part = part.and_then(|part| model.parts.get(part.index()));
        part.is_some_and(|part| self.holds(part.name.at))
    }

    /// Whether a statement about a zone, in its own block, its controller's or a sheet of theirs,
    /// could not be read: what seems not to be said of it may be what that one says.
    #[must_use]
    pub fn about_zone(&self, model: &Model<'_>, zone: &Zone<'_>) -> bool {
        self.about_landing(model, zone, zone.input)
    }

    /// The same of its tamper contact, and of the controller on which that one lands.
    #[must_use]
    pub fn about_tamper(&self, model: &Model<'_>, zone: &Zone<'_>) -> bool {
        self.about_landing(model, zone, zone.tamper())
    }

    fn about_landing(&self, model: &Model<'_>, zone: &Zone<'_>, input: Option<Input<'_>>) -> bool {
        if self.items.is_empty() {
            return false;
        }
        let terminal = input.and_then(|input| input.terminal);
        let controller = terminal.and_then(|terminal| model.controller(terminal.controller));
        let controller_part = controller.and_then(|controller| controller.part);
        self.holds(zone.name.at)
            || self.holds_part(model, zone.sensor.map(|part| part.id))
            || controller.is_some_and(|controller| self.holds(controller.name.at))
            || self.holds_part(model, controller_part.map(|part| part.id))
    }

    /// Whether a statement about the relay of a contact, or its sheet, could not be read: it may be
    /// the rating of the contact.
    #[must_use]
    pub fn about_contact(&self, model: &Model<'_>, contact: &Contact<'_>) -> bool {
        let owner = match contact.of {
            ContactAt::Terminal(terminal) => model
                .controller(terminal.controller)
                .map(|it| (it.name.at, it.part.map(|part| part.id))),
            ContactAt::Relay(id) => {
                model.relay(id).map(|it| (it.name.at, it.part.map(|part| part.id)))
            }
        };
        owner.is_some_and(|(at, part)| self.holds(at) || self.holds_part(model, part))
    }

    /// Whether a statement about what was measured, or about what feeds it, could not be read.
    pub(crate) fn about_reading(&self, model: &Model<'_>, at: ReadingAt<'_>) -> bool {
        // A voltage hangs on all that the supply feeds; which that is may be what is not known.
        let supplied = || {
            let supplies = model.supplies.iter();
            supplies
                .map(|it| (it.name.at, it.part.map(|part| part.id)))
                .any(|(at, part)| self.holds(at) || self.holds_part(model, part))
        };
        match at {
            ReadingAt::Terminal(_) => false,
            ReadingAt::Output(id) => {
                supplied() || model.output(id).is_some_and(|it| self.holds(it.name.at))
            }
            ReadingAt::Controller(id) => {
                supplied() || model.controller(id).is_some_and(|it| self.holds(it.name.at))
            }
            ReadingAt::Supply(_) => supplied(),
        }
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

fn lies_in(at: Place, places: &[Place]) -> bool {
    let within = |one: &Place| {
        one.file == at.file && one.span.start <= at.span.start && at.span.end <= one.span.end
    };
    places.iter().any(within)
}

/// The whole lines of a span: what starts no word belongs to no statement, and to its line.
fn whole_lines(text: &str, span: Span) -> Span {
    let (start, end) = (span.start as usize, span.end as usize);
    let before = text.get(..start).and_then(|text| text.rfind('\n')).map_or(0, |at| at + 1);
    let after = text.get(end..).and_then(|text| text.find('\n')).map_or(text.len(), |at| end + at);
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    Span::new(offset(before), offset(after))
}
