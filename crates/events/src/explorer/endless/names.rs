//! A part's answers in the whole system's names and time.

use super::super::Reason;
use super::super::regime::Regimes;
use crate::Ms;
use crate::player::{Input, Story, TimedInput};
use crate::system::{Part, System, Windows};

/// A part's story in the whole system's names.
pub(in super::super) fn outer_story(part: &Part, story: &Story) -> Story {
    let outer = |timed: &TimedInput| match timed.input {
        Input::Contact(contact, active) => {
            let contact = part.contacts.get(contact.index()).copied()?;
            Some(TimedInput { at: timed.at, input: Input::Contact(contact, active) })
        }
        Input::Arm(_) | Input::Disarm(_) => None,
    };
    Story { from: story.from, inputs: story.inputs.iter().filter_map(outer).collect() }
}

pub(super) fn outer_reason(part: &Part, reason: Reason, from: Ms) -> Reason {
    match reason {
        Reason::NeverSettles(story) => Reason::NeverSettles(outer_story(part, &moved(story, from))),
        other => other,
    }
}

/// The system with its schedules taken out, where the regime says all about them.
pub(super) fn plain(system: &System, regimes: &Regimes) -> System {
    let mut plain = system.clone();
    if regimes.len() == 1 {
        plain.gates.values_mut().for_each(|gate| *gate = Windows::Always);
        plain.zones.values_mut().for_each(|zone| zone.armed = Windows::Always);
        plain.responses.values_mut().for_each(|response| response.during = Windows::Always);
    }
    plain
}

pub(super) fn moved(mut story: Story, by: Ms) -> Story {
    story.from += by;
    for input in &mut story.inputs {
        input.at += by;
    }
    story
}
