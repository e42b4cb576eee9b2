//! The chain of cause and effect: zone, response, output, and what that output reaches; both ways.

use crate::View;
use crate::names::item_at;
use crate::symbols::one_line;
use curtilage_facts::events::Path;
use curtilage_model::{CameraId, Cause, Effect, Model, OutputId, ScheduleRef, SupplyId, ZoneId};
use curtilage_text::{Place, Span};

/// What a link of the chain is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LinkKind {
    /// A zone.
    Zone,
    /// A response.
    Response,
    /// An output.
    Output,
    /// A camera.
    Camera,
    /// People.
    People,
    /// A supply.
    Supply,
    /// A schedule.
    Schedule,
    /// A controller's buzzer.
    Controller,
}

/// A link of the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChainLink {
    /// Its name; for a response without one, its first line.
    pub name: String,
    /// Figures in one line.
    pub detail: String,
    /// What it is.
    pub kind: LinkKind,
    /// Its name's place, or its first line; this finds it again.
    pub at: Place,
    /// All of it.
    pub whole: Span,
}

/// A step of the chain and where it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChainStep {
    /// The link at the other end.
    pub link: ChainLink,
    /// The words that say so.
    pub written: Vec<Place>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Node {
    Zone(ZoneId),
    Response(usize),
    Output(OutputId),
    Camera(CameraId),
    People(usize),
    Supply(SupplyId),
    Schedule(ScheduleRef),
    Controller(usize),
}

/// The link of the chain under a cursor.
#[must_use]
pub fn chain_at(view: View<'_>, offset: u32) -> Option<ChainLink> {
    let model = view.model();
    if let Some((_, identity)) = crate::identify(view, offset)
        && let Some(node) = node_at(model, identity.at)
    {
        return link(view, node);
    }
    // Anywhere else in a response: the response.
    let found = model.responses.iter().position(|response| {
        let source = view.source();
        let item = source.and_then(|source| item_at(source, response.line.span));
        response.line.file == view.file && item.is_some_and(|item| item.span.touches(offset))
    });
    link(view, Node::Response(found?))
}

/// What a link sets off.
#[must_use]
pub fn chain_onward(view: View<'_>, at: Place) -> Vec<ChainStep> {
    steps(view, at, |from, _| from)
}

/// What sets a link off.
#[must_use]
pub fn chain_back(view: View<'_>, at: Place) -> Vec<ChainStep> {
    steps(view, at, |_, to| to)
}

/// The steps with one end at a link. `own` picks the end that has to be it.
fn steps(view: View<'_>, at: Place, own: fn(Node, Node) -> Node) -> Vec<ChainStep> {
    let Some(node) = node_at(view.model(), at) else { return Vec::new() };
    let mut found: Vec<(Node, Vec<Place>)> = Vec::new();
    for (from, to, written) in edges(view) {
        if own(from, to) != node {
            continue;
        }
        let other =
            if own(Node::People(0), Node::People(1)) == Node::People(0) { to } else { from };
        match found.iter_mut().find(|(known, _)| *known == other) {
            Some((_, places)) if !places.contains(&written) => places.push(written),
            Some(_) => {}
            None => found.push((other, vec![written])),
        }
    }
    found
        .into_iter()
        .filter_map(|(node, written)| Some(ChainStep { link: link(view, node)?, written }))
        .collect()
}

