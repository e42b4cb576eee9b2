//! The ways by which an output comes back to a zone.

use curtilage_events::system::{Builder, ContactId, Feedback, OutputId};
use curtilage_model::{Model, Output, Reach, Zone};
use curtilage_syntax::tree::part::Disturbance;
use curtilage_text::Place;

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

/// The ways from an output to a zone.
pub(crate) fn paths(model: &Model<'_>) -> Vec<(usize, usize, Path)> {
    let mut out = Vec::new();
    for (from, output) in model.outputs.iter().enumerate() {
        for (to, (id, zone)) in model.zones_by_id().enumerate() {
            if let Some(follows) = zone.tree.follows
                && zone.follows.is_some_and(|follows| follows.index() == from)
            {
                let at = Place::new(zone.name.at.file, follows.span);
                out.push((from, to, Path::Follows(at)));
                continue;
            }
            let path = output.reaches.iter().find_map(|reach| match reach {
                Reach::Zone(reached, at) => (*reached == id).then_some(Path::Reaches(*at)),
                Reach::Area(area, at) if zone.area == Some(*area) => {
                    disturbs(output, zone).map(|by| Path::Disturbs(*at, by))
                }
                Reach::Area(..) => None,
            });
            out.extend(path.map(|path| (from, to, path)));
        }
    }
    out
}

/// What an output's loads give that disturbs a zone's sensor; what has a loudness gives sound.
fn disturbs(output: &Output<'_>, zone: &Zone<'_>) -> Option<Disturbance> {
    let sensitive = &zone.sensor?.sheet.disturbed;
    let loads = output.loads.as_ref()?;
    sensitive.iter().map(|to| to.value).find(|to| {
        loads.iter().any(|(_, load)| {
            load.sheet.gives.iter().any(|gives| gives.value == *to)
                || (*to == Disturbance::Sound && load.sheet.loudness.is_some())
        })
    })
}

/// Whether any output can come back to a zone: a cheap look before a system is built.
pub(crate) fn has_paths(model: &Model<'_>) -> bool {
    let follows = model.zones.iter().any(|zone| zone.follows.is_some());
    follows || model.outputs.iter().any(|output| !output.reaches.is_empty())
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
