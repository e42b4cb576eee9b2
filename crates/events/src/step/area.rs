//! Areas: exit, entry and alarm.

use super::Step;
use crate::player::{AlarmCause, What};
use crate::state::{self, AreaPhase};
use crate::system::{Area, AreaCommand, AreaId, MemberKind};

impl Step<'_> {
    /// Areas whose exit or entry time ends now.
    pub(super) fn areas_due(&mut self) -> Vec<bool> {
        let now = self.now;
        self.state.areas.values_mut().map(|area| state::take_due(&mut area.timer, now)).collect()
    }

    pub(super) fn areas(&mut self, commands: &[(AreaId, AreaCommand)], due: Option<&[bool]>) {
        let system = self.system;
        for (id, area) in system.areas.iter() {
            let mut due = due.and_then(|due| due.get(id.index())).copied().unwrap_or(false);
            for &(_, command) in commands.iter().filter(|(other, _)| *other == id) {
                due &= !self.command(id, area, command);
            }
            match self.phase(id) {
                // All commands of an instant come before its expiries: one that arms and one that
                // disarms at once leave the area off, also when it has no exit time.
                AreaPhase::Exit if due || area.exit == 0 => self.enter(id, AreaPhase::On, 0),
                AreaPhase::Entry if due => self.alarm(id, AlarmCause::EntryOver),
                _ => {}
            }
            for member in &area.members {
                if !self.rose.at(member.contact, false) {
                    continue;
                }
                match (member.kind, self.phase(id)) {
                    (MemberKind::Instant, AreaPhase::On | AreaPhase::Entry) => {
                        self.alarm(id, AlarmCause::Contact(member.contact));
                    }
                    (MemberKind::Delayed, AreaPhase::On) => {
                        self.enter(id, AreaPhase::Entry, area.entry);
                        self.tell(What::AreaEntry { area: id, contact: member.contact });
                        if area.entry == 0 {
                            self.alarm(id, AlarmCause::EntryOver);
                        }
                    }
                    _ => {}
                }
            }
        }
    }

    /// Obeys a command; true when it did something.
    fn command(&mut self, id: AreaId, area: &Area, command: AreaCommand) -> bool {
        match (command, self.phase(id)) {
            (AreaCommand::Arm, AreaPhase::Off) => {
                self.enter(id, AreaPhase::Exit, area.exit);
                true
            }
            (AreaCommand::Disarm, phase) if phase != AreaPhase::Off => {
                self.enter(id, AreaPhase::Off, 0);
                true
            }
            _ => false,
        }
    }

    fn phase(&self, id: AreaId) -> AreaPhase {
        self.state.areas.get(id).map_or(AreaPhase::Off, |area| area.phase)
    }

    fn enter(&mut self, id: AreaId, phase: AreaPhase, length: crate::Ms) {
        let now = self.now;
        if let Some(area) = self.state.areas.get_mut(id) {
            area.phase = phase;
            state::set(&mut area.timer, now, length);
        }
        match phase {
            AreaPhase::Off => self.tell(What::AreaOff { area: id }),
            AreaPhase::Exit => self.tell(What::AreaExit { area: id }),
            AreaPhase::On => self.tell(What::AreaOn { area: id }),
            AreaPhase::Entry | AreaPhase::Alarm => {}
        }
    }

    fn alarm(&mut self, id: AreaId, cause: AlarmCause) {
        self.enter(id, AreaPhase::Alarm, 0);
        self.tell(What::AreaAlarm { area: id, cause });
    }
}
