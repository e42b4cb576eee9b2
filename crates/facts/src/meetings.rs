//! Which registrations of a zone a response answers, by their schedules.

use crate::Hours;
use curtilage_model::ScheduleRef;

/// Which registrations of a zone a response answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Brings {
    /// Every one.
    Each,
    /// Those at some hours.
    AtTimes,
    /// Those that come with other causes as well.
    WithOthers,
    /// None: its hours and those of the zone have no minute in common.
    None,
}

/// What is known of pairs of schedules, that of arming and that of a response: many zones and responses
/// have the same two, and each pair is worked out once.
pub(crate) struct Meetings<'h> {
    hours: &'h Hours,
    known: Vec<((ScheduleRef, ScheduleRef), Brings)>,
}

impl<'h> Meetings<'h> {
    pub(crate) fn of(hours: &'h Hours) -> Self {
        Self { hours, known: Vec::new() }
    }

    /// The hours on which they rest.
    pub(crate) fn hours(&self) -> &'h Hours {
        self.hours
    }

    /// Which registrations while `armed` are answered `during` a schedule.
    pub(crate) fn brings(&mut self, armed: ScheduleRef, during: ScheduleRef) -> Brings {
        if let Some((_, brings)) = self.known.iter().find(|(pair, _)| *pair == (armed, during)) {
            return *brings;
        }
        let within = || {
            let (armed, during) = (self.hours.covered(armed)?, self.hours.covered(during)?);
            let known = armed.dates.is_some() && during.dates.is_some();
            known.then(|| armed.minus(&during).is_empty())
        };
        let brings = if within() == Some(true) {
            Brings::Each
        } else if self.hours.never_meet(armed, during) == Some(true) {
            Brings::None
        } else {
            Brings::AtTimes
        };
        self.known.push(((armed, during), brings));
        brings
    }
}
