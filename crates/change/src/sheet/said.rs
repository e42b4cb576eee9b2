//! What lines say of which no other figure speaks: the sheets of the parts in use, the stores of
//! recordings, the stories of rehearsals, meter readings and exceptions.

use super::Writer;
use super::needs::Needs;
use super::settings::line_word;
use crate::figure::{Aspect, Value};
use crate::lines::key;
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_model::Source;
use curtilage_syntax::{Atom, AtomKind, Statement};
use curtilage_text::Place;
use std::collections::BTreeSet;

impl Writer<'_, '_, '_> {
    pub(super) fn said(&mut self) {
        let model = self.model();
        let mut used = BTreeSet::new();
        for statement in model.root().iter().flat_map(|root| root.statements()) {
            if let Some(root) = model.root() {
                gather(root, statement, &mut used);
            }
        }
        let mut seen = BTreeSet::new();
        for (index, source) in model.sources().iter().enumerate() {
            for statement in source.statements() {
                let Some((item, name)) = key(source, statement) else { continue };
                let wanted = match item {
                    "part" => used.contains(name.as_str()) && seen.insert(name.clone()),
                    "recording" | "rehearsal" | "measured" | "allow" => index == 0,
                    _ => false,
                };
                if wanted {
                    self.lines_of(source, statement, item, &name);
                }
            }
        }
    }

    fn lines_of(&mut self, source: &Source, statement: &Statement, item: &str, name: &str) {
        let site = || Thing::new(ThingKind::Site, Words::default());
        let (word, thing, of) = match item {
            "part" => ("part", Thing::new(ThingKind::Part, Words::part(name)), ""),
            "rehearsal" => ("rehearsal", Thing::new(ThingKind::Rehearsal, Words::thing(name)), ""),
            "recording" => ("recording", Thing::new(ThingKind::Recorder, Words::thing(name)), ""),
            "measured" => ("measured", site(), name),
            _ => return self.exception(source, statement, name),
        };
        let mut add = |line: &Statement, detail: Words, atoms: &[Atom], lines| {
            let of = line.atoms.first().map_or(word, |first| first.span.of(&source.text));
            let of = if word == "recording" { of } else { word };
            let text = self.normal(source, atoms, (word, of));
            let text = if text.is_empty() { Words::new("said") } else { text };
            let needs = Needs::default().item(word, name, lines).done();
            let at = Some(Place::new(source.file, line.line()));
            self.add(&thing, Aspect::Said, detail, Value::words(text), at, &needs);
        };
        let title = statement.atoms.iter().skip(2).find(|atom| atom.kind == AtomKind::Text);
        if let Some(title) = title.filter(|_| word == "part") {
            add(statement, Words::new("title"), std::slice::from_ref(title), &["part"]);
        }
        for line in statement.block.iter().flat_map(|block| &block.statements) {
            let Some((first, rest)) = line.atoms.split_first() else { continue };
            let first = first.span.of(&source.text);
            match word {
                // What is kept of which camera and when is told with the camera.
                "recording" if first == "keep" => {}
                "part" | "recording" => add(line, Words::new(first), rest, line_word(first)),
                "measured" => add(line, Words::new("measured ").say(of), &line.atoms, &[]),
                _ if first == "expect" => add(line, Words::new(first), rest, &["expect"]),
                _ => add(line, Words::new("story"), &line.atoms, &[]),
            }
        }
    }

    /// `allow RULE on THING until DATE because TEXT`: the first words tell which, the others how.
    fn exception(&mut self, source: &Source, statement: &Statement, name: &str) {
        let until = |atom: &Atom| atom.span.of(&source.text) == "until";
        let atoms = statement.atoms.get(1..).unwrap_or_default();
        let cut = atoms.iter().position(until).unwrap_or(atoms.len());
        let (which, how) = atoms.split_at(cut);
        let which = self.normal(source, which, ("allow", "allow"));
        let how = Value::words(self.normal(source, how, ("allow", "allow")));
        let needs = Needs::default().item("allow", name, &[]).done();
        let thing = Thing::new(ThingKind::Site, Words::default());
        let at = Some(Place::new(source.file, statement.line()));
        self.add(&thing, Aspect::Said, Words::new("exception ").and(&which), how, at, &needs);
    }
}

/// The words of a statement and of its block.
fn gather<'s>(source: &'s Source, statement: &'s Statement, out: &mut BTreeSet<&'s str>) {
    // What a part says of itself puts it to no use.
    if statement.atoms.first().is_some_and(|first| first.span.of(&source.text) == "part") {
        return;
    }
    let lines = statement.block.iter().flat_map(|block| &block.statements);
    for line in std::iter::once(statement).chain(lines) {
        words(source, &line.atoms, out);
    }
}

fn words<'s>(source: &'s Source, atoms: &'s [Atom], out: &mut BTreeSet<&'s str>) {
    for atom in atoms {
        match &atom.kind {
            AtomKind::Word => {
                out.insert(atom.span.of(&source.text));
            }
            AtomKind::Group(inner) => words(source, inner, out),
            _ => {}
        }
    }
}
