//! From an active contact to a registration.

use super::{Step, links};
use crate::player::{Refusal, What};
use crate::state;
use crate::system::{Again, LockoutEnd, Registration, Zone, ZoneId};

/// What a zone's contact asks for in this round.
#[derive(Clone, Copy)]
struct Wish {
    /// The contact was activated.
    edge: bool,
    /// The contact is still active, and the zone may register for that.
    held: bool,
}

impl Step<'_> {
    pub(super) fn register(&mut self) {
        let system = self.system;
        for (id, zone) in system.zones.iter() {
            let memory = self.state.zones.get_mut(id);
            if memory.is_some_and(|memory| std::mem::take(&mut memory.entered)) {
                self.admit(id);
            }
            let wish = self.wish(id, zone);
            if wish.edge || wish.held {
                self.activate(id, zone, wish);
            }
        }
    }

    fn wish(&self, id: ZoneId, zone: &Zone) -> Wish {
        let settled = self.state.contacts.get(zone.contact).is_some_and(|contact| contact.settled);
        let memory = self.state.zones.get(id);
        let free = match zone.registration {
            Registration::Edge => false,
            Registration::Level(Again::AfterLockout) => true,
            Registration::Level(Again::AfterOnTime { .. }) => {
                memory.is_some_and(|memory| !memory.busy && memory.gap.is_none())
            }
        };
        Wish { edge: self.rose.at(zone.contact, false), held: settled && free }
    }

    /// Makes up for the milliseconds since the last instant in which held contacts only asked again.
    pub(super) fn keep_waiting(&mut self) {
        for &id in &self.links.patient {
            let Some(zone) = self.system.zones.get(id) else { continue };
            if self.only_waits(id, zone)
                && let Some(confirm) = &zone.confirmed
                && let Some(memory) = self.state.zones.get_mut(id)
            {
                // As it was set a millisecond ago.
                state::set(&mut memory.waiting, self.now, confirm.within);
            }
        }
    }

    /// Whether all that comes of a held contact is that the zone goes on waiting to be confirmed. Those
    /// milliseconds are not played one by one: an hour has millions.
    fn only_waits(&self, id: ZoneId, zone: &Zone) -> bool {
        self.links.patient.contains(&id)
            && self.state.zones.get(id).is_some_and(|memory| memory.waiting.is_some())
            && self.wish(id, zone).held
    }

    /// An activation counts, or is refused.
    fn activate(&mut self, id: ZoneId, zone: &Zone, wish: Wish) {
        let now = self.now;
        let gate = self.system.zone_gate.get(id);
        let armed = gate.is_some_and(|gate| self.state.gates.at(*gate, false));
        if wish.edge && self.at_lockout_end(id, zone) && armed && self.counts_after(id, zone) {
            self.tell(What::OnEquality { zone: id });
        }
        let only_waits = !wish.edge && self.only_waits(id, zone);
        let Some(memory) = self.state.zones.get_mut(id) else { return };
        let refusal = if !armed {
            Some(Refusal::NotArmed)
        } else if memory.exit.is_some() {
            Some(Refusal::Exit)
        } else if memory.lock.is_some() {
            if wish.edge && zone.lockout_restarts {
                state::set(&mut memory.lock, now, zone.deaf_for());
            }
            Some(Refusal::Lockout)
        } else if zone.limit.is_some_and(|limit| memory.count >= limit) {
            Some(Refusal::Limit)
        } else if memory.entry.is_some() {
            Some(Refusal::Entry)
        } else {
            None
        };
        if let Some(why) = refusal {
            if wish.edge {
                self.tell(What::Refused { zone: id, why });
            }
            return;
        }
        if only_waits {
            self.waits.push(id);
            return self.admit(id);
        }
        state::set(&mut memory.lock, now, zone.deaf_for());
        if zone.entry > 0 {
            state::set(&mut memory.entry, now, zone.entry);
            self.tell(What::EntryBegins { zone: id });
        } else {
            self.admit(id);
        }
    }

    /// Whether an activation counts now if the lockout is over.
    fn counts_after(&self, id: ZoneId, zone: &Zone) -> bool {
        self.state.zones.get(id).is_some_and(|memory| {
            memory.exit.is_none()
                && memory.entry.is_none()
                && zone.limit.is_none_or(|limit| memory.count < limit)
        })
    }

    /// Whether this is the instant that ends the lockout in one reading and not in another. It is
    /// only told, nothing is decided by it.
    fn at_lockout_end(&self, id: ZoneId, zone: &Zone) -> bool {
        let lock = self.state.zones.get(id).and_then(|memory| memory.lock);
        zone.lockout > 0
            && match zone.lockout_end {
                LockoutEnd::Accepts => self.unlocked.contains(&id),
                LockoutEnd::Rejects => lock.is_some_and(|lock| lock.due == self.now + 1),
            }
    }

    /// An activation has counted: it registers, or waits to be confirmed, and may confirm others.
    fn admit(&mut self, id: ZoneId) {
        let system = self.system;
        let now = self.now;
        let confirm = system.zones.get(id).and_then(|zone| zone.confirmed.as_ref());
        match (confirm, self.state.zones.get_mut(id)) {
            (Some(confirm), Some(memory)) if memory.heard.is_none() => {
                // A held contact asks again and again: that it waits is told once.
                let begins = memory.waiting.is_none();
                state::set(&mut memory.waiting, now, confirm.within + 1);
                if begins {
                    self.tell(What::Unconfirmed { zone: id });
                }
            }
            _ => self.registers(id),
        }
        for &other in links::at(&self.links.confirms, id) {
            let confirm = system.zones.get(other).and_then(|zone| zone.confirmed.as_ref());
            let Some(confirm) = confirm else { continue };
            let Some(memory) = self.state.zones.get_mut(other) else { continue };
            state::set(&mut memory.heard, now, confirm.within + 1);
            if memory.waiting.take().is_some() {
                // It asked in this very instant, and is deaf for it as any other.
                if self.waits.contains(&other) {
                    state::set(&mut memory.lock, now, 1);
                }
                self.registers(other);
            }
        }
    }

    fn registers(&mut self, id: ZoneId) {
        let limit = self.system.zones.get(id).and_then(|zone| zone.limit);
        if let Some(memory) = self.state.zones.get_mut(id)
            && let Some(limit) = limit
        {
            // An entry time and a confirmation can both be under way when the limit is met.
            if memory.count >= limit {
                self.tell(What::Refused { zone: id, why: Refusal::Limit });
                return;
            }
            memory.count += 1;
        }
        self.tell(What::Registered { zone: id });
        self.respond(id);
    }

    /// The zones' own timers that are due now.
    pub(super) fn expire_zones(&mut self) {
        let now = self.now;
        for id in self.system.zones.ids() {
            let Some(memory) = self.state.zones.get_mut(id) else { continue };
            if state::take_due(&mut memory.lock, now) {
                self.unlocked.push(id);
            }
            state::take_due(&mut memory.gap, now);
            state::take_due(&mut memory.exit, now);
            state::take_due(&mut memory.heard, now);
            state::take_due(&mut memory.waiting, now);
            memory.entered = state::take_due(&mut memory.entry, now);
        }
    }

    /// Sees which zones have nothing running any more, and starts their gap.
    ///
    /// What ends before the registrations of an instant frees a zone in that instant; what ends
    /// after them (`least` 1) frees it in the next millisecond.
    pub(super) fn watch_busy(&mut self, least: crate::Ms) {
        let system = self.system;
        for (id, zone) in system.zones.iter() {
            let Registration::Level(Again::AfterOnTime { gap }) = zone.registration else {
                continue;
            };
            let running = self.runs(id);
            let Some(memory) = self.state.zones.get_mut(id) else { continue };
            if running {
                memory.gap = None;
            } else if memory.busy {
                state::set(&mut memory.gap, self.now, gap.max(least));
            }
            memory.busy = running;
        }
    }

    fn runs(&self, id: ZoneId) -> bool {
        let memory = self.state.zones.get(id);
        memory.is_some_and(|memory| memory.entry.is_some() || memory.entered)
            || self.drive_runs(id)
            || self.effect_waits(id)
    }
}
