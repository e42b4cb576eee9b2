//! Recordings that a response asks for and the recording plan refuses.

use crate::{Hours, Uncovered};
use curtilage_model::{CameraId, Cause, ControllerId, Effect, Keep, Model, ScheduleRef};
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
        /// The cause that can happen then: its words.
        cause: Place,
        /// The hours in which the footage is refused.
        refused: Uncovered,
    },
}

/// Finds every recording that is asked for and refused.
#[must_use]
pub fn refusals(model: &Model<'_>, hours: &mut Hours) -> Vec<Refusal> {
    let mut out = Vec::new();
    for (index, response) in model.responses.iter().enumerate() {
        for (effect, _) in &response.effects {
            let Effect::Record { camera, at, .. } = effect else { continue };
            // A camera whose channel is not known records nothing that can be told.
            let channel = model.camera(*camera).and_then(|camera| camera.channel);
            let Some(controller) = channel.map(|channel| channel.controller) else { continue };
            if let Some(why) = refused(model, hours, index, *camera, controller) {
                out.push(Refusal { response: index, camera: *camera, at: *at, controller, why });
            }
        }
    }
    out
}

fn refused(
    model: &Model<'_>,
    hours: &mut Hours,
    response: usize,
    camera: CameraId,
    controller: ControllerId,
) -> Option<Refused> {
    let plans = model.recordings.iter().filter(|plan| plan.controller == Some(controller));
    let plans: Vec<_> = plans.collect();
    let Some(first) = plans.first() else { return Some(Refused::NoPlan) };
    let keeps = plans.iter().flat_map(|plan| &plan.keeps);
    let (of_camera, other): (Vec<&Keep<'_>>, Vec<&Keep<'_>>) = keeps
        .filter(|keep| keep.cameras.contains(&camera))
        .partition(|keep| keep.tree.class.value != Class::Motion);
    let Some(keep) = of_camera.first() else {
        let other_class = other.first().map(|keep| (keep.tree.class.value, keep.line));
        return Some(Refused::NotKept { plan: first.line, other_class });
    };
    // A line whose schedule is not known may keep anything: nothing is concluded.
    let during: Option<Vec<ScheduleRef>> = of_camera.iter().map(|keep| keep.during).collect();
    let during = during?;
    let response = model.responses.get(response)?;
    for (cause, at) in &response.causes {
        let armed = match cause {
            Cause::Zone(zone) => match model.zone(*zone).and_then(|zone| zone.armed) {
                Some((armed, _)) => armed,
                None => continue,
            },
            Cause::Tamper(_) | Cause::CameraLost(_) | Cause::SupplyLost(_) => ScheduleRef::Always,
            Cause::Start(_) | Cause::End(_) => continue,
        };
        let answers = response.during.map_or(ScheduleRef::Always, |(during, _)| during);
        if response.tree.during.is_some() && response.during.is_none() {
            continue;
        }
        let Some(refused) = hours.asked_but_not_kept(armed, answers, &during) else { continue };
        if !refused.is_empty() {
            let first = during.first().copied().unwrap_or(ScheduleRef::Never);
            return Some(Refused::Hours { keep: keep.line, during: first, cause: *at, refused });
        }
    }
    None
}
