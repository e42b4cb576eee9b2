//! One event that switches an output both on and off, or turns a camera to two presets.

use crate::at_once::{Event, at_once};
use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{CameraId, Effect, Model, OutputId, Response};
use curtilage_syntax::tree::Name;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "conflicting-effects",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "one event switches an output both on and off, or turns a camera to two presets",
    page: include_str!("conflicting_effects.md"),
    from_absence: false,
    check,
};

/// What an effect moves.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Moved {
    Output(OutputId),
    Camera(CameraId),
}

/// What it wants of it.
#[derive(Clone, Copy, PartialEq)]
enum Wants<'m> {
    On,
    Off,
    Preset(&'m str),
}

impl Wants<'_> {
    fn label(self) -> String {
        match self {
            Self::On => "switches it on".to_owned(),
            Self::Off => "switches it off".to_owned(),
            Self::Preset(name) => format!("turns it to `{name}`"),
        }
    }
}

struct Order<'m> {
    of: Moved,
    wants: Wants<'m>,
    line: Place,
    response: &'m Response<'m>,
}

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let mut orders: Vec<Order<'_>> = Vec::new();
    // Of a header that could not be read, what is left may be another event.
    let read = |response: &&Response<'_>| !facts.doubt.unread(response.line);
    for response in model.responses.iter().filter(read) {
        for (effect, line) in &response.effects {
            let Some((of, wants)) = wanted(model, effect) else { continue };
            orders.push(Order { of, wants, line: *line, response });
        }
    }
    if orders.iter().all(|order| order.wants == Wants::On) {
        return;
    }
    orders.sort_by_key(|order| (order.of, order.line));
    for (index, order) in orders.iter().enumerate() {
        let earlier = orders.iter().take(index).rev();
        let earlier = earlier.take_while(|other| other.of == order.of);
        let conflict = earlier
            .filter(|other| other.wants != order.wants)
            .find_map(|other| Some((other, at_once(facts, order.response, other.response)?)));
        if let Some((other, event)) = conflict {
            out.push(found(model, order, other, &event));
        }
    }
}

fn wanted<'m>(model: &'m Model<'_>, effect: &Effect) -> Option<(Moved, Wants<'m>)> {
    match effect {
        Effect::Switch { output, on: false, .. } => Some((Moved::Output(*output), Wants::Off)),
        Effect::Switch { output, .. } | Effect::Pulse { output, .. } => {
            Some((Moved::Output(*output), Wants::On))
        }
        Effect::Move { camera, preset } => {
            let (it, name) = (model.camera(*camera)?, model.text(*preset));
            // A preset that the camera does not have may be a slip for the other one.
            let text = |preset: &Name| model.text(Place::new(it.name.at.file, preset.span));
            let known = it.tree.presets.iter().any(|preset| text(preset) == name);
            known.then_some((Moved::Camera(*camera), Wants::Preset(name)))
        }
        _ => None,
    }
}

fn found(model: &Model<'_>, order: &Order<'_>, other: &Order<'_>, event: &Event) -> Diagnostic {
    let words = |place: &Place| format!("`{}`", model.text(*place));
    let (comes, many, once) = match event.words.as_slice() {
        [only] => (words(only), false, " at once"),
        all => {
            let all: Vec<String> = all.iter().map(words).collect();
            (format!("{} come at one moment, and", all.join(" and ")), true, "")
        }
    };
    let (name, verb, wants, why) = match order.of {
        Moved::Output(output) => (
            model.output(output).map_or("", |output| output.name.text),
            if many { "switch" } else { "switches" },
            "both on and off",
            "which of the two wins is the controller's secret",
        ),
        Moved::Camera(camera) => (
            model.camera(camera).map_or("", |camera| camera.name.text),
            if many { "turn" } else { "turns" },
            "to two presets",
            "it looks at one of the two, and which one is the controller's secret",
        ),
    };
    let headline = format!("{comes} {verb} `{name}` {wants}{once}");
    let mut finding = RULE
        .finds(headline, order.line, order.wants.label())
        .with_other(other.line, other.wants.label());
    for words in &event.words {
        let label = if event.words.len() == 1 { "the event that does both" } else { "comes then" };
        finding = finding.with_other(*words, label);
    }
    for during in &event.during {
        finding = finding.with_other(*during, "answers only then");
    }
    finding
        .with_why(why)
        .with_help("take one of them out, or let them happen at different times with `after`")
        .with_about(name)
}
