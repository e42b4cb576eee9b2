//! Beginnings and ends of schedules, as inputs of a story.

use super::clock::Clock;
use super::plant::Plant;
use super::play::Run;
use crate::Hours;
use curtilage_events::player::{Input, TimedInput};
use curtilage_model::Cause;

/// Beginnings and ends of schedules are moved here: a pulse at each.
pub(super) fn edges(
    plant: &Plant,
    hours: &Hours,
    clock: &Clock,
    span: Run,
    inputs: &mut Vec<TimedInput>,
) {
    for (cause, contact) in plant.causes.iter().zip(&plant.contacts) {
        let (schedule, begins) = match cause {
            Cause::Start(schedule) => (*schedule, true),
            Cause::End(schedule) => (*schedule, false),
            _ => continue,
        };
        let Some(windows) = clock.windows(hours, schedule, span) else { continue };
        let mut at = span.0;
        while let Some(next) = windows.next_change(at).filter(|next| *next < span.1) {
            at = next;
            if windows.contains(at) == begins && windows.contains(at - 1) != begins {
                inputs.push(TimedInput { at, input: Input::Contact(*contact, true) });
                inputs.push(TimedInput { at: at + 1, input: Input::Contact(*contact, false) });
            }
        }
    }
}
