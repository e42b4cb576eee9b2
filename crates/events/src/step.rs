//! The transition function: what happens in one instant.
//!
//! Order: gates, raw levels, settling, expiries and delayed effects, registrations, outputs, areas.
//! It asks of a timer only whether it is there and whether it is due; see [`crate::state`].

mod area;
mod effects;
mod links;
mod register;

pub(crate) use links::Links;

use crate::player::{Event, What};
use crate::state::{self, Run, State, Timer};
use crate::system::{
    AreaCommand, AreaId, ContactId, DriveId, GateId, Mode, OutputId, System, Table, ZoneId,
};
use crate::{Ms, ROUNDS};

/// What comes from outside at one instant.
#[derive(Debug, Clone, Default)]
pub(crate) struct Outside {
    pub(crate) contacts: Vec<(ContactId, bool)>,
    pub(crate) gates: Vec<(GateId, bool)>,
    pub(crate) commands: Vec<(AreaId, AreaCommand)>,
}

impl Outside {
    pub(crate) fn clear(&mut self) {
        self.contacts.clear();
        self.gates.clear();
        self.commands.clear();
    }
}

/// How an instant ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Settled {
    Yes,
    /// Still changing after [`ROUNDS`] rounds.
    Never,
}

/// Runs instants of one system.
#[derive(Debug, Clone)]
pub(crate) struct Engine<'a> {
    pub(crate) system: &'a System,
    links: Links,
    /// Contacts whose activation was noted in this round.
    rose: Table<ContactId, bool>,
    /// Zones whose lockout ended in this instant.
    unlocked: Vec<ZoneId>,
    /// Zones that asked again in this instant, and only go on waiting.
    waits: Vec<ZoneId>,
}

impl<'a> Engine<'a> {
    pub(crate) fn new(system: &'a System) -> Self {
        let rose = system.contacts.like(|_| false);
        let (unlocked, waits) = Default::default();
        Self { system, links: Links::of(system), rose, unlocked, waits }
    }

    /// The same, passing over nothing: what every other engine is held to.
    pub(crate) fn by_the_millisecond(system: &'a System) -> Self {
        let mut engine = Self::new(system);
        engine.links.patient.clear();
        engine
    }

    /// Runs one instant: everything that is due at `now`, with what comes from outside.
    pub(crate) fn instant(
        &mut self,
        state: &mut State,
        now: Ms,
        outside: &Outside,
        log: &mut dyn FnMut(Event),
    ) -> Settled {
        self.unlocked.clear();
        self.waits.clear();
        let Self { system, links, rose, unlocked, waits } = self;
        Step { system, links, state, now, log, rose, unlocked, waits }.run(outside)
    }
}

/// One instant in the making.
struct Step<'a> {
    system: &'a System,
    links: &'a Links,
    state: &'a mut State,
    now: Ms,
    log: &'a mut dyn FnMut(Event),
    rose: &'a mut Table<ContactId, bool>,
    unlocked: &'a mut Vec<ZoneId>,
    waits: &'a mut Vec<ZoneId>,
}

