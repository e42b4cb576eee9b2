//! What the lines of a thing say, in one spelling: `2200 ohm` and `2.2 kohm` are the same words.

use super::Writer;
use super::needs::Needs;
use crate::figure::{Aspect, Better, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::{Scope, Words};
use curtilage_model::{Contact, ContactAt, Model, RunOf, Source};
use curtilage_syntax::tree::wiring::Side;
use curtilage_syntax::{Atom, AtomKind, Statement};
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity, parse};
use std::collections::HashMap;

/// The statements of a model's files, by the place of the first line and by word and name.
pub(super) struct Statements<'a> {
    by_name: HashMap<(&'a str, &'a str), (&'a Source, &'a Statement)>,
}

impl<'a> Statements<'a> {
    pub(super) fn of(model: &Model<'a>) -> Self {
        let mut by_name = HashMap::new();
        for source in model.sources() {
            for statement in source.statements() {
                if let [word, name, ..] = statement.atoms.as_slice() {
                    let key = (word.span.of(&source.text), name.span.of(&source.text));
                    by_name.entry(key).or_insert((source.as_ref(), statement));
                }
            }
        }
        Self { by_name }
    }

    fn get(&self, item: &str, name: &str) -> Option<(&'a Source, &'a Statement)> {
        self.by_name.get(&(item, name)).copied()
    }
}

/// Statements of which another figure tells more, and those whose order of many means nothing.
const ELSEWHERE: &[&str] = &[
    "wired", "armed", "ends", "mode", "holidays", "settle", "lockout", "entry", "exit", "repeats",
    "bit-rate",
];
const MANY: &[&str] = &["tap", "preset", "area", "people", "level"];

impl<'a> Writer<'_, '_, 'a> {
    /// The settings of everything on the site.
    pub(super) fn settings(&mut self) {
        let model = self.model();
        if let Some(site) = &model.site {
            self.settings_of(ThingKind::Site, site.name.text, &[]);
        }
        if let Some(policy) = &model.policy {
            self.settings_of(ThingKind::Policy, policy.name.text, &[]);
        }
        for zone in &model.zones {
            // Where the tamper contact lands, and over what, is told with the zone's own terminal.
            let landed = zone.tamper().is_some_and(|input| input.terminal.is_some());
            let skip: &[&str] = if landed { &["tamper"] } else { &[] };
            self.settings_of(ThingKind::Zone, zone.name.text, skip);
        }
        for output in &model.outputs {
            self.settings_of(ThingKind::Output, output.name.text, &["through"]);
        }
        for relay in &model.relays {
            self.settings_of(ThingKind::Relay, relay.name.text, &["through"]);
        }
        for controller in &model.controllers {
            self.settings_of(ThingKind::Controller, controller.name.text, &[]);
        }
        for supply in &model.supplies {
            self.settings_of(ThingKind::Supply, supply.name.text, &[]);
        }
        for cable in &model.cables {
            self.settings_of(ThingKind::Cable, cable.name.text, &[]);
        }
        for camera in &model.cameras {
            self.settings_of(ThingKind::Camera, camera.name.text, &[]);
        }
    }

    fn settings_of(&mut self, kind: ThingKind, name: &'a str, skip: &[&str]) {
        let thing = Thing::new(kind, Words::thing(name));
        let model = self.model();
        let Some((source, statement)) = self.statements.get(kind.item(), name) else { return };
        // A site and a policy are one each, whatever they are called.
        let item_name = if matches!(kind, ThingKind::Site | ThingKind::Policy) { "" } else { name };
        let thing = if item_name.is_empty() { Thing::new(kind, Words::default()) } else { thing };
        let title = statement.atoms.iter().find(|atom| atom.kind == AtomKind::Text);
        if let Some(title) = title {
            let needs = Needs::default().item(kind.item(), item_name, &["title"]).done();
            let (text, at) = (Words::new(source.quoted(title.span)), title.span);
            let at = Place::new(source.file, at);
            self.add(
                &thing,
                Aspect::Setting,
                Words::new("title"),
                Value::words(text),
                Some(at),
                &needs,
            );
        }
        if matches!(kind, ThingKind::Site | ThingKind::Policy) {
            let needs = Needs::default().item(kind.item(), "", &[]).done();
            let value = Value::words(Words::new(name));
            let at = statement.atoms.get(1).map(|atom| Place::new(source.file, atom.span));
            self.add(&thing, Aspect::Setting, Words::new("name"), value, at, &needs);
        }
        for line in statement.block.iter().flat_map(|block| &block.statements) {
            let Some((word, rest)) = line.atoms.split_first() else { continue };
            let word = word.span.of(&source.text);
            let own = skip.contains(&word)
                || ELSEWHERE.contains(&word)
                || kind == ThingKind::Policy && is_limit(word);
            if own {
                continue;
            }
            let occupied = model.site.as_ref().and_then(|site| site.occupied);
            if let Some(occupied) = occupied.filter(|_| word == "occupied") {
                // The hours themselves, not the name of the schedule.
                let needs = Needs::default().item("site", "", &["occupied"]);
                let needs = needs.schedule(model, occupied).done();
                let (value, at) = (self.hours(occupied), Place::new(source.file, line.line()));
                self.add(&thing, Aspect::Setting, Words::new(word), value, Some(at), &needs);
                continue;
            }
            // The area of a thing is one.
            let many = MANY.contains(&word) && (word != "area" || kind == ThingKind::Site);
            let (detail, rest) = if many {
                let first = rest.first().map_or("", |atom| atom.span.of(&source.text));
                // What is not declared is no name: a thing of that name may be called otherwise.
                let first = self.names.mark(first, kind.item(), word);
                let detail = Words::new(word).say(" ").and(&first);
                (detail, rest.get(1..).unwrap_or_default())
            } else {
                (Words::new(word), rest)
            };
            let text = self.normal(source, rest, (kind.item(), word));
            let titled = kind == ThingKind::Site && matches!(word, "area" | "people");
            let none = if titled { "no title" } else { "said" };
            let text = if rest.is_empty() { Words::new(none) } else { text };
            let needs = Needs::default().item(kind.item(), item_name, line_word(word)).done();
            let at = Some(Place::new(source.file, line.line()));
            self.add(&thing, Aspect::Setting, detail, Value::words(text), at, &needs);
        }
        if kind == ThingKind::Policy {
            self.limits(source, statement, &thing);
        }
    }

