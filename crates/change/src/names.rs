//! The names of a model, and where in a file a word can be one of them: `closed` is a schedule after
//! `armed`, and the state of a contact after `rests`.

use crate::words::{Scope, Words};
use curtilage_model::Model;
use std::collections::HashSet;

/// Every name in scope, by the list in which it stands.
pub(crate) struct Names<'a> {
    parts: HashSet<&'a str>,
    schedules: HashSet<&'a str>,
    things: HashSet<&'a str>,
}

impl<'a> Names<'a> {
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let parts: HashSet<&str> = model.parts.iter().map(|thing| thing.name.text).collect();
        let schedules: HashSet<&str> =
            model.schedules.iter().map(|thing| thing.name.text).collect();
        let mut things: HashSet<&str> = model.zones.iter().map(|one| one.name.text).collect();
        things.extend(model.outputs.iter().map(|one| one.name.text));
        things.extend(model.supplies.iter().map(|one| one.name.text));
        things.extend(model.controllers.iter().map(|one| one.name.text));
        things.extend(model.relays.iter().map(|one| one.name.text));
        things.extend(model.cables.iter().map(|one| one.name.text));
        things.extend(model.cameras.iter().map(|one| one.name.text));
        if let Some(site) = &model.site {
            things.extend(site.areas.iter().map(|one| one.name.text));
            things.extend(site.people.iter().map(|one| one.name.text));
        }
        Self { parts, schedules, things }
    }

    /// A word of a line of an item, marked when it is a name there. The first line of an item is the
    /// line of the item's own word.
    pub(crate) fn mark(&self, word: &str, item: &str, line: &str) -> Words {
        for scope in places(item, line) {
            let known = match scope {
                Scope::Part => &self.parts,
                Scope::Schedule => &self.schedules,
                Scope::Thing => &self.things,
            };
            // A name may have a dot in it, and may have a terminal behind one.
            let head = word.split('.').next().unwrap_or(word);
            if known.contains(word) || known.contains(head) {
                return Words::name(*scope, word);
            }
        }
        Words::new(word)
    }
}

/// What a word of a line can name.
fn places(item: &str, line: &str) -> &'static [Scope] {
    const PART: &[Scope] = &[Scope::Part];
    const SCHEDULE: &[Scope] = &[Scope::Schedule];
    const THING: &[Scope] = &[Scope::Thing];
    const WIRE: &[Scope] = &[Scope::Thing, Scope::Part];
    const EVENT: &[Scope] = &[Scope::Thing, Scope::Schedule];
    match (item, line) {
        ("schedule", _) => SCHEDULE,
        ("rehearsal" | "measured" | "allow", _) => THING,
        ("response", _) | ("recording", "keep" | "recording") => EVENT,
        ("recording", "store") => PART,
        ("site", "occupied") | ("zone", "armed") => SCHEDULE,
        ("site", "area" | "people") => THING,
        ("camera", "camera") | (_, "wired" | "tamper" | "fed") => match item {
            "part" | "policy" => &[],
            _ => WIRE,
        },
        ("zone" | "output" | "supply" | "controller" | "relay" | "cable", first)
            if first == item =>
        {
            PART
        }
        ("supply", "battery") => PART,
        (
            "zone" | "output" | "relay" | "cable" | "camera",
            "area" | "confirmed" | "follows" | "through" | "reaches" | "from" | "tap" | "preset",
        ) => THING,
        _ => &[],
    }
}
