//! Makes a system, and refuses one that has no meaning.

use std::fmt;

use super::{
    Area, AreaId, Causes, Contact, ContactId, Drive, Effect, Feedback, GateId, Output, OutputId,
    Response, ResponseId, Span, System, Table, Windows, Zone, ZoneId,
};
use crate::{LONGEST, Ms};

/// Gathers the parts of a [`System`]; each call gives the id of what it added.
#[derive(Debug, Clone, Default)]
pub struct Builder {
    contacts: Vec<Contact>,
    zones: Vec<Zone>,
    responses: Vec<Response>,
    outputs: Vec<Output>,
    feedback: Vec<Feedback>,
    areas: Vec<Area>,
}

/// Why a system has no meaning. Places are the order in which the parts were added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum BuildError {
    /// An id that this builder did not give, in the named part.
    UnknownId(&'static str, usize),
    /// A duration below 0 or above [`LONGEST`], in the named part.
    DurationOutOfRange(&'static str, usize),
    /// Windows that are not ascending, apart, and in range, in the named part.
    WindowsNotSound(&'static str, usize),
    /// A response that names a zone twice, or an area a contact.
    NamedTwice(&'static str, usize),
    /// A response without a cause.
    NoCause(usize),
    /// A zone that is to confirm itself.
    ConfirmsItself(usize),
    /// A contact whose shortest activation is longer than its longest.
    ShortestOverLongest(usize),
}

impl fmt::Display for BuildError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownId(part, place) => write!(f, "{part} {place} names an unknown part"),
            Self::DurationOutOfRange(part, place) => {
                write!(f, "{part} {place} has a duration out of range")
            }
            Self::WindowsNotSound(part, place) => {
                write!(f, "{part} {place} has windows out of order or range")
            }
            Self::NamedTwice(part, place) => write!(f, "{part} {place} names a part twice"),
            Self::NoCause(place) => write!(f, "response {place} has no cause"),
            Self::ConfirmsItself(place) => write!(f, "zone {place} confirms itself"),
            Self::ShortestOverLongest(place) => {
                write!(f, "contact {place} stays active longer than it can")
            }
        }
    }
}

impl std::error::Error for BuildError {}

impl Builder {
    /// An empty builder.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a contact.
    pub fn contact(&mut self, contact: Contact) -> ContactId {
        add(&mut self.contacts, contact)
    }

    /// Adds a zone.
    pub fn zone(&mut self, zone: Zone) -> ZoneId {
        add(&mut self.zones, zone)
    }

    /// Adds an output.
    pub fn output(&mut self, output: Output) -> OutputId {
        add(&mut self.outputs, output)
    }

    /// Adds a response.
    pub fn response(&mut self, response: Response) -> ResponseId {
        add(&mut self.responses, response)
    }

    /// Adds a feedback path.
    pub fn feedback(&mut self, feedback: Feedback) {
        self.feedback.push(feedback);
    }

    /// Adds an area.
    pub fn area(&mut self, area: Area) -> AreaId {
        add(&mut self.areas, area)
    }

    /// The system.
    ///
    /// # Errors
    ///
    /// The first [`BuildError`] found, contacts first, then zones, responses, feedback, areas.
    pub fn build(self) -> Result<System, BuildError> {
        self.check()?;
        let mut gates = Table::new();
        let mut gate = |windows: &Windows| {
            let known = gates.iter().find(|(_, other)| *other == windows).map(|(id, _)| id);
            known.unwrap_or_else(|| gates.push(windows.clone()))
        };
        let zone_gate: Vec<GateId> = self.zones.iter().map(|zone| gate(&zone.armed)).collect();
        let response_gate = self.responses.iter().map(|response| gate(&response.during)).collect();
        let zones = Table::from_vec(self.zones);
        let responses = Table::from_vec(self.responses);
        let outputs = Table::from_vec(self.outputs);
        Ok(System {
            contacts: Table::from_vec(self.contacts),
            drives: drives(&zones, &responses, &outputs),
            zones,
            responses,
            outputs,
            feedback: Table::from_vec(self.feedback),
            areas: Table::from_vec(self.areas),
            gates,
            zone_gate: Table::from_vec(zone_gate),
            response_gate: Table::from_vec(response_gate),
        })
    }

