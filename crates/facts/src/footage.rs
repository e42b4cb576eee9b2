//! Recordings that a response asks for and the recording plan refuses.

use crate::{Hours, Uncovered};
use curtilage_model::{CameraId, Cause, ControllerId, Effect, Keep, Model, Response, ScheduleRef};
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::recording::Class;
use curtilage_text::Place;

/// A recording that is asked for and does not happen.
pub struct Refusal {
    /// The response, by index.
    pub response: usize,
    /// The camera.
    pub camera: CameraId,
    /// The words that ask for it.
    pub at: Place,
    /// The controller whose channel the camera is on.
    pub controller: ControllerId,
    /// Why it does not happen.
    pub why: Refused,
}

/// Why a recording does not happen.
pub enum Refused {
    /// The controller has no recording plan.
    NoPlan,
    /// The plan keeps no events of the camera.
    NotKept {
        /// The plan's first line.
        plan: Place,
        /// A line that keeps another class of it.
        other_class: Option<(Class, Place)>,
    },
    /// The plan keeps them, but not at all hours at which the response can ask.
    Hours {
        /// The line that keeps them.
        keep: Place,
        /// The schedule of that line.
        during: ScheduleRef,
        /// The cause that can happen then, or so long before as the response waits: its words.
        cause: Place,
        /// The words for how long the response waits, where that is a minute or more.
        after: Option<Place>,
        /// The hours in which the footage is refused.
        refused: Uncovered,
    },
    /// The plan keeps them, but not when a schedule begins or ends.
    Edge {
        /// The line that keeps them.
        keep: Place,
        /// The schedule of that line.
        during: ScheduleRef,
        /// The words of the cause.
        cause: Place,
        /// The schedule, and whether it is its end.
        edge: (ScheduleRef, bool),
    },
}

/// Finds every recording that is asked for and refused.
#[must_use]
pub fn refusals(model: &Model<'_>, hours: &mut Hours) -> Vec<Refusal> {
    let mut out = Vec::new();
    let mut known: Vec<Option<Kept>> = vec![None; model.cameras.len()];
    for (index, response) in model.responses.iter().enumerate() {
        for (effect, _) in &response.effects {
            let Effect::Record { camera, at, .. } = effect else { continue };
            // A camera whose channel is not known records nothing that can be told.
            let channel = model.camera(*camera).and_then(|camera| camera.channel.as_ref());
            let Some(controller) = channel.map(|channel| channel.controller) else { continue };
            let Some(slot) = known.get_mut(camera.index()) else { continue };
            let kept = slot.get_or_insert_with(|| Kept::of(model, *camera, controller));
            let why = match kept {
                Kept::NoPlan => Some(Refused::NoPlan),
                Kept::Not { plan, other_class } => {
                    Some(Refused::NotKept { plan: *plan, other_class: *other_class })
                }
                Kept::At { keep, during } => at_hours(model, hours, response, *keep, during),
            };
            if let Some(why) = why {
                out.push(Refusal { response: index, camera: *camera, at: *at, controller, why });
            }
        }
    }
    out
}

/// What the recording plans keep of the events of one camera.
#[derive(Clone)]
enum Kept {
    /// The controller has no recording plan.
    NoPlan,
    /// Nothing; the first plan, and a line that keeps another class.
    Not { plan: Place, other_class: Option<(Class, Place)> },
    /// The first line that keeps them, and the schedules of all those lines. None when a schedule
    /// is not known: such a line may keep anything, and nothing is concluded.
    At { keep: Place, during: Vec<ScheduleRef> },
}

impl Kept {
    fn of(model: &Model<'_>, camera: CameraId, controller: ControllerId) -> Self {
        let plans = || model.recordings.iter().filter(|plan| plan.controller == Some(controller));
        let Some(first) = plans().next() else { return Self::NoPlan };
        let keeps = || plans().flat_map(|plan| &plan.keeps).filter(|k| k.cameras.contains(&camera));
        let (mut events, mut other) = (keeps().filter(|k| has_events(k)), keeps());
        let Some(keep) = events.next() else {
            let other_class = other.next().map(|keep| (keep.tree.class.value, keep.line));
            return Self::Not { plan: first.line, other_class };
        };
        let during = std::iter::once(keep).chain(events).map(|keep| keep.during);
        Self::At { keep: keep.line, during: during.collect::<Option<_>>().unwrap_or_default() }
    }
}

