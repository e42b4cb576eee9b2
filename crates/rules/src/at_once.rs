//! Which two responses answer at the same moment.

use curtilage_facts::{Facts, WeekSet};
use curtilage_model::{Cause, Response};
use curtilage_text::Place;

/// A moment at which two responses answer.
pub(crate) struct Event {
    /// The words of the cause, or of two that come at that moment.
    pub(crate) words: Vec<Place>,
    /// The words for the hours of the responses, where they are limited.
    pub(crate) during: Vec<Place>,
}

/// What sets off both responses at the same moment, where that is sure.
pub(crate) fn at_once(
    facts: &Facts<'_, '_>,
    one: &Response<'_>,
    other: &Response<'_>,
) -> Option<Event> {
    let plainly = |at| Event { words: vec![at], during: Vec::new() };
    if std::ptr::eq(one, other) {
        return one.causes.first().map(|(_, at)| plainly(*at));
    }
    let delay = |response: &Response<'_>| response.tree.after.map_or(0, |after| after.value);
    // What cannot be read of them may be a delay, or hours.
    if delay(one) != delay(other) || [one, other].iter().any(|it| facts.doubt.holds(it.line)) {
        return None;
    }
    let always = one.tree.during.is_none() && other.tree.during.is_none();
    match (one.all_within, other.all_within) {
        (None, None) => {
            let has = |cause: &Cause| other.causes.iter().any(|(known, _)| known == cause);
            let mut shared = one.causes.iter().filter(|(cause, _)| has(cause));
            if always && let Some((_, at)) = shared.clone().next() {
                return Some(plainly(*at));
            }
            // What cannot be read elsewhere may be other hours.
            if facts.doubt.anything() {
                return None;
            }
            let both = [one, other];
            shared
                .find_map(|(cause, at)| at_hours(facts, both, cause, *at))
                .or_else(|| edges(facts, both))
        }
        // Those that wait for the same causes have them together within the shorter of the times.
        (Some(_), Some(_)) if always && same(one, other) => {
            let ((_, first), (_, last)) = (one.causes.first()?, one.causes.last()?);
            Some(plainly(Place::new(first.file, first.span.to(last.span))))
        }
        _ => None,
    }
}

/// Whether two responses have the same causes.
fn same(one: &Response<'_>, other: &Response<'_>) -> bool {
    let known = |it: &Response<'_>| it.causes.len() == it.tree.causes.list().len();
    let all_in = |these: &Response<'_>, those: &Response<'_>| {
        these.causes.iter().all(|(cause, _)| those.causes.iter().any(|(known, _)| known == cause))
    };
    known(one) && known(other) && all_in(one, other) && all_in(other, one)
}

/// A cause of both that comes in the ordinary week at hours at which both answer.
fn at_hours(
    facts: &Facts<'_, '_>,
    both: [&Response<'_>; 2],
    cause: &Cause,
    at: Place,
) -> Option<Event> {
    let comes = match cause {
        Cause::Zone(id) => {
            let armed = |id| facts.hours.week(facts.model.zone(id)?.armed?.0);
            let zone = facts.model.zone(*id)?;
            match (zone.tree.confirmed, zone.confirmed) {
                (None, _) => armed(*id)?,
                (Some(_), by) => armed(*id)?.intersection(&armed(by?)?),
            }
        }
        Cause::Tamper(_) | Cause::CameraLost(_) | Cause::SupplyLost(_) => WeekSet::full(),
        Cause::Start(of) => facts.hours.edge_minutes(*of, false)?,
        Cause::End(of) => facts.hours.edge_minutes(*of, true)?,
    };
    answered(facts, both, comes).map(|during| Event { words: vec![at], during })
}

/// Edges of two schedules that come in one minute of the ordinary week, at which both answer.
fn edges(facts: &Facts<'_, '_>, [one, other]: [&Response<'_>; 2]) -> Option<Event> {
    let edge = |cause: &Cause| match cause {
        Cause::Start(of) => facts.hours.edge_minutes(*of, false),
        Cause::End(of) => facts.hours.edge_minutes(*of, true),
        _ => None,
    };
    let of_other: Vec<_> =
        (other.causes.iter()).filter_map(|(cause, at)| Some((edge(cause)?, *at))).collect();
    one.causes.iter().find_map(|(cause, at)| {
        let mine = edge(cause).filter(|_| !of_other.is_empty())?;
        of_other.iter().find_map(|(its, its_at)| {
            let during = answered(facts, [one, other], mine.intersection(its))?;
            Some(Event { words: vec![*its_at, *at], during })
        })
    })
}

/// The words for the hours of two responses, where both answer in some of these minutes.
fn answered(
    facts: &Facts<'_, '_>,
    both: [&Response<'_>; 2],
    mut comes: WeekSet,
) -> Option<Vec<Place>> {
    let mut words = Vec::new();
    for response in both.iter().filter(|response| response.tree.during.is_some()) {
        let (during, at) = response.during?;
        comes = comes.intersection(facts.hours.ordinary(during)?);
        words.push(at);
    }
    (!comes.is_empty()).then_some(words)
}
