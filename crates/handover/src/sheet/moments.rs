//! The parts of an ordinary week in which the same schedules count. What one activation sets off
//! answers in one of them: a response by day and one by night need two.

use curtilage_facts::{Facts, WeekSet};
use curtilage_model::{Cause, Model, ScheduleRef};

/// The most parts, about: no site has so many, and a search over more would not end.
const MOST: usize = 200;

/// A part of the week, and the schedules that cover it.
struct Moment {
    week: WeekSet,
    counting: Vec<ScheduleRef>,
}

/// The week in parts.
pub(super) struct Moments {
    list: Vec<Moment>,
    /// A schedule whose hours are not known is none of these: it may count at any time.
    known: Vec<ScheduleRef>,
}

impl Moments {
    pub(super) fn of(facts: &Facts<'_, '_>) -> Self {
        let mut out = Self {
            list: vec![Moment { week: WeekSet::full(), counting: Vec::new() }],
            known: Vec::new(),
        };
        for schedule in used(facts.model) {
            let Some(hours) = facts.hours.ordinary(schedule) else { continue };
            if out.known.contains(&schedule) || out.list.len() > MOST {
                continue;
            }
            out.known.push(schedule);
            let parts = std::mem::take(&mut out.list).into_iter().flat_map(|moment| {
                let mut counting = moment.counting.clone();
                counting.push(schedule);
                let within = Moment { week: moment.week.intersection(hours), counting };
                let without = Moment { week: moment.week.minus(hours), ..moment };
                [within, without]
            });
            out.list = parts.filter(|moment| !moment.week.is_empty()).collect();
        }
        out
    }

    /// How many there are: one at least.
    pub(super) fn count(&self) -> usize {
        self.list.len()
    }

    /// Whether a schedule counts in a moment; none when that is not known.
    pub(super) fn counts(&self, at: usize, schedule: ScheduleRef) -> Option<bool> {
        let moment = self.list.get(at).filter(|_| self.known.contains(&schedule))?;
        Some(moment.counting.contains(&schedule))
    }
}

/// The schedules that arm a zone, limit a response, or set one off as they begin or end.
fn used(model: &Model<'_>) -> impl Iterator<Item = ScheduleRef> {
    let armed = model.zones.iter().filter_map(|zone| zone.armed);
    let during = model.responses.iter().filter_map(|response| response.during);
    let causes = model.responses.iter().flat_map(|response| &response.causes);
    let edges = causes.filter_map(|(cause, _)| match cause {
        Cause::Start(schedule) | Cause::End(schedule) => Some(*schedule),
        _ => None,
    });
    armed.chain(during).map(|(schedule, _)| schedule).chain(edges)
}
