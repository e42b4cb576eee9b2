//! One event that switches an output both on and off, or turns a camera to two presets.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{CameraId, Cause, Effect, Model, OutputId, Response};
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
            .find_map(|other| Some((other, shared(order.response, other.response)?)));
        if let Some((other, cause)) = conflict {
            out.push(found(model, order, other, cause));
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

fn found(model: &Model<'_>, order: &Order<'_>, other: &Order<'_>, cause: Place) -> Diagnostic {
    let event = model.text(cause);
    let (name, headline, why) = match order.of {
        Moved::Output(output) => {
            let name = model.output(output).map_or("", |output| output.name.text);
            let headline = format!("`{event}` switches `{name}` both on and off at once");
            (name, headline, "which of the two wins is the controller's secret")
        }
        Moved::Camera(camera) => {
            let name = model.camera(camera).map_or("", |camera| camera.name.text);
            let headline = format!("`{event}` turns `{name}` to two presets at once");
            (name, headline, "it looks at one of the two, and which one is the controller's secret")
        }
    };
    RULE.finds(headline, order.line, order.wants.label())
        .with_other(other.line, other.wants.label())
        .with_other(cause, "the event that does both")
        .with_why(why)
        .with_help("take one of them out, or let them happen at different times with `after`")
        .with_about(name)
}

/// A cause that sets off both responses at the same moment.
fn shared(one: &Response<'_>, other: &Response<'_>) -> Option<Place> {
    let delay = |response: &Response<'_>| response.tree.after.map_or(0, |after| after.value);
    // Responses that wait for several causes, or work in other hours, may never meet.
    let plain =
        |response: &Response<'_>| response.all_within.is_none() && response.tree.during.is_none();
    if std::ptr::eq(one, other) {
        return one.causes.first().map(|(_, at)| *at);
    }
    if delay(one) != delay(other) || !plain(one) || !plain(other) {
        return None;
    }
    let has = |cause: &Cause| other.causes.iter().any(|(known, _)| known == cause);
    one.causes.iter().find(|(cause, _)| has(cause)).map(|(_, at)| *at)
}
