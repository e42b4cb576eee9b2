//! The player.

use super::{Event, Input, Story, TimedInput};
use crate::Ms;
use crate::state::State;
use crate::step::{Engine, Outside, Settled};
use crate::system::System;

/// How far to play.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// The first instant that is not played, in ms.
    pub until: Ms,
    /// The most events to keep.
    pub events: usize,
    /// The most instants to play: where something is due in every millisecond of a long story, nothing
    /// need come of it.
    pub instants: usize,
}

impl Limits {
    /// To this instant, with at most a million events and two million instants.
    #[must_use]
    pub fn until(until: Ms) -> Self {
        Self { until, events: 1_000_000, instants: 2_000_000 }
    }
}

/// What happened in a story.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// The events, in order.
    pub events: Vec<Event>,
    /// How it ended.
    pub ended: Ended,
}

/// How a story ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// It was played to the end.
    Played,
    /// An instant never settled.
    NeverSettles(Ms),
    /// It had more events or more instants than asked for; the instant at which it stops.
    TooLong(Ms),
}

/// Plays a story from its beginning up to, not including, `limits.until`.
#[must_use]
pub fn play(system: &System, story: &Story, limits: Limits) -> Trace {
    played(Player::new(system, story), limits)
}

/// The same with nothing passed over: for tests that hold the quick way against it.
#[doc(hidden)]
#[must_use]
pub fn play_by_the_millisecond(system: &System, story: &Story, limits: Limits) -> Trace {
    let engine = Engine::by_the_millisecond(system);
    played(Player { engine, ..Player::new(system, story) }, limits)
}

fn played(mut player: Player<'_>, limits: Limits) -> Trace {
    let mut events = Vec::new();
    let mut instants = 0;
    let ended = loop {
        let Some(now) = player.next() else { break Ended::Played };
        if now >= limits.until {
            break Ended::Played;
        }
        let settled = player.advance(now, &mut |event| events.push(event));
        if settled == Settled::Never {
            break Ended::NeverSettles(now);
        }
        instants += 1;
        if events.len() > limits.events || instants > limits.instants {
            events.truncate(limits.events);
            break Ended::TooLong(now);
        }
    };
    Trace { events, ended }
}

/// A story under way.
#[derive(Debug, Clone)]
pub(crate) struct Player<'a> {
    engine: Engine<'a>,
    pub(crate) state: State,
    outside: Outside,
    inputs: std::vec::IntoIter<TimedInput>,
    next_gate: Option<Ms>,
    /// The first instant, while it has not been played.
    first: Option<Ms>,
    due: Option<Ms>,
}

impl<'a> Player<'a> {
    pub(crate) fn new(system: &'a System, story: &Story) -> Self {
        let from = story.from;
        let mut inputs: Vec<TimedInput> =
            story.inputs.iter().filter(|input| input.at >= from).copied().collect();
        inputs.sort_by_key(|input| input.at);
        let gates = &system.gates;
        let state = State::new(system, |id| gates.get(id).is_some_and(|gate| gate.contains(from)));
        let next_gate = gate_change(system, from);
        let inputs = inputs.into_iter();
        let (engine, outside) = (Engine::new(system), Outside::default());
        Self { engine, state, outside, inputs, next_gate, first: Some(from), due: None }
    }

    /// The next instant at which anything can happen.
    pub(crate) fn next(&self) -> Option<Ms> {
        if self.first.is_some() {
            return self.first;
        }
        let input = self.inputs.as_slice().first().map(|input| input.at);
        [self.due, self.next_gate, input].into_iter().flatten().min()
    }

    /// Plays the instant that [`Player::next`] gave.
    pub(crate) fn advance(&mut self, now: Ms, log: &mut dyn FnMut(Event)) -> Settled {
        self.first = None;
        let system = self.engine.system;
        let outside = &mut self.outside;
        outside.clear();
        while let Some(input) = self.inputs.as_slice().first().filter(|input| input.at <= now) {
            match input.input {
                Input::Contact(contact, active) => outside.contacts.push((contact, active)),
                other => outside.commands.extend(other.command()),
            }
            self.inputs.next();
        }
        if self.next_gate.is_some_and(|change| change <= now) {
            let gates = system.gates.iter();
            outside.gates.extend(gates.map(|(id, gate)| (id, gate.contains(now))));
            self.next_gate = gate_change(system, now);
        }
        let settled = self.engine.instant(&mut self.state, now, outside, log);
        self.due = self.state.next_due();
        settled
    }
}

fn gate_change(system: &System, after: Ms) -> Option<Ms> {
    system.gates.iter().filter_map(|(_, gate)| gate.next_change(after)).min()
}
