//! Two things on one terminal.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{ControllerId, Model, Terminal};
use curtilage_text::Place;

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
    let uses = uses(model);
    // By terminal, then in the order of uses: the first of each is the one that was there before.
    let mut order: Vec<(ControllerId, &str, usize)> = uses
        .iter()
        .enumerate()
        .map(|(index, one)| (one.terminal.controller, one.terminal.name, index))
        .collect();
    order.sort_unstable();
    let mut taken: Vec<(usize, usize)> = Vec::new();
    for same in order.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let Some(((_, _, first), others)) = same.split_first() else { continue };
        taken.extend(others.iter().map(|(_, _, index)| (*index, *first)));
    }
    taken.sort_unstable();
    for (one, first) in taken {
        let (Some(one), Some(first)) = (uses.get(one), uses.get(first)) else { continue };
        let (what, first_what) = (one.words(), first.words());
        let screw = model.terminal_name(&one.terminal);
        let headline = format!("{what} lands on `{screw}`, where {first_what} is");
        out.push(
            RULE.finds(headline, one.at, "this terminal is taken")
                .with_other(first.at, format!("{first_what} is here"))
                .with_why(
                    "two things on one terminal cannot be told apart, and one can hide the other",
                )
                .with_help("give it a terminal of its own")
                .with_about(one.name),
        );
    }
}

/// What lands on a terminal.
struct Use<'a> {
    terminal: Terminal<'a>,
    at: Place,
    what: &'static str,
    name: &'a str,
}

impl Use<'_> {
    fn words(&self) -> String {
        format!("{} `{}`", self.what, self.name)
    }
}

/// Everything that has a terminal to itself.
fn uses<'a>(model: &Model<'a>) -> Vec<Use<'a>> {
    let mut uses = Vec::with_capacity(model.zones.len() + model.cameras.len());
    for zone in &model.zones {
        let name = zone.name.text;
        for (input, what) in [(&zone.input, "zone"), (&zone.tamper, "the tamper contact of zone")] {
            let landed = input.as_ref().and_then(|input| Some((input.terminal?, input.at)));
            uses.extend(landed.map(|(terminal, at)| Use { terminal, at, what, name }));
        }
    }
    for camera in &model.cameras {
        let name = camera.name.text;
        let at = Place::new(camera.name.at.file, camera.tree.channel.span());
        let what = "camera";
        uses.extend(camera.channel.map(|terminal| Use { terminal, at, what, name }));
    }
    uses
}
