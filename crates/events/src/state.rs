//! What an installation remembers from one instant to the next.
//!
//! Everything that depends on time is a [`Timer`]: an instant at which something is due. The
//! transition function only ever asks whether a timer is there and whether it is due now; it never
//! compares two timers. So the same function can be run on exact instants (the player) and on
//! sets of them (the explorer).

use crate::Ms;
use crate::system::{
    AreaId, Causes, ContactId, DriveId, FeedbackId, GateId, OutputId, ResponseId, System, Table,
    ZoneId,
};

/// An instant at which something is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Timer {
    pub(crate) due: Ms,
    /// 0 when set in this instant; the explorer gives its own numbers to those that were there.
    pub(crate) tag: u32,
}

/// Sets a timer, at `now` plus a length above 0; a length of 0 clears it.
pub(crate) fn set(timer: &mut Option<Timer>, now: Ms, length: Ms) {
    *timer = (length > 0).then_some(Timer { due: now + length, tag: 0 });
}

/// Clears a timer that is due, and tells so.
pub(crate) fn take_due(timer: &mut Option<Timer>, now: Ms) -> bool {
    let due = timer.is_some_and(|timer| timer.due <= now);
    if due {
        *timer = None;
    }
    due
}

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct ContactState {
    /// The contact itself, without feedback.
    pub(crate) outside: bool,
    /// With feedback.
    pub(crate) raw: bool,
    /// What the controller took note of.
    pub(crate) settled: bool,
    pub(crate) settling: Option<Timer>,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct FeedbackState {
    /// What arrives at the contact now.
    pub(crate) value: bool,
    /// When it changes, in order; each is one change.
    pub(crate) changes: Vec<Timer>,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct ZoneState {
    pub(crate) lock: Option<Timer>,
    pub(crate) gap: Option<Timer>,
    pub(crate) exit: Option<Timer>,
    pub(crate) entry: Option<Timer>,
    /// Waits for the confirming zone until then.
    pub(crate) waiting: Option<Timer>,
    /// The confirming zone's activation counts until then.
    pub(crate) heard: Option<Timer>,
    /// Registrations in this arming, never above the limit; 0 without one.
    pub(crate) count: u32,
    /// Whether anything that it started still runs; kept to see when that ends.
    pub(crate) busy: bool,
    /// Its entry time ended in this very instant.
    pub(crate) entered: bool,
}

/// One on-time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Run {
    Still,
    Until(Timer),
    ForEver,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct ResponseState {
    /// For each cause: its registration counts until then (causes that must all come).
    pub(crate) memory: Vec<Option<Timer>>,
    /// For each cause: when its effects are due, in order.
    pub(crate) delayed: Vec<Vec<Timer>>,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct OutputState {
    pub(crate) on: bool,
    pub(crate) blocked: Option<Timer>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum AreaPhase {
    Off,
    Exit,
    On,
    Entry,
    Alarm,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct AreaState {
    pub(crate) phase: AreaPhase,
    pub(crate) timer: Option<Timer>,
}

/// The whole memory of a system.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct State {
    pub(crate) contacts: Table<ContactId, ContactState>,
    pub(crate) feedback: Table<FeedbackId, FeedbackState>,
    pub(crate) zones: Table<ZoneId, ZoneState>,
    pub(crate) drives: Table<DriveId, Run>,
    pub(crate) responses: Table<ResponseId, ResponseState>,
    pub(crate) outputs: Table<OutputId, OutputState>,
    pub(crate) areas: Table<AreaId, AreaState>,
    pub(crate) gates: Table<GateId, bool>,
}

impl State {
    /// Before the first instant: every output off, for ever before; gates as given.
    pub(crate) fn new(system: &System, gate: impl FnMut(GateId) -> bool) -> Self {
        let mut gate = gate;
        Self {
            contacts: system.contacts.like(|(_, contact)| ContactState {
                outside: contact.starts_active,
                raw: contact.starts_active,
                settled: contact.starts_active,
                settling: None,
            }),
            feedback: system.feedback.like(|(_, feedback)| FeedbackState {
                value: feedback.inverted,
                changes: Vec::new(),
            }),
            zones: system.zones.like(|_| ZoneState::default()),
            drives: system.drives.like(|_| Run::Still),
            responses: system.responses.like(|(_, response)| {
                let causes = response.causes.zones().len();
                let all = matches!(response.causes, Causes::All { .. });
                ResponseState {
                    memory: vec![None; if all { causes } else { 0 }],
                    delayed: vec![Vec::new(); if response.delay > 0 { causes } else { 0 }],
                }
            }),
            outputs: system.outputs.like(|_| OutputState::default()),
            areas: system.areas.like(|_| AreaState { phase: AreaPhase::Off, timer: None }),
            gates: system.gates.like(|(id, _)| gate(id)),
        }
    }

    /// Every timer, in an order that depends only on which timers there are.
    pub(crate) fn each_timer(&mut self, mut visit: impl FnMut(&mut Timer)) {
        self.each_placed_timer(|_, timer| visit(timer));
    }

    /// Every timer with its place, ascending. A place names one thing to be due, such as the
    /// lockout of one zone; in a queue, the number in it.
    pub(crate) fn each_placed_timer(&mut self, mut visit: impl FnMut(usize, &mut Timer)) {
        let mut place = 0;
        let mut one = |timer: &mut Option<Timer>| {
            place += 1;
            if let Some(timer) = timer {
                visit(place, timer);
            }
        };
        for contact in self.contacts.values_mut() {
            one(&mut contact.settling);
        }
        for zone in self.zones.values_mut() {
            one(&mut zone.lock);
            one(&mut zone.gap);
            one(&mut zone.exit);
            one(&mut zone.entry);
            one(&mut zone.waiting);
            one(&mut zone.heard);
        }
        for output in self.outputs.values_mut() {
            one(&mut output.blocked);
        }
        for area in self.areas.values_mut() {
            one(&mut area.timer);
        }
        for response in self.responses.values_mut() {
            response.memory.iter_mut().for_each(&mut one);
        }
        for run in self.drives.values_mut() {
            place += 1;
            if let Run::Until(timer) = run {
                visit(place, timer);
            }
        }
        // Queues have as many places as anyone will ever need.
        let delayed = self.responses.values_mut().flat_map(|response| &mut response.delayed);
        let changes = self.feedback.values_mut().map(|feedback| &mut feedback.changes);
        for (number, queue) in delayed.chain(changes).enumerate() {
            for (order, timer) in queue.iter_mut().enumerate() {
                visit(place + 1 + (number << 32) + order, timer);
            }
        }
    }

    /// The next instant at which something is due.
    pub(crate) fn next_due(&mut self) -> Option<Ms> {
        let mut next: Option<Ms> = None;
        self.each_timer(|timer| next = Some(next.map_or(timer.due, |next| next.min(timer.due))));
        next
    }

    /// The same state with remaining times in place of instants: equal for equal futures.
    pub(crate) fn relative_to(&self, now: Ms) -> Self {
        let mut state = self.clone();
        state.each_timer(|timer| *timer = Timer { due: timer.due - now, tag: 0 });
        state
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::{Area, Builder, Contact, Effect, Feedback, OnTime, Output, Response, Zone};

    /// Two of everything that waits, and every queue with two in it.
    fn waiting() -> State {
        let mut builder = Builder::new();
        for _ in 0..2 {
            builder.area(Area { exit: 1, entry: 1, members: vec![] });
            let contact = builder.contact(Contact::settling(1));
            let zone = builder.zone(Zone::edge(contact, 1));
            let output = builder.output(Output::automatic(OnTime::HOLD));
            let on = Effect::On { output, hold: 1, on_time: None };
            let effects = vec![on.clone(), on];
            let causes = Causes::All { zones: vec![zone], within: 1 };
            builder.response(Response { causes, delay: 1, ..Response::to(zone, effects) });
            builder.feedback(Feedback { output, contact, delay: 1, inverted: false });
        }
        let system = builder.build().unwrap();
        let mut state = State::new(&system, |_| true);
        let timer = Timer { due: 0, tag: 0 };
        let set = |slots: Vec<&mut Option<Timer>>| slots.into_iter().for_each(|s| *s = Some(timer));
        set(state.contacts.values_mut().map(|contact| &mut contact.settling).collect());
        for zone in state.zones.values_mut() {
            set(vec![&mut zone.lock, &mut zone.gap, &mut zone.exit]);
            set(vec![&mut zone.entry, &mut zone.waiting, &mut zone.heard]);
        }
        set(state.outputs.values_mut().map(|output| &mut output.blocked).collect());
        set(state.areas.values_mut().map(|area| &mut area.timer).collect());
        state.drives.values_mut().for_each(|run| *run = Run::Until(timer));
        for response in state.responses.values_mut() {
            set(response.memory.iter_mut().collect());
            response.delayed.iter_mut().for_each(|queue| *queue = vec![timer; 2]);
        }
        state.feedback.values_mut().for_each(|feedback| feedback.changes = vec![timer; 2]);
        state
    }

    /// Each timer has a place of its own, ascending, whether others run or not.
    #[test]
    fn every_timer_has_its_place() {
        let mut state = waiting();
        let mut places = Vec::new();
        let mut due = 0;
        state.each_placed_timer(|place, timer| {
            places.push(place);
            (timer.due, due) = (due, due + 1);
        });
        // Settle times, six of a zone, blocked outputs, areas, causes, on-times, queues.
        assert_eq!(places.len(), 2 + 2 * 6 + 2 + 2 + 2 + 4 + 4 + 4);
        assert!(places.is_sorted_by(|a, b| a < b), "{places:?}");
        // Every other one is over, but for those in queues, which move up when one before them is.
        let single = 2 + 2 * 6 + 2 + 2 + 2 + 4;
        let over = |timer: &mut Option<Timer>| {
            *timer = timer.filter(|timer| timer.due % 2 == 0);
        };
        state.contacts.values_mut().for_each(|contact| over(&mut contact.settling));
        for zone in state.zones.values_mut() {
            [&mut zone.lock, &mut zone.gap, &mut zone.exit].into_iter().for_each(over);
            [&mut zone.entry, &mut zone.waiting, &mut zone.heard].into_iter().for_each(over);
        }
        state.outputs.values_mut().for_each(|output| over(&mut output.blocked));
        state.areas.values_mut().for_each(|area| over(&mut area.timer));
        state.responses.values_mut().for_each(|r| r.memory.iter_mut().for_each(over));
        for run in state.drives.values_mut() {
            if matches!(run, Run::Until(timer) if timer.due % 2 == 1) {
                *run = Run::Still;
            }
        }
        let mut left = Vec::new();
        state.each_placed_timer(|place, timer| left.push((place, timer.due)));
        assert_eq!(left.len(), places.len() - single / 2);
        for (place, due) in left {
            assert_eq!(places.get(usize::try_from(due).unwrap()), Some(&place));
        }
    }
}
