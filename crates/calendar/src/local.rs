//! Windows of local dates, and answers on the local clock face.

use std::fmt;

use jiff::civil::{Date, DateTime};

use crate::days::{DAY, date_of, datetime_of, day_number, minute_number};
use crate::error::CalendarError;
use crate::runs::Runs;
use crate::text;

/// Local dates `[from, to)` within the years 1 to 9998.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DateWindow {
    from: i64,
    to: i64,
}

impl DateWindow {
    /// From the first date to the date after the last.
    ///
    /// # Errors
    /// [`CalendarError::BadWindow`] when `to` is not after `from` or a date is out of range.
    pub fn new(from: Date, to: Date) -> Result<Self, CalendarError> {
        if to <= from || from.year() < 1 || to > Date::constant(9999, 1, 1) {
            return Err(CalendarError::BadWindow);
        }
        Ok(Self { from: day_number(from), to: day_number(to) })
    }

    /// 1 January to 31 December.
    ///
    /// # Errors
    /// [`CalendarError::BadWindow`] for a year that is not in 1 to 9998.
    pub fn year(year: i16) -> Result<Self, CalendarError> {
        let new_year = |year| Date::new(year, 1, 1).map_err(|_| CalendarError::BadWindow);
        Self::new(new_year(year)?, new_year(year.saturating_add(1))?)
    }

    /// First date.
    pub fn first(&self) -> Date {
        date_of(self.from)
    }

    /// The date after the last.
    pub fn end(&self) -> Date {
        date_of(self.to)
    }

    /// Number of dates.
    pub fn days(&self) -> u32 {
        (self.to - self.from) as u32
    }

    pub(crate) fn day_numbers(&self) -> (i64, i64) {
        (self.from, self.to)
    }

    /// `[from, to)` in local minutes.
    pub(crate) fn minutes(&self) -> (i64, i64) {
        (self.from * DAY, self.to * DAY)
    }
}

/// Spans on the local clock face, `[start, end)`, maximal and in order.
///
/// A clock face says nothing of a clock change: a skipped hour counts here, a repeated one
/// counts once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LocalSpans(pub(crate) Runs);

/// One span on the local clock face, `[start, end)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct LocalSpan {
    /// First minute.
    pub start: DateTime,
    /// First minute after the span; 24:00 of a date is 00:00 of the next.
    pub end: DateTime,
}

impl fmt::Display for LocalSpan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&text::local_span(self))
    }
}

/// How many local minutes of a date are meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DateMinutes {
    /// The date.
    pub date: Date,
    /// Minutes, 1 to 1440.
    pub minutes: u32,
}

impl LocalSpans {
    /// The spans in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = LocalSpan> + '_ {
        self.0
            .as_slice()
            .iter()
            .map(|&(start, end)| LocalSpan { start: datetime_of(start), end: datetime_of(end) })
    }

    /// Number of spans.
    pub fn len(&self) -> usize {
        self.0.as_slice().len()
    }

    /// Whether there is no span.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Minutes on the clock face.
    pub fn minutes(&self) -> u64 {
        self.0.total() as u64
    }

    /// The minutes that are in either set.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        Self(self.0.union(&other.0))
    }

    /// The minutes that are in both sets.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        Self(self.0.within(&other.0))
    }

    /// Minutes on the clock face of the longest span.
    pub fn longest(&self) -> u64 {
        let minutes = self.0.as_slice().iter().map(|&(start, end)| end.saturating_sub(start));
        minutes.max().and_then(|most| u64::try_from(most).ok()).unwrap_or(0)
    }

    /// The minutes that are not in another set.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self(self.0.minus(&other.0))
    }

    /// Every minute so many minutes later by the clock face, of those that a window holds then.
    #[must_use]
    pub fn later(&self, minutes: u64, window: DateWindow) -> Self {
        let (from, to) = window.minutes();
        let by = i64::try_from(minutes).unwrap_or(i64::MAX).min(to - from);
        Self(self.0.later(by).within(&Runs::one(from, to)))
    }

    /// Every span without so many of its first minutes.
    #[must_use]
    pub fn without_first(&self, minutes: u64) -> Self {
        Self(self.0.without_first(i64::try_from(minutes).unwrap_or(i64::MAX)))
    }

    /// Whether the minute that holds this local time is in.
    pub fn contains(&self, at: DateTime) -> bool {
        self.0.contains(minute_number(at))
    }

    /// The minutes on each date, for dates that have any, in order.
    pub fn by_date(&self) -> Vec<DateMinutes> {
        let mut out: Vec<(i64, i64)> = Vec::new();
        for &(mut start, end) in self.0.as_slice() {
            while start < end {
                let day = start.div_euclid(DAY);
                let cut = end.min((day + 1) * DAY);
                match out.last_mut() {
                    Some((last, minutes)) if *last == day => *minutes += cut - start,
                    _ => out.push((day, cut - start)),
                }
                start = cut;
            }
        }
        out.into_iter()
            .map(|(day, minutes)| DateMinutes { date: date_of(day), minutes: minutes as u32 })
            .collect()
    }
}
