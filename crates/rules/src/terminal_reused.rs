//! Two things on one terminal.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::Terminal;
use curtilage_text::Place;
use std::collections::HashMap;

pub(crate) static RULE: Rule = Rule {
    name: "terminal-reused",
    family: Family::Contact,
    level: Level::Error,
    about: "two things are wired to one input or channel",
    page: include_str!("terminal_reused.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let mut uses: Vec<(Terminal<'_>, Place, String, &str)> = Vec::new();
    for zone in &model.zones {
        let name = zone.name.text;
        for (input, what) in [(zone.input, "zone"), (zone.tamper, "the tamper contact of zone")] {
            let Some(input) = input else { continue };
            if let Some(terminal) = input.terminal {
                uses.push((terminal, input.at, format!("{what} `{name}`"), name));
            }
        }
    }
    for camera in &model.cameras {
        if let Some(terminal) = camera.channel {
            let at = Place::new(camera.name.at.file, camera.tree.channel.span());
            uses.push((terminal, at, format!("camera `{}`", camera.name.text), camera.name.text));
        }
    }
    let mut seen: HashMap<(usize, &str), usize> = HashMap::new();
    for (index, (terminal, at, what, name)) in uses.iter().enumerate() {
        let key = (terminal.controller.index(), terminal.name);
        let first = *seen.entry(key).or_insert(index);
        let Some((_, first_at, first_what, _)) = uses.get(first).filter(|_| first != index) else {
            continue;
        };
        let screw = model.terminal_name(terminal);
        let headline = format!("{what} lands on `{screw}`, where {first_what} is");
        out.push(
            RULE.finds(headline, *at, "this terminal is taken")
                .with_other(*first_at, format!("{first_what} is here"))
                .with_why(
                    "two things on one terminal cannot be told apart, and one can hide the other",
                )
                .with_help("give it a terminal of its own")
                .with_about(*name),
        );
    }
}