    /// What the policy asks: a limit that asks less lets more pass.
    fn limits(&mut self, source: &Source, statement: &Statement, thing: &Thing) {
        for line in statement.block.iter().flat_map(|block| &block.statements) {
            let Some((word, rest)) = line.atoms.split_first() else { continue };
            let word = word.span.of(&source.text);
            if !is_limit(word) {
                continue;
            }
            // The source of a limit is a text, and no part of what is asked.
            let said = rest.iter().position(|atom| {
                atom.kind == AtomKind::Word && atom.span.of(&source.text) == "from"
            });
            let rest = rest.get(..said.unwrap_or(rest.len())).unwrap_or_default();
            let shown = self.normal(source, rest, ("policy", word)).bare();
            let first = rest.first().map_or("", |atom| atom.span.of(&source.text));
            let second = rest.get(1).map_or("", |atom| atom.span.of(&source.text));
            let better = match (first, second) {
                ("at", "least") => Better::More,
                ("at", "most") => Better::Less,
                // What these make larger has to be larger.
                _ if matches!(word, "ageing" | "peukert" | "plain-sum") => Better::More,
                _ => Better::Neither,
            };
            let number = rest.iter().find_map(|atom| atom.quantity(&source.text));
            let value = match number {
                Some(number) => {
                    let unit = base_unit(number.dimension);
                    Value::number(number.value, unit, shown, better)
                }
                None => match rest.iter().find_map(|atom| plain(source, atom)) {
                    Some(number) => Value::number(number, "", shown, better),
                    None => Value::words(Words::new(&shown)),
                },
            };
            let needs = Needs::default().item("policy", "", line_word(word)).done();
            let at = Some(Place::new(source.file, line.line()));
            self.add(thing, Aspect::Asked, Words::new(word), value, at, &needs);
        }
    }

    /// Atoms in one spelling, names marked.
    pub(super) fn normal(&self, source: &Source, atoms: &[Atom], of: (&str, &str)) -> Words {
        let words_only =
            atoms.iter().all(|atom| matches!(atom.kind, AtomKind::Word | AtomKind::Comma));
        let commas = atoms.iter().any(|atom| atom.kind == AtomKind::Comma);
        if words_only && commas {
            let each = atoms.split(|atom| atom.kind == AtomKind::Comma);
            return Words::list(each.map(|one| self.normal(source, one, of)).collect());
        }
        let mut out = Words::default();
        for atom in atoms {
            if !out.is_empty() && atom.kind != AtomKind::Comma {
                out = out.say(" ");
            }
            out = out.and(&self.atom(source, atom, of));
        }
        out
    }

    fn atom(&self, source: &Source, atom: &Atom, of: (&str, &str)) -> Words {
        let text = atom.span.of(&source.text);
        match &atom.kind {
            AtomKind::Word => self.names.mark(text, of.0, of.1),
            AtomKind::Quantity { tolerance } => {
                let Some(number) = atom.quantity(&source.text) else { return Words::new(text) };
                let out = Words::new(&number.to_string());
                match tolerance.and_then(|span| parse(span.of(&source.text)).ok()) {
                    Some(tolerance) => out.say(" +-").say(&tolerance.to_string()),
                    None => out,
                }
            }
            AtomKind::Group(inner) => Words::new("(").and(&self.normal(source, inner, of)).say(")"),
            AtomKind::Text => Words::new(source.quoted(atom.span)),
            _ => Words::new(text),
        }
    }

