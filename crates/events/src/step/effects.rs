//! From a registration to effects.

use super::{Step, links};
use crate::player::What;
use crate::state::{self, Run, Timer};
use crate::system::{Causes, Effect, ResponseId, ZoneId};

impl Step<'_> {
    /// A zone has registered: every response that it causes goes ahead, at once or later.
    pub(super) fn respond(&mut self, zone: ZoneId) {
        let system = self.system;
        for &(id, cause) in links::at(&self.links.caused_by, zone) {
            let Some(response) = system.responses.get(id) else { continue };
            if !self.caused(id, &response.causes, cause) {
                continue;
            }
            let gate = system.response_gate.get(id);
            if !gate.is_some_and(|gate| self.state.gates.at(*gate, false)) {
                self.tell(What::OutsideHours { response: id });
            } else if response.delay == 0 {
                self.take_effect(id, cause);
            } else {
                let due = self.now + response.delay;
                let memory = self.state.responses.get_mut(id);
                if let Some(delayed) = memory.and_then(|memory| memory.delayed.get_mut(cause)) {
                    delayed.push(Timer { due, tag: 0 });
                }
            }
        }
    }

    /// Whether this registration causes the response; remembers it if others must still come.
    fn caused(&mut self, id: ResponseId, causes: &Causes, cause: usize) -> bool {
        let Causes::All { within, .. } = causes else { return true };
        let Some(memory) = self.state.responses.get_mut(id) else { return false };
        if let Some(mine) = memory.memory.get_mut(cause) {
            state::set(mine, self.now, within + 1);
        }
        let all = memory.memory.iter().all(Option::is_some);
        if all {
            memory.memory.fill(None);
        }
        all
    }

    /// Effects whose delay ends now, by response and cause.
    pub(super) fn delayed_effects(&mut self) {
        let now = self.now;
        for id in self.system.responses.ids() {
            let causes = self.state.responses.get(id).map_or(0, |memory| memory.delayed.len());
            for cause in 0..causes {
                let memory = self.state.responses.get_mut(id);
                let Some(delayed) = memory.and_then(|memory| memory.delayed.get_mut(cause)) else {
                    continue;
                };
                let due = delayed.iter().take_while(|timer| timer.due <= now).count();
                delayed.drain(..due);
                for _ in 0..due {
                    self.take_effect(id, cause);
                }
            }
        }
    }

    fn take_effect(&mut self, id: ResponseId, cause: usize) {
        let system = self.system;
        let Some(response) = system.responses.get(id) else { return };
        for (place, effect) in response.effects.iter().enumerate() {
            match effect {
                Effect::On { .. } | Effect::Latch { .. } => self.drive(id, cause, place),
                // For good: what keeps it on ends.
                Effect::Off { output, hold: 0 } => {
                    for &drive in links::at(&self.links.of_output, *output) {
                        if let Some(run) = self.state.drives.get_mut(drive) {
                            *run = Run::Still;
                        }
                    }
                }
                // For a time: what keeps it on runs on, so that it goes back.
                Effect::Off { output, hold } => {
                    if let Some(memory) = self.state.outputs.get_mut(*output) {
                        state::set(&mut memory.blocked, self.now, *hold);
                    }
                }
                Effect::Note { note } => self.tell(What::Noted { response: id, note: *note }),
            }
        }
    }

    fn drive(&mut self, response: ResponseId, cause: usize, effect: usize) {
        let mut driven = links::at(&self.links.drives, response).iter();
        let Some(driven) = driven.find(|it| (it.cause, it.effect) == (cause, effect)) else {
            return;
        };
        let id = driven.drive;
        let Some(drive) = self.system.drives.get(id) else { return };
        let Some(run) = self.state.drives.get_mut(id) else { return };
        match drive.length {
            None => *run = Run::ForEver,
            Some(length) if length > 0 && (*run == Run::Still || drive.retriggered) => {
                *run = Run::Until(Timer { due: self.now + length, tag: 0 });
            }
            Some(_) => {}
        }
    }

    pub(super) fn drive_runs(&self, zone: ZoneId) -> bool {
        self.runs_any(links::at(&self.links.of_zone, zone))
    }

    pub(super) fn effect_waits(&self, zone: ZoneId) -> bool {
        links::at(&self.links.caused_by, zone).iter().any(|&(id, cause)| {
            let memory = self.state.responses.get(id);
            let delayed = memory.and_then(|memory| memory.delayed.get(cause));
            delayed.is_some_and(|delayed| !delayed.is_empty())
        })
    }
}
