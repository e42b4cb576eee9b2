//! One weekly span as it was written.

use jiff::civil::Weekday;

use crate::clock::{DayMinute, DaySpan, WeekMinute};
use crate::days::{DAY, WEEK, weekday_index};
use crate::error::CalendarError;
use crate::runs::Run;

/// A number that the caller gives to a written item, so that an answer can point back to it.
/// This crate never reads it; two items may share one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ItemId(pub u32);

/// A span of every week in local time, `[start, end)`, 1 minute to 7 days long.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct WeekSpan {
    id: ItemId,
    start: WeekMinute,
    minutes: u16,
}

impl WeekSpan {
    /// From a day and time to a day and time. An end that is written before the start lies in
    /// the next week: Sat 20:00 to Mon 05:00 is one span of 33 h.
    ///
    /// # Errors
    /// [`CalendarError::StartsAt2400`]; [`CalendarError::EmptySpan`] when both ends are written
    /// the same (a whole week is Mon 00:00 to Sun 24:00).
    pub fn new(
        id: ItemId,
        start_day: Weekday,
        start: DayMinute,
        end_day: Weekday,
        end: DayMinute,
    ) -> Result<Self, CalendarError> {
        if start == DayMinute::END_OF_DAY {
            return Err(CalendarError::StartsAt2400);
        }
        if start_day == end_day && start == end {
            return Err(CalendarError::EmptySpan);
        }
        let from = weekday_index(start_day) * DAY + i64::from(start.minutes());
        let mut to = weekday_index(end_day) * DAY + i64::from(end.minutes());
        if to <= from {
            to += WEEK;
        }
        Ok(Self { id, start: WeekMinute::wrapping(from), minutes: (to - from) as u16 })
    }

    /// Times of one day, past midnight allowed.
    pub fn on_day(id: ItemId, day: Weekday, times: DaySpan) -> Self {
        let start = weekday_index(day) * DAY + i64::from(times.start());
        Self { id, start: WeekMinute::wrapping(start), minutes: times.end() - times.start() }
    }

    /// The caller's number.
    pub fn id(&self) -> ItemId {
        self.id
    }

    /// First minute.
    pub fn start(&self) -> WeekMinute {
        self.start
    }

    /// First minute after the span, wrapped into the week.
    pub fn end(&self) -> WeekMinute {
        WeekMinute::wrapping(i64::from(self.start.minutes()) + i64::from(self.minutes))
    }

    /// Length in minutes, 1 to 10080.
    pub fn minutes(&self) -> u16 {
        self.minutes
    }

    /// `[start, end)` in minutes of the week; the end may pass the end of the week.
    pub(crate) fn run(&self) -> Run {
        let start = i64::from(self.start.minutes());
        (start, start + i64::from(self.minutes))
    }

    /// The same, cut at the end of the week.
    pub(crate) fn pieces(&self) -> impl Iterator<Item = Run> + use<> {
        let (start, end) = self.run();
        [(start, end.min(WEEK)), (0, end - WEEK)].into_iter().filter(|(a, b)| a < b)
    }
}