    /// The words of an end-of-line network or another stretch of one statement.
    pub(super) fn statement_rest(
        &self,
        item: &str,
        name: &str,
        word: &str,
    ) -> Option<(Words, Place)> {
        let (source, statement) = self.statements.get(item, name)?;
        let lines = statement.block.iter().flat_map(|block| &block.statements);
        let line = lines.into_iter().find(|line| {
            line.atoms.first().is_some_and(|first| first.span.of(&source.text) == word)
        })?;
        let rest = line.atoms.get(1..).unwrap_or_default();
        Some((self.normal(source, rest, (item, word)), Place::new(source.file, line.line())))
    }

    /// The name of a part as a thing's first line gives it.
    pub(super) fn part_words(&self, place: Place) -> Words {
        Words::part(self.model().text(place))
    }
}

/// A factor is a number without a unit.
fn plain(source: &Source, atom: &Atom) -> Option<f64> {
    if atom.kind != AtomKind::Number {
        return None;
    }
    atom.span.of(&source.text).parse().ok()
}

/// The unit of a dimension's values.
pub(super) fn base_unit(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Time => "ms",
        Dimension::Ratio => "",
        Dimension::Resistance => "ohm",
        _ => "",
    }
}

fn is_limit(word: &str) -> bool {
    word != "level"
}

/// The statement words as statics, so that a need can name them.
pub(super) fn line_word(word: &str) -> &'static [&'static str] {
    const WORDS: &[&[&str]] = &[
        &["timezone"],
        &["ambient"],
        &["area"],
        &["people"],
        &["occupied"],
        &["purpose"],
        &["wired"],
        &["tamper"],
        &["input"],
        &["ends"],
        &["armed"],
        &["settle"],
        &["lockout"],
        &["repeats"],
        &["entry"],
        &["exit"],
        &["confirmed"],
        &["registers"],
        &["follows"],
        &["fed"],
        &["fuse"],
        &["through"],
        &["mode"],
        &["reaches"],
        &["runs"],
        &["suppressed"],
        &["battery"],
        &["from"],
        &["tap"],
        &["cores"],
        &["preset"],
        &["bit-rate"],
        &["store"],
        &["motion"],
        &["standby"],
        &["alarm-time"],
        &["sounder-run"],
        &["recharge"],
        &["retention"],
        &["spare"],
        &["ageing"],
        &["peukert"],
        &["plain-sum"],
        &["waste"],
        &["joint"],
        &["panic"],
        &["level"],
        &["active"],
        &["at"],
        &["bare"],
        &["carries"],
        &["channels"],
        &["charges"],
        &["coil"],
        &["commons"],
        &["conductor"],
        &["contact"],
        &["contacts"],
        &["disturbed"],
        &["draws"],
        &["drops"],
        &["empty"],
        &["gives"],
        &["holds"],
        &["idles"],
        &["inductive"],
        &["inputs"],
        &["inrush"],
        &["inside"],
        &["lamp"],
        &["loudness"],
        &["on-time"],
        &["outlets"],
        &["pulls"],
        &["relay"],
        &["relays"],
        &["resistance"],
        &["resistive"],
        &["rests"],
        &["settles"],
        &["voltage"],
        &["part"],
    ];
    WORDS.iter().copied().find(|one| one.first() == Some(&word)).unwrap_or(&[])
}

/// `18 m of CABLE, 2 cores each way, 1 joint of 5 mohm`.
pub(super) fn run_words(model: &Model<'_>, run: &RunOf<'_>, file: curtilage_text::FileId) -> Words {
    let metres = Quantity::new(run.tree.length.value, Dimension::Length).to_string();
    let cable = model.text(Place::new(file, run.tree.cable.span));
    let mut out = Words::new(&metres).say(" of ").and(&Words::part(cable));
    if let Some(cores) = run.tree.cores.filter(|cores| cores.value != 1) {
        out = out.say(&format!(", {} cores each way", cores.value));
    }
    if let Some(joints) = run.tree.joints.filter(|joints| joints.value > 0) {
        out = out.say(&format!(", joints: {}", joints.value));
        if let Some(joint) = run.tree.joint {
            let each = Quantity::new(joint.value, Dimension::Resistance).to_string();
            out = out.say(&format!(" of {each}"));
        }
    }
    out
}

/// `lower.relay1 closing`.
pub(crate) fn contact_words(model: &Model<'_>, contact: &Contact<'_>) -> Words {
    let name = match contact.of {
        ContactAt::Terminal(terminal) => Words::thing(&model.terminal_name(&terminal)),
        ContactAt::Relay(id) => Words::thing(model.relay(id).map_or("", |relay| relay.name.text)),
    };
    name.say(match contact.side {
        Side::Closing => " closing",
        Side::Opening => " opening",
    })
}

/// A name in the scope of things.
pub(super) fn thing(kind: ThingKind, name: &str) -> Thing {
    Thing::new(kind, Words::name(Scope::Thing, name))
}
