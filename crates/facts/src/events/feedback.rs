//! The ways by which an output comes back to a zone.

use super::together::{Together, switched};
use curtilage_events::graph::Graph;
use curtilage_events::system::{Builder, ContactId, Feedback, OutputId};
use curtilage_model::{Cause, Model, Output, Reach, Zone};
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::part::Disturbance;
use curtilage_text::Place;
use smallvec::SmallVec;

/// Why an output comes back to a zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Path {
    /// The zone follows the output: its contact is moved by it.
    Follows(Place),
    /// The output reaches the zone by its name.
    Reaches(Place),
    /// The output reaches the zone's area, and what it gives disturbs the zone's sensor.
    Disturbs(Place, Disturbance),
}

/// The ways from an output to a zone, in the order of outputs, then of zones.
pub(crate) fn paths(model: &Model<'_>) -> Vec<(usize, usize, Path)> {
    let mut followers: Vec<(usize, usize)> = Vec::new();
    // By area, the zones in it whose sensor something can disturb, and all that can.
    let mut by_area: Vec<(Vec<usize>, SmallVec<[Disturbance; 4]>)> = Vec::new();
    for (to, zone) in model.zones.iter().enumerate() {
        followers.extend(zone.follows.map(|output| (output.index(), to)));
        let (Some(area), [_, ..]) = (zone.area, sensitive(zone)) else { continue };
        if by_area.len() <= area {
            by_area.resize_with(area + 1, Default::default);
        }
        let Some((zones, disturbed)) = by_area.get_mut(area) else { continue };
        zones.push(to);
        for by in sensitive(zone) {
            if !disturbed.contains(&by.value) {
                disturbed.push(by.value);
            }
        }
    }
    followers.sort_unstable();
    let mut out = Vec::new();
    let mut near: Vec<usize> = Vec::new();
    for (from, output) in model.outputs.iter().enumerate() {
        near.clear();
        let first = followers.partition_point(|(output, _)| *output < from);
        let own = followers.iter().skip(first).take_while(|(output, _)| *output == from);
        near.extend(own.map(|(_, to)| *to));
        for reach in &output.reaches {
            match reach {
                Reach::Zone(id, _) => near.push(id.index()),
                Reach::Area(area, _) => {
                    let Some((zones, disturbed)) = by_area.get(*area) else { continue };
                    if disturbed.iter().any(|by| gives(output, *by)) {
                        near.extend(zones);
                    }
                }
            }
        }
        near.sort_unstable();
        near.dedup();
        for to in near.iter().copied() {
            let zone = model.zones.get(to);
            out.extend(zone.and_then(|zone| Some((from, to, path(from, output, to, zone)?))));
        }
    }
    out
}

/// The way from an output to a zone, if there is one.
fn path(from: usize, output: &Output<'_>, to: usize, zone: &Zone<'_>) -> Option<Path> {
    if let Some(follows) = zone.tree.follows
        && zone.follows.is_some_and(|follows| follows.index() == from)
    {
        return Some(Path::Follows(Place::new(zone.name.at.file, follows.span)));
    }
    output.reaches.iter().find_map(|reach| match reach {
        Reach::Zone(reached, at) => (reached.index() == to).then_some(Path::Reaches(*at)),
        Reach::Area(area, at) if zone.area == Some(*area) => {
            disturbs(output, zone).map(|by| Path::Disturbs(*at, by))
        }
        Reach::Area(..) => None,
    })
}

/// What can disturb a zone's sensor.
fn sensitive<'a>(zone: &Zone<'a>) -> &'a [Spanned<Disturbance>] {
    zone.sensor.map_or(&[], |sensor| &sensor.sheet.disturbed)
}

/// What an output's loads give that disturbs a zone's sensor.
fn disturbs(output: &Output<'_>, zone: &Zone<'_>) -> Option<Disturbance> {
    sensitive(zone).iter().map(|to| to.value).find(|to| gives(output, *to))
}

/// Whether an output's loads give a disturbance; what has a loudness gives sound.
fn gives(output: &Output<'_>, what: Disturbance) -> bool {
    output.loads.iter().flatten().any(|(_, load)| {
        load.sheet.gives.iter().any(|gives| gives.value == what)
            || (what == Disturbance::Sound && load.sheet.loudness.is_some())
    })
}

/// Whether some output can come back to itself by any way that a change can take: a cheap look
/// before a system is built. Everything counts here that such a system can have.
pub(crate) fn comes_back(model: &Model<'_>) -> bool {
    let ways = paths(model);
    if ways.is_empty() {
        return false;
    }
    let (zones, responses) = (model.zones.len(), model.responses.len());
    let mut graph = Graph::new(zones + responses + model.outputs.len());
    let node = |output: usize| zones + responses + output;
    let together = Together::of(model);
    for (from, to, _) in &ways {
        graph.add_edge(node(*from), *to);
    }
    for (to, zone) in model.zones.iter().enumerate() {
        if let Some(by) = zone.confirmed {
            graph.add_edge(by.index(), to);
        }
    }
    for (index, response) in model.responses.iter().enumerate() {
        for (cause, _) in &response.causes {
            if let Cause::Zone(zone) = cause {
                graph.add_edge(zone.index(), zones + index);
            }
        }
        for (effect, _) in &response.effects {
            for moved in switched(effect).map_or(&[][..], |output| together.with(output)) {
                graph.add_edge(zones + index, node(moved.index()));
            }
        }
    }
    // Zones that confirm each other are no ring: no output takes part.
    graph.loops().iter().any(|part| part.last().is_some_and(|last| *last >= node(0)))
}

/// Adds the ways to a system. What moves a contact is the current of the load.
pub(super) fn add(
    model: &Model<'_>,
    builder: &mut Builder,
    contacts: &[ContactId],
    outputs: &[OutputId],
    rests_on: &[bool],
) {
    for (from, to, _) in paths(model) {
        let (Some(&output), Some(&contact)) = (outputs.get(from), contacts.get(to)) else {
            continue;
        };
        let inverted = rests_on.get(from).copied().unwrap_or(false);
        builder.feedback(Feedback { output, contact, delay: 0, inverted });
    }
}

/// Whether each contact is moved by an output whose load is on at rest.
pub(super) fn moved_at_rest(model: &Model<'_>, contacts: usize, rests_on: &[bool]) -> Vec<bool> {
    let mut out = vec![false; contacts];
    for (from, to, _) in paths(model) {
        if let Some(moved) = out.get_mut(to) {
            *moved |= rests_on.get(from).copied().unwrap_or(false);
        }
    }
    out
}