/// Every step of the chain: from, to, where it is written.
fn edges(view: View<'_>) -> Vec<(Node, Node, Place)> {
    let model = view.model();
    let mut out = Vec::new();
    for (index, response) in model.responses.iter().enumerate() {
        let this = Node::Response(index);
        for (cause, at) in &response.causes {
            let from = match cause {
                Cause::Zone(zone) | Cause::Tamper(zone) => Node::Zone(*zone),
                Cause::CameraLost(camera) => Node::Camera(*camera),
                Cause::SupplyLost(supply) => Node::Supply(*supply),
                Cause::Start(schedule) | Cause::End(schedule) => Node::Schedule(*schedule),
            };
            out.push((from, this, *at));
        }
        for (effect, line) in &response.effects {
            let (to, at) = match effect {
                Effect::Switch { output, .. } | Effect::Pulse { output, .. } => {
                    (Node::Output(*output), *line)
                }
                Effect::Record { camera, at, .. } => (Node::Camera(*camera), *at),
                Effect::Show(camera) | Effect::Move { camera, .. } => {
                    (Node::Camera(*camera), *line)
                }
                Effect::Tell(people) => (Node::People(*people), *line),
                Effect::Sound { controller, .. } => (Node::Controller(controller.index()), *line),
            };
            out.push((this, to, at));
        }
    }
    for (output, zone, path) in view.facts().paths() {
        let (Path::Follows(at) | Path::Reaches(at) | Path::Disturbs(at, _)) = path;
        out.push((Node::Output(output), Node::Zone(zone), at));
    }
    for (id, zone) in model.zones_by_id() {
        if let (Some(other), Some((name, _))) = (zone.confirmed, zone.tree.confirmed) {
            let at = Place::new(zone.name.at.file, name.span);
            out.push((Node::Zone(other), Node::Zone(id), at));
        }
    }
    out
}

fn node_at(model: &Model<'_>, at: Place) -> Option<Node> {
    use crate::figures::{Thing, thing};
    match thing(model, at) {
        Some(Thing::Zone(id)) => return Some(Node::Zone(id)),
        Some(Thing::Output(id)) => return Some(Node::Output(id)),
        Some(Thing::Camera(id)) => return Some(Node::Camera(id)),
        Some(Thing::Supply(id)) => return Some(Node::Supply(id)),
        Some(Thing::Schedule(id)) => return Some(Node::Schedule(ScheduleRef::Of(id))),
        Some(Thing::Controller(id)) => return Some(Node::Controller(id.index())),
        Some(Thing::Response(index)) => return Some(Node::Response(index)),
        _ => {}
    }
    let people = model.site.as_ref().and_then(|site| {
        site.people.iter().position(|people| people.name.at == at).map(Node::People)
    });
    let response =
        || model.responses.iter().position(|response| response.line == at).map(Node::Response);
    people.or_else(response)
}

fn link(view: View<'_>, node: Node) -> Option<ChainLink> {
    let model = view.model();
    let (name, at, kind) = match node {
        Node::Zone(id) => {
            let name = model.zone(id)?.name;
            (name.text.to_owned(), name.at, LinkKind::Zone)
        }
        Node::Output(id) => {
            let name = model.output(id)?.name;
            (name.text.to_owned(), name.at, LinkKind::Output)
        }
        Node::Camera(id) => {
            let name = model.camera(id)?.name;
            (name.text.to_owned(), name.at, LinkKind::Camera)
        }
        Node::Supply(id) => {
            let name = model.supply(id)?.name;
            (name.text.to_owned(), name.at, LinkKind::Supply)
        }
        Node::Controller(index) => {
            let name = model.controllers.get(index)?.name;
            (name.text.to_owned(), name.at, LinkKind::Controller)
        }
        Node::People(index) => {
            let name = model.site.as_ref()?.people.get(index)?.name;
            (name.text.to_owned(), name.at, LinkKind::People)
        }
        Node::Schedule(ScheduleRef::Of(id)) => {
            let name = model.schedules.get(id.index())?.name;
            (name.text.to_owned(), name.at, LinkKind::Schedule)
        }
        Node::Schedule(_) => return None,
        Node::Response(index) => {
            let response = model.responses.get(index)?;
            let line = one_line(model.text(response.line));
            match response.name {
                Some(name) => (name.text.to_owned(), name.at, LinkKind::Response),
                None => (line, response.line, LinkKind::Response),
            }
        }
    };
    let source = crate::view::source(model, at.file)?;
    let whole = item_at(source, at.span).map_or(at.span, |item| item.span);
    let detail = crate::figures::of_name(view, at).unwrap_or_default();
    Some(ChainLink { name, detail, kind, at, whole })
}