/// Whether a line keeps events.
fn has_events(keep: &Keep<'_>) -> bool {
    keep.tree.class.value != Class::Motion
}

/// Whether a response can ask at hours at which events are not kept.
fn at_hours(
    model: &Model<'_>,
    hours: &mut Hours,
    response: &Response<'_>,
    keep: Place,
    during: &[ScheduleRef],
) -> Option<Refused> {
    let first = *during.first()?;
    if during.contains(&ScheduleRef::Always) {
        return None;
    }
    // The plan is asked when the response begins to record. Whole minutes, as schedules have them: what
    // the last seconds of the hours ask for is not told.
    let waits = response.tree.after.map_or(0, |after| after.value);
    let later = minutes(waits);
    let after = response.tree.after.filter(|_| later > 0);
    let after = after.map(|after| Place::new(response.line.file, after.span));
    if response.tree.during.is_some() && response.during.is_none() {
        return None;
    }
    let answers = response.during.map_or(ScheduleRef::Always, |(during, _)| during);
    for (cause, at) in &response.causes {
        let (Cause::Start(of) | Cause::End(of)) = cause else { continue };
        let edge = (*of, matches!(cause, Cause::End(_)));
        if response.all_within.is_none()
            && hours.edge_not_kept(edge, answers, later, during) == Some(true)
        {
            return Some(Refused::Edge { keep, during: first, cause: *at, edge });
        }
    }
    let mut asked: Vec<(Counting, Place)> = Vec::new();
    for (cause, at) in &response.causes {
        match (counts_at(model, cause), response.all_within) {
            (Some(hours), _) => asked.push((hours, *at)),
            // One of all that is not known: nothing is.
            (None, Some(_)) => return None,
            (None, None) => {}
        }
    }
    if response.all_within.is_some() {
        let at = asked.first()?.1;
        asked = vec![(asked.into_iter().flat_map(|(hours, _)| hours).collect(), at)];
    }
    for (mut asked, at) in asked {
        asked.push((answers, 0));
        // Beyond the whole minutes by which all of it comes later.
        for (_, first) in &mut asked {
            *first = minutes(first.saturating_add(waits)) - later;
        }
        let wanted = hours.asked_but_not_kept(&asked, later, during);
        if let Some(refused) = wanted.filter(|refused| !refused.is_empty()) {
            return Some(Refused::Hours { keep, during: first, cause: at, after, refused });
        }
    }
    None
}

/// Schedules, each with how long after every beginning of it nothing comes yet, ms.
type Counting = Vec<(ScheduleRef, u64)>;

fn minutes(time: u64) -> u64 {
    time / 60_000
}

/// The schedules in all of which a cause surely can happen: those of its zone, and of the one that has
/// to confirm it, but for their exit and entry times. None when one is not known, and for the edges of a
/// schedule.
fn counts_at(model: &Model<'_>, cause: &Cause) -> Option<Counting> {
    let counts = |id| {
        let zone = model.zone(id)?;
        let of = |time: Option<Spanned<u64>>| time.map_or(0, |time| time.value);
        Some(match zone.armed?.0 {
            // One arming that never begins.
            ScheduleRef::Always => (ScheduleRef::Always, 0),
            armed => (armed, of(zone.tree.exit).saturating_add(of(zone.tree.entry))),
        })
    };
    match cause {
        Cause::Zone(id) => {
            let zone = model.zone(*id)?;
            let mut all = vec![counts(*id)?];
            if zone.tree.confirmed.is_some() {
                all.push(counts(zone.confirmed?)?);
            }
            Some(all)
        }
        Cause::Tamper(_) | Cause::CameraLost(_) | Cause::SupplyLost(_) => {
            Some(vec![(ScheduleRef::Always, 0)])
        }
        Cause::Start(_) | Cause::End(_) => None,
    }
}