impl Step<'_> {
    fn run(&mut self, outside: &Outside) -> Settled {
        self.keep_waiting();
        for &(id, value) in &outside.contacts {
            if let Some(contact) = self.state.contacts.get_mut(id) {
                contact.outside = value;
            }
        }
        for &(id, open) in &outside.gates {
            self.gate(id, open);
        }
        self.arrivals();
        let mut commands = outside.commands.as_slice();
        let areas_due = self.areas_due();
        for round in 0..=ROUNDS {
            self.levels(round == 0);
            if round == 0 {
                self.expire();
            }
            self.register();
            self.watch_busy(1);
            let again = self.outputs();
            self.areas(commands, if round == 0 { Some(&areas_due) } else { None });
            commands = &[];
            if !again {
                return Settled::Yes;
            }
        }
        self.tell(What::NeverSettles);
        Settled::Never
    }

    fn tell(&mut self, what: What) {
        (self.log)(Event { at: self.now, what });
    }

    /// Opens or closes a gate; an opening is a new arming.
    fn gate(&mut self, gate: GateId, open: bool) {
        let Some(value) = self.state.gates.get_mut(gate) else { return };
        if *value == open {
            return;
        }
        *value = open;
        for (id, zone) in self.system.zones.iter() {
            if self.system.zone_gate.get(id) != Some(&gate) {
                continue;
            }
            if let Some(memory) = self.state.zones.get_mut(id) {
                memory.entry = None;
                memory.waiting = None;
                memory.exit = None;
                if open {
                    memory.count = 0;
                    state::set(&mut memory.exit, self.now, zone.exit);
                }
            }
            self.tell(if open { What::Armed { zone: id } } else { What::Disarmed { zone: id } });
        }
    }

    /// Feedback that arrives now.
    fn arrivals(&mut self) {
        let now = self.now;
        for feedback in self.state.feedback.values_mut() {
            let due = feedback.changes.iter().take_while(|change| change.due <= now).count();
            feedback.changes.drain(..due);
            feedback.value ^= due % 2 == 1;
        }
    }

    /// Raw levels, and what the controller takes note of.
    fn levels(&mut self, first: bool) {
        for (id, contact) in self.system.contacts.iter() {
            let fed = links::at(&self.links.into, id)
                .iter()
                .any(|&path| self.state.feedback.get(path).is_some_and(|path| path.value));
            let Some(memory) = self.state.contacts.get_mut(id) else { continue };
            let raw = memory.outside | fed;
            let changed = raw != memory.raw;
            // Only what was set before this instant can be due in it.
            let mut settles = first && state::take_due(&mut memory.settling, self.now) && !changed;
            if changed {
                memory.raw = raw;
                memory.settling = None;
                if raw != memory.settled {
                    let settle = if raw { contact.settle_on } else { contact.settle_off };
                    state::set(&mut memory.settling, self.now, settle);
                    settles = settle == 0;
                }
            }
            if settles {
                memory.settled = raw;
            }
            if let Some(rose) = self.rose.get_mut(id) {
                *rose = settles && raw;
            }
            if changed {
                self.tell(What::Level { contact: id, active: raw });
            }
            if settles {
                self.tell(What::Settled { contact: id, active: raw });
            }
        }
    }

    /// On-times, memories and blocks that end now; then the effects whose delay ends now.
    fn expire(&mut self) {
        let now = self.now;
        for run in self.state.drives.values_mut() {
            if let Run::Until(timer) = run
                && timer.due <= now
            {
                *run = Run::Still;
            }
        }
        for output in self.state.outputs.values_mut() {
            state::take_due(&mut output.blocked, now);
        }
        for response in self.state.responses.values_mut() {
            for memory in &mut response.memory {
                state::take_due(memory, now);
            }
        }
        self.expire_zones();
        self.delayed_effects();
        self.watch_busy(0);
    }

    /// Outputs that change; true when the instant must settle again.
    fn outputs(&mut self) -> bool {
        let mut again = false;
        for id in self.system.outputs.ids() {
            let on = self.output_on(id);
            let Some(memory) = self.state.outputs.get_mut(id) else { continue };
            if memory.on == on {
                continue;
            }
            memory.on = on;
            self.tell(What::Output { output: id, on });
            for &path in links::at(&self.links.back, id) {
                let Some(feedback) = self.system.feedback.get(path) else { continue };
                let Some(memory) = self.state.feedback.get_mut(path) else { continue };
                if feedback.delay == 0 {
                    memory.value = on ^ feedback.inverted;
                    again = true;
                } else {
                    let due = self.now + feedback.delay;
                    memory.changes.push(Timer { due, tag: 0 });
                }
            }
        }
        again
    }
    /// What an output shows, from its mode and its on-times.
    fn output_on(&self, id: OutputId) -> bool {
        match self.system.outputs.get(id).map(|output| output.mode) {
            Some(Mode::ForcedOn) => true,
            Some(Mode::ForcedOff) | None => false,
            Some(Mode::Automatic) => {
                let memory = self.state.outputs.get(id);
                memory.is_none_or(|memory| memory.blocked.is_none())
                    && self.runs_any(links::at(&self.links.of_output, id))
            }
        }
    }

    fn runs_any(&self, drives: &[DriveId]) -> bool {
        drives.iter().any(|&drive| self.state.drives.at(drive, Run::Still) != Run::Still)
    }
}
