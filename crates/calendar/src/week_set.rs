//! A set of minutes of the week.

use std::fmt;

use jiff::civil::Weekday;

use crate::clock::{DayMinute, WeekMinute};
use crate::days::{DAY, WEEK, weekday_of};
use crate::local::{DateWindow, LocalSpans};
use crate::runs::Runs;
use crate::text;
use crate::week_span::WeekSpan;

/// A set of the 10080 minutes of a week, held as maximal half-open runs.
///
/// Two sets hold the same minutes exactly when they are equal.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct WeekSet(Runs);

impl WeekSet {
    /// No minute.
    pub const EMPTY: Self = Self(Runs::EMPTY);

    /// All 10080 minutes.
    pub fn full() -> Self {
        Self(Runs::one(0, WEEK))
    }

    /// The minutes that any of the spans holds.
    pub fn from_spans<'a>(spans: impl IntoIterator<Item = &'a WeekSpan>) -> Self {
        let spans = spans.into_iter();
        let mut pieces = Vec::with_capacity(spans.size_hint().0);
        spans.for_each(|span| pieces.extend(span.pieces()));
        Self(Runs::of(pieces))
    }

    pub(crate) fn from_runs(runs: Runs) -> Self {
        Self(runs)
    }

    pub(crate) fn runs(&self) -> &Runs {
        &self.0
    }

    /// Minutes in either set.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        Self(self.0.union(&other.0))
    }

    /// Minutes in both sets.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        Self(self.0.within(&other.0))
    }

    /// Minutes in this set and not in the other.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self(self.0.minus(&other.0))
    }

    /// Minutes of the week that are not in the set.
    #[must_use]
    pub fn complement(&self) -> Self {
        Self(self.0.complement(0, WEEK))
    }

    /// Every minute so many minutes later, from the end of the week on at its beginning.
    #[must_use]
    pub fn later(&self, minutes: u64) -> Self {
        let later = self.0.later((minutes % WEEK as u64) as i64);
        let (this, next) = (Runs::one(0, WEEK), Runs::one(WEEK, 2 * WEEK));
        Self(later.within(&this).union(&later.within(&next).later(-WEEK)))
    }

    /// Every span without so many of its first minutes, also one that runs over the end of the week;
    /// a whole week has no first minute.
    #[must_use]
    pub fn without_first(&self, minutes: u64) -> Self {
        if self.is_full() {
            return self.clone();
        }
        // With the week before it, so that what goes on over its end is one span.
        let two = self.0.later(-WEEK).union(&self.0);
        Self(two.without_first(minutes.min(2 * WEEK as u64) as i64).clip(0, WEEK))
    }

    /// Whether the minute is in.
    pub fn contains(&self, minute: WeekMinute) -> bool {
        self.0.contains(i64::from(minute.minutes()))
    }

    /// How many minutes, 0 to 10080.
    pub fn minutes(&self) -> u32 {
        self.0.total() as u32
    }

    /// Whether no minute is in.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether every minute is in.
    pub fn is_full(&self) -> bool {
        matches!(self.0.as_slice(), [(0, WEEK)])
    }

    /// The same minutes in every week of a window.
    #[must_use]
    pub fn in_window(&self, window: DateWindow) -> LocalSpans {
        let (from, to) = window.minutes();
        LocalSpans(crate::plan::repeated(self, from, to))
    }

    /// The maximal spans in order of their start. A span that runs over the end of the week is
    /// one piece and comes last.
    pub fn pieces(&self) -> Vec<WeekPiece> {
        let mut runs = self.0.as_slice();
        let mut over_the_end = 0;
        if let [(0, first_end), rest @ ..] = runs
            && let [.., (_, WEEK)] = rest
        {
            // The last run takes the first run's minutes after its own.
            over_the_end = *first_end;
            runs = rest;
        }
        runs.iter()
            .map(|&(start, end)| {
                let extra = if end == WEEK { over_the_end } else { 0 };
                WeekPiece {
                    start: WeekMinute::wrapping(start),
                    minutes: (end - start + extra) as u32,
                }
            })
            .collect()
    }
}

impl fmt::Display for WeekSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&text::week(self))
    }
}

/// A maximal span of a [`WeekSet`], possibly over the end of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct WeekPiece {
    start: WeekMinute,
    minutes: u32,
}

impl WeekPiece {
    /// First minute.
    pub fn start(&self) -> WeekMinute {
        self.start
    }

    /// Length in minutes, 1 to 10080.
    pub fn minutes(&self) -> u32 {
        self.minutes
    }

    /// Day on which the last minute lies.
    pub fn end_day(&self) -> Weekday {
        weekday_of((self.end() - 1) / DAY)
    }

    /// End on that day, 00:01 to 24:00.
    pub fn end_time(&self) -> DayMinute {
        DayMinute::ending(self.end())
    }

    fn end(&self) -> i64 {
        i64::from(self.start.minutes()) + i64::from(self.minutes)
    }
}

impl fmt::Display for WeekPiece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&text::piece(self))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A span over the end of the week has its first minutes on its own side of it.
    #[test]
    fn the_first_minutes_of_a_span_are_where_it_begins() {
        let set = |runs: &[(i64, i64)]| WeekSet(Runs::of(runs.to_vec()));
        let over = set(&[(0, 100), (500, 520), (WEEK - 10, WEEK)]);
        assert_eq!(over.without_first(4), set(&[(0, 100), (504, 520), (WEEK - 6, WEEK)]));
        assert_eq!(over.without_first(20), set(&[(10, 100)]));
        assert_eq!(over.without_first(u64::MAX), WeekSet::EMPTY);
        assert_eq!(WeekSet::full().without_first(5), WeekSet::full());
    }
}
