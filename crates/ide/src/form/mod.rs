//! The forms of all statements as small machines: which word of a line stands in which slot, and
//! what may stand next. They are made from the tables of the parser, so that completion, the form
//! shown while typing, colours and the index of names follow the language by themselves.

mod machine;
mod notation;
mod slots;

pub(crate) use machine::{DAYS, Leaf, LeafKind, Matched};
pub(crate) use notation::Node;
pub(crate) use slots::{Declared, Quoted, Slot};

use curtilage_syntax::vocabulary;
use machine::Machine;
use std::collections::HashMap;
use std::sync::OnceLock;

/// The form of one statement.
#[derive(Debug)]
pub(crate) struct Form {
    /// The block in words: "a zone", or "a file" for items.
    pub(crate) block: &'static str,
    /// Its first word; empty when a line begins with a value.
    pub(crate) word: &'static str,
    /// What follows, as the reference writes it.
    pub(crate) shown: &'static str,
    /// What follows, as it is read.
    pub(crate) pattern: &'static str,
    /// What it says.
    pub(crate) about: &'static str,
    /// Whether it may stand more than once in its block.
    pub(crate) many: bool,
    pub(crate) node: Node,
    pub(crate) machine: Machine,
}

/// All forms.
pub(crate) struct Forms {
    list: Vec<Form>,
    /// By block, then by first word.
    places: HashMap<&'static str, HashMap<&'static str, usize>>,
}

impl Forms {
    fn new() -> Self {
        let mut forms = Self { list: Vec::new(), places: HashMap::new() };
        for entry in vocabulary() {
            let pattern = slots::precise(entry.block, entry.word, entry.pattern);
            let machine = Machine::new(entry.block, entry.word, pattern);
            let (block, word, about) = (entry.block, entry.word, entry.about);
            let (node, many, shown) = (notation::read(pattern), entry.many, entry.pattern);
            forms.places.entry(block).or_default().insert(word, forms.list.len());
            forms.list.push(Form { block, word, shown, pattern, about, many, node, machine });
        }
        forms
    }

    /// The form of a statement by its block and first word; a line that begins with no known word
    /// has the form of the lines that begin with a value, if the block has one.
    pub(crate) fn of(&self, block: &str, word: &str) -> Option<&Form> {
        let places = self.places.get(block)?;
        self.list.get(*places.get(word).or_else(|| places.get(""))?)
    }

    /// The forms of a block, in the order of the reference.
    pub(crate) fn of_block<'f>(&'f self, block: &'f str) -> impl Iterator<Item = &'f Form> {
        self.list.iter().filter(move |form| form.block == block)
    }
}

/// All forms, made once.
pub(crate) fn forms() -> &'static Forms {
    static FORMS: OnceLock<Forms> = OnceLock::new();
    FORMS.get_or_init(Forms::new)
}

impl Form {
    /// Whether an item of this form opens a block.
    pub(crate) fn takes_block(&self) -> bool {
        !matches!(self.word, "use" | "allow")
    }
}

/// What a word in capitals is in a form: a slot, or a form of its own.
pub(crate) fn meaning_of(form: &Form, text: &str) -> Option<Result<Slot, Node>> {
    Some(match slots::meaning(form.block, form.word, text)? {
        slots::Meaning::Slot(slot) => Ok(slot),
        slots::Meaning::Form(pattern) => Err(notation::read(pattern)),
    })
}

/// The block that an item opens, by its first word and, for a part, its kind.
pub(crate) fn block_of(item: &str, kind: Option<&str>) -> Option<&'static str> {
    Some(match (item, kind) {
        ("site", _) => "a site",
        ("schedule", _) => "a schedule",
        ("part", Some("sensor")) => "a sensor part",
        ("part", Some("controller")) => "a controller part",
        ("part", Some("supply")) => "a supply part",
        ("part", Some("battery")) => "a battery part",
        ("part", Some("load")) => "a load part",
        ("part", Some("relay")) => "a relay part",
        ("part", Some("cable")) => "a cable part",
        ("part", Some("camera")) => "a camera part",
        ("part", Some("store")) => "a store part",
        ("supply", _) => "a supply",
        ("controller", _) => "a controller",
        ("relay", _) => "a relay",
        ("cable", _) => "a cable",
        ("zone", _) => "a zone",
        ("output", _) => "an output",
        ("camera", _) => "a camera",
        ("recording", _) => "a recording plan",
        ("response", _) => "a response",
        ("rehearsal", _) => "a rehearsal",
        ("measured", _) => "readings",
        ("policy", _) => "a policy",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::disallowed_methods, reason = "the test reads the examples")]

    use super::forms;
    use crate::line::lines;
    use curtilage_model::Source;
    use curtilage_text::FileId;

    /// Every line of every example is whole in its form: what the forms take is what the parser
    /// takes.
    #[test]
    fn the_forms_take_every_line_of_the_examples() {
        let mut seen = 0;
        for path in curtilage_testkit::site_files("examples") {
            let text = std::fs::read_to_string(&path).unwrap();
            let parsed = curtilage_syntax::parse(&text, &[]);
            let source = Source::new(FileId(0), path.display().to_string(), text, parsed, None);
            for line in lines(&source) {
                let span = line.statement.line();
                let faulty = source
                    .parsed
                    .faults
                    .iter()
                    .any(|fault| fault.span.start <= span.end && span.start <= fault.span.end);
                if faulty {
                    continue;
                }
                let text = source.text(span);
                let Some(form) = line.form(&source) else { panic!("no form: {text}") };
                let pieces = line.pieces(&source, form);
                let matched = form.machine.walk(&source.text, &pieces);
                assert!(matched.whole, "{}: `{text}` is not whole in its form", source.path);
                assert!(matched.taken.iter().all(Option::is_some), "`{text}`");
                seen += 1;
            }
        }
        assert!(seen > 4_000, "only {seen} lines");
    }

    /// Every word in capitals of every form means something.
    #[test]
    fn every_form_has_its_slots() {
        for form in &forms().list {
            for word in form.pattern.split(|c: char| !(c.is_ascii_uppercase() || c == '-')) {
                let is_slot = word.len() > 1 && word.chars().any(|c| c.is_ascii_uppercase());
                if is_slot && !word.contains("AC-") && !word.contains("DC-") {
                    let word = word.trim_matches('-');
                    let inside = word == "FILE" || super::meaning_of(form, word).is_some();
                    assert!(inside, "`{} {}` has `{word}`", form.word, form.pattern);
                }
            }
        }
    }
}
