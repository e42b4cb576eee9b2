//! A weekly plan with its exceptions, and its evaluation on the local clock.

use crate::clock::DaySpan;
use crate::days::{DAY, WEEK, week_start};
use crate::exception::{Effect, Exception};
use crate::holidays::Holidays;
use crate::runs::{Run, Runs};
use crate::week_set::WeekSet;
use crate::week_span::WeekSpan;

/// Weekly spans minus, then plus, dated exceptions.
///
/// The order in which items are written means nothing: all that is taken away is taken first,
/// then all that is added is added, so an added time stands on a holiday.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WeeklyPlan {
    spans: Vec<WeekSpan>,
    exceptions: Vec<Exception>,
    week: WeekSet,
}

impl WeeklyPlan {
    /// From the items as written. Spans may overlap; see [`WeeklyPlan::overlaps`].
    pub fn new(spans: Vec<WeekSpan>, exceptions: Vec<Exception>) -> Self {
        let week = WeekSet::from_spans(&spans);
        Self { spans, exceptions, week }
    }

    /// The spans as given.
    pub fn spans(&self) -> &[WeekSpan] {
        &self.spans
    }

    /// The exceptions as given.
    pub fn exceptions(&self) -> &[Exception] {
        &self.exceptions
    }

    /// The minutes of a week without exceptions.
    pub fn week(&self) -> &WeekSet {
        &self.week
    }

    /// Covered local minutes in `[from, to)`.
    pub(crate) fn local(&self, holidays: &Holidays, from: i64, to: i64) -> Runs {
        let mut runs = self.weekly(holidays, from, to);
        let (mut away, mut added) = (Vec::new(), Vec::new());
        for exception in &self.exceptions {
            let (times, out) = match exception.effect() {
                Effect::Except(times) => (times, &mut away),
                Effect::Plus(times) => (times, &mut added),
                Effect::ExceptStarting => continue,
            };
            // A day early: times may run past midnight.
            let days = exception.days_within(holidays, from.div_euclid(DAY) - 1, last_day(to));
            times_of_days(&days, times, out);
        }
        if !away.is_empty() {
            runs = runs.minus(&Runs::of(away));
        }
        if !added.is_empty() {
            runs = runs.union(&Runs::of(added)).clip(from, to);
        }
        runs
    }

    /// The weekly part alone.
    fn weekly(&self, holidays: &Holidays, from: i64, to: i64) -> Runs {
        let skipping = self.exceptions.iter().filter(|e| e.effect() == Effect::ExceptStarting);
        // Eight days early: a span lasts up to a week.
        let first = from.div_euclid(DAY) - 8;
        let mut skipped = Runs::EMPTY;
        for exception in skipping {
            skipped = skipped.union(&exception.days_within(holidays, first, last_day(to)));
        }
        if skipped.is_empty() {
            return repeated(&self.week, from, to);
        }
        let mut out = Vec::new();
        let mut week = week_start(first * DAY);
        while week < to {
            for (start, end) in self.spans.iter().map(WeekSpan::run) {
                if !skipped.contains((week + start).div_euclid(DAY)) {
                    out.push((week + start, week + end));
                }
            }
            week += WEEK;
        }
        Runs::of(out).clip(from, to)
    }
}

/// The day number after the last day that `[.., to)` touches.
fn last_day(to: i64) -> i64 {
    (to + DAY - 1).div_euclid(DAY)
}

/// A week set in every week of `[from, to)` minutes.
pub(crate) fn repeated(set: &WeekSet, from: i64, to: i64) -> Runs {
    if set.is_full() {
        return Runs::one(from, to);
    }
    let mut out = Runs::EMPTY;
    let mut week = week_start(from);
    while week < to && !set.is_empty() {
        for (start, end) in set.runs().as_slice() {
            out.push((week + start).max(from), (week + end).min(to));
        }
        week += WEEK;
    }
    out
}

/// The same times on each of the days, in minutes.
fn times_of_days(days: &Runs, times: DaySpan, out: &mut Vec<Run>) {
    for &(first, end) in days.as_slice() {
        if times == DaySpan::WHOLE_DAY {
            out.push((first * DAY, end * DAY));
        } else {
            out.extend((first..end).map(|day| {
                (day * DAY + i64::from(times.start()), day * DAY + i64::from(times.end()))
            }));
        }
    }
}