    fn check(&self) -> Result<(), BuildError> {
        for (place, contact) in self.contacts.iter().enumerate() {
            let longest = contact.longest.unwrap_or(contact.shortest);
            let times = [contact.settle_on, contact.settle_off, contact.shortest, longest];
            durations("contact", place, &times)?;
            if contact.longest.is_some_and(|longest| longest < contact.shortest.max(1)) {
                return Err(BuildError::ShortestOverLongest(place));
            }
        }
        for (place, zone) in self.zones.iter().enumerate() {
            self.check_zone(place, zone)?;
        }
        for (place, response) in self.responses.iter().enumerate() {
            self.check_response(place, response)?;
        }
        for (place, feedback) in self.feedback.iter().enumerate() {
            known("feedback", place, feedback.output.index(), self.outputs.len())?;
            known("feedback", place, feedback.contact.index(), self.contacts.len())?;
            durations("feedback", place, &[feedback.delay])?;
        }
        for (place, area) in self.areas.iter().enumerate() {
            durations("area", place, &[area.exit, area.entry])?;
            for member in &area.members {
                known("area", place, member.contact.index(), self.contacts.len())?;
            }
            let members = area.members.iter().map(|member| member.contact.index());
            distinct("area", place, members)?;
        }
        Ok(())
    }

    fn check_zone(&self, place: usize, zone: &Zone) -> Result<(), BuildError> {
        use super::{Again, Registration};
        known("zone", place, zone.contact.index(), self.contacts.len())?;
        durations("zone", place, &[zone.lockout, zone.exit, zone.entry])?;
        if let Registration::Level(Again::AfterOnTime { gap }) = zone.registration {
            durations("zone", place, &[gap])?;
        }
        windows("zone", place, &zone.armed)?;
        if let Some(confirm) = &zone.confirmed {
            known("zone", place, confirm.by.index(), self.zones.len())?;
            durations("zone", place, &[confirm.within])?;
            if confirm.by.index() == place {
                return Err(BuildError::ConfirmsItself(place));
            }
        }
        Ok(())
    }

    fn check_response(&self, place: usize, response: &Response) -> Result<(), BuildError> {
        durations("response", place, &[response.delay])?;
        windows("response", place, &response.during)?;
        if let Causes::All { within, .. } = response.causes {
            durations("response", place, &[within])?;
        }
        if response.causes.zones().is_empty() {
            return Err(BuildError::NoCause(place));
        }
        for zone in response.causes.zones() {
            known("response", place, zone.index(), self.zones.len())?;
        }
        distinct("response", place, response.causes.zones().iter().map(|zone| zone.index()))?;
        for effect in &response.effects {
            if let Some(output) = effect.output() {
                known("response", place, output.index(), self.outputs.len())?;
            }
            if let Effect::On { hold, .. } | Effect::Off { hold, .. } = effect {
                durations("response", place, &[*hold])?;
            }
        }
        Ok(())
    }
}

fn add<I: super::ids::Id, T>(list: &mut Vec<T>, item: T) -> I {
    list.push(item);
    I::from_index(list.len() - 1)
}

fn drives(
    zones: &Table<ZoneId, Zone>,
    responses: &Table<ResponseId, Response>,
    outputs: &Table<OutputId, Output>,
) -> Table<super::DriveId, Drive> {
    let mut drives = Table::new();
    for (id, response) in responses.iter() {
        for (cause, &zone) in response.causes.zones().iter().enumerate() {
            let lockout = zones.get(zone).map_or(0, |zone| zone.lockout);
            for (effect, what) in response.effects.iter().enumerate() {
                let (output, length, retriggered) = match what {
                    Effect::On { output, hold, on_time } => {
                        let own = || outputs.get(*output).map(|output| output.on_time);
                        let on_time = on_time.or_else(own);
                        let span = on_time.map_or(Span::Hold, |on_time| on_time.span);
                        let retriggered = on_time.is_some_and(|on_time| on_time.retriggered);
                        (*output, Some(span.length(lockout, *hold)), retriggered)
                    }
                    Effect::Latch { output } => (*output, None, false),
                    Effect::Off { .. } | Effect::Note { .. } => continue,
                };
                let response = id;
                drives.push(Drive { response, zone, cause, effect, output, length, retriggered });
            }
        }
    }
    drives
}

fn known(part: &'static str, place: usize, id: usize, len: usize) -> Result<(), BuildError> {
    if id < len { Ok(()) } else { Err(BuildError::UnknownId(part, place)) }
}

fn durations(part: &'static str, place: usize, times: &[Ms]) -> Result<(), BuildError> {
    let sound = times.iter().all(|time| (0..=LONGEST).contains(time));
    if sound { Ok(()) } else { Err(BuildError::DurationOutOfRange(part, place)) }
}

fn windows(part: &'static str, place: usize, windows: &Windows) -> Result<(), BuildError> {
    if windows.is_sound() { Ok(()) } else { Err(BuildError::WindowsNotSound(part, place)) }
}

fn distinct(
    part: &'static str,
    place: usize,
    ids: impl Iterator<Item = usize>,
) -> Result<(), BuildError> {
    let mut ids: Vec<usize> = ids.collect();
    ids.sort_unstable();
    let twice = ids.iter().zip(ids.iter().skip(1)).any(|(a, b)| a == b);
    if twice { Err(BuildError::NamedTwice(part, place)) } else { Ok(()) }
}
