//! From a registration to effects.

use super::Step;
use crate::player::What;
use crate::state::{self, Run, Timer};
use crate::system::{Causes, Effect, ResponseId, ZoneId};

impl Step<'_> {
    /// A zone has registered: every response that it causes goes ahead, at once or later.
    pub(super) fn respond(&mut self, zone: ZoneId) {
        let system = self.system;
        for (id, response) in system.responses.iter() {
            let zones = response.causes.zones();
            let Some(cause) = zones.iter().position(|&other| other == zone) else { continue };
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
                Effect::Off { output, hold } => {
                    for (drive, _) in system.drives.iter().filter(|(_, d)| d.output == *output) {
                        if let Some(run) = self.state.drives.get_mut(drive) {
                            *run = Run::Still;
                        }
                    }
                    if let Some(memory) = self.state.outputs.get_mut(*output)
                        && *hold > 0
                    {
                        state::set(&mut memory.blocked, self.now, *hold);
                    }
                }
                Effect::Note { note } => self.tell(What::Noted { response: id, note: *note }),
            }
        }
    }

    fn drive(&mut self, response: ResponseId, cause: usize, effect: usize) {
        let wanted = system_drives(self, response, cause, effect);
        let Some((id, length, retriggered)) = wanted else { return };
        let Some(run) = self.state.drives.get_mut(id) else { return };
        match length {
            None => *run = Run::ForEver,
            Some(length) if length > 0 && (*run == Run::Still || retriggered) => {
                *run = Run::Until(Timer { due: self.now + length, tag: 0 });
            }
            Some(_) => {}
        }
    }

    pub(super) fn drive_runs(&self, zone: ZoneId) -> bool {
        let mut mine = self.system.drives.iter().filter(|(_, drive)| drive.zone == zone);
        mine.any(|(id, _)| self.state.drives.at(id, Run::Still) != Run::Still)
    }

    pub(super) fn effect_waits(&self, zone: ZoneId) -> bool {
        self.system.responses.iter().any(|(id, response)| {
            let cause = response.causes.zones().iter().position(|&other| other == zone);
            let delayed = self.state.responses.get(id).zip(cause);
            let delayed = delayed.and_then(|(memory, cause)| memory.delayed.get(cause));
            delayed.is_some_and(|delayed| !delayed.is_empty())
        })
    }
}

fn system_drives(
    step: &Step<'_>,
    response: ResponseId,
    cause: usize,
    effect: usize,
) -> Option<(crate::system::DriveId, Option<crate::Ms>, bool)> {
    let mut drives = step.system.drives.iter();
    let (id, drive) = drives.find(|(_, drive)| {
        drive.response == response && drive.cause == cause && drive.effect == effect
    })?;
    Some((id, drive.length, drive.retriggered))
}
