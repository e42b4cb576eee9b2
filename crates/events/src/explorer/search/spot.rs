//! The facts of a state that are not times, and the times beside them.

use crate::state::{self, State, Timer};
use crate::system::{Contact, ContactId, System};

/// A state with its times taken out: each timer is only there or not there.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Spot {
    pub(super) state: State,
    /// For each contact, what its sensor can do next.
    sensors: Vec<Sensor>,
}

/// How long a sensor must and can stay active.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
struct Sensor {
    /// It must still stay active.
    must: Option<Timer>,
    /// It can stay active until then.
    can: Option<Timer>,
}

/// What the contacts may do in an instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Choices {
    /// Contacts that have to go to rest.
    pub(super) forced: Vec<(ContactId, bool)>,
    /// Contacts that may change, and to what.
    pub(super) free: Vec<(ContactId, bool)>,
}

impl Spot {
    /// A first state; `timed` when the sensors keep to their shortest and longest times.
    pub(super) fn new(system: &System, state: State, timed: bool) -> Self {
        let sensors = system.contacts.iter().map(|_| Sensor::default()).collect();
        let mut spot = Self { state, sensors };
        for (id, contact) in system.contacts.iter() {
            if timed && contact.starts_active {
                spot.activated(id, contact, 0);
            }
        }
        spot
    }

    pub(super) fn each_timer(&mut self, mut visit: impl FnMut(&mut Timer)) {
        self.state.each_timer(&mut visit);
        for sensor in &mut self.sensors {
            sensor.must.iter_mut().for_each(&mut visit);
            sensor.can.iter_mut().for_each(&mut visit);
        }
    }

    /// The places of the timers, in the order of [`Spot::each_timer`]; the sensors' own, which an
    /// input ends, come last and have none.
    pub(super) fn places(&mut self) -> Vec<usize> {
        let mut places = Vec::new();
        self.state.each_placed_timer(|place, _| places.push(place));
        places
    }

    /// Ends what is due for the sensors, and says what they may do now.
    pub(super) fn choices(&mut self, system: &System, now: crate::Ms) -> Choices {
        let mut choices = Choices { forced: Vec::new(), free: Vec::new() };
        for ((id, _), sensor) in system.contacts.iter().zip(&mut self.sensors) {
            let active = self.state.contacts.get(id).is_some_and(|contact| contact.outside);
            state::take_due(&mut sensor.must, now);
            if state::take_due(&mut sensor.can, now) {
                choices.forced.push((id, false));
            } else if sensor.must.is_none() {
                choices.free.push((id, !active));
            }
        }
        choices
    }

    /// The contact's sensor follows a change.
    pub(super) fn follows(&mut self, system: &System, id: ContactId, active: bool, now: crate::Ms) {
        if let Some(sensor) = self.sensors.get_mut(id.index()) {
            *sensor = Sensor::default();
        }
        if active && let Some(contact) = system.contacts.get(id) {
            self.activated(id, contact, now);
        }
    }

    fn activated(&mut self, id: ContactId, contact: &Contact, now: crate::Ms) {
        if let Some(sensor) = self.sensors.get_mut(id.index()) {
            // A millisecond passes between two instants anyway.
            let must = if contact.shortest > 1 { contact.shortest } else { 0 };
            state::set(&mut sensor.must, now, must);
            state::set(&mut sensor.can, now, contact.longest.unwrap_or(0));
        }
    }

    /// The one contact that is active, `Some(None)` for none, `None` for several.
    pub(super) fn holder(&self) -> Option<Option<ContactId>> {
        let mut active = self.state.contacts.iter().filter(|(_, contact)| contact.outside);
        let first = active.next().map(|(id, _)| id);
        active.next().is_none().then_some(first)
    }
}
