//! What a story does for ever once its inputs are over.

use std::collections::HashMap;

use crate::Ms;
use crate::player::{Event, Player, Story, What};
use crate::state::State;
use crate::step::Settled;
use crate::system::System;

/// What repeats.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Orbit {
    /// When the repetition begins, in ms, on the story's clock.
    pub(super) from: Ms,
    /// Its length in ms, above 0.
    pub(super) period: Ms,
    /// For each zone: registrations in a period.
    pub(super) registrations: Vec<u64>,
    /// For each output: time on in a period, in ms.
    pub(super) on: Vec<Ms>,
}

/// How a story goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Course {
    /// It comes to rest: nothing is due any more.
    Rests,
    /// It repeats.
    Repeats(Orbit),
    /// An instant never settles.
    NeverSettles,
    /// Not found out within the bound, or before `until`.
    Open,
}

#[derive(Clone)]
struct Mark {
    at: Ms,
    registrations: Vec<u64>,
    on: Vec<Ms>,
}

/// Plays the story and what comes after it, up to `until` and for at most `instants` instants.
pub(super) fn course(system: &System, story: &Story, until: Option<Ms>, instants: usize) -> Course {
    let last = story.inputs.iter().map(|input| input.at).max().unwrap_or(story.from);
    let mut player = Player::new(system, story);
    let mut seen: HashMap<State, Mark> = HashMap::new();
    let mut registrations = vec![0u64; system.zones.len()];
    let mut on = vec![0; system.outputs.len()];
    let mut since: Vec<Option<Ms>> = vec![None; system.outputs.len()];
    for _ in 0..instants {
        let Some(now) = player.next() else { return Course::Rests };
        if until.is_some_and(|until| now >= until) {
            return Course::Open;
        }
        let mut count = |event: Event| match event.what {
            What::Registered { zone } => {
                if let Some(count) = registrations.get_mut(zone.index()) {
                    *count += 1;
                }
            }
            What::Output { output, on: true } => {
                if let Some(since) = since.get_mut(output.index()) {
                    *since = Some(event.at);
                }
            }
            What::Output { output, on: false } => {
                let begun = since.get_mut(output.index()).and_then(Option::take);
                if let (Some(begun), Some(on)) = (begun, on.get_mut(output.index())) {
                    *on += event.at - begun;
                }
            }
            _ => {}
        };
        if player.advance(now, &mut count) == Settled::Never {
            return Course::NeverSettles;
        }
        if now < last {
            continue;
        }
        let running = |since: &Option<Ms>| since.map_or(0, |begun| now - begun);
        let on = on.iter().zip(&since).map(|(on, since)| on + running(since)).collect();
        let mark = Mark { at: now, registrations: registrations.clone(), on };
        if let Some(before) = seen.insert(player.state.relative_to(now), mark.clone()) {
            return Course::Repeats(between(&before, &mark));
        }
    }
    Course::Open
}

fn between(before: &Mark, after: &Mark) -> Orbit {
    let registrations = after.registrations.iter().zip(&before.registrations);
    let on = after.on.iter().zip(&before.on);
    Orbit {
        from: before.at,
        period: after.at - before.at,
        registrations: registrations.map(|(after, before)| after - before).collect(),
        on: on.map(|(after, before)| after - before).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::player::{Input, TimedInput};
    use crate::system::{Builder, Contact, Zone};

    /// A held door registers every 5 s; what repeats while it is held is over when it is let go,
    /// and only what comes after the last input goes on for ever.
    #[test]
    fn only_what_comes_after_the_last_input_repeats() {
        let mut builder = Builder::new();
        let door = builder.contact(Contact::settling(0));
        builder.zone(Zone::level(door, 5));
        let system = builder.build().unwrap();
        let press = |at, active| TimedInput { at, input: Input::Contact(door, active) };
        let held = vec![press(0, true)];
        let story = Story { from: 0, inputs: held.clone() };
        let orbit = Orbit { from: 0, period: 5, registrations: vec![1], on: vec![] };
        assert_eq!(course(&system, &story, None, 100), Course::Repeats(orbit));
        assert_eq!(course(&system, &story, Some(5), 100), Course::Open);
        assert_eq!(course(&system, &story, None, 1), Course::Open);
        let inputs = [held, vec![press(61, false)]].concat();
        assert_eq!(course(&system, &Story { from: 0, inputs }, None, 100), Course::Rests);
    }
}
