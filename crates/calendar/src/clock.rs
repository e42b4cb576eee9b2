//! Times of a day and of a week, to the minute.

use std::fmt;

use jiff::civil::Weekday;

use crate::days::{DAY, WEEK, weekday_index, weekday_of};
use crate::error::CalendarError;
use crate::text::day_name;

/// A time of day in minutes after local midnight, 0 (00:00) to 1440 (24:00).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DayMinute(u16);

impl DayMinute {
    /// 00:00.
    pub const MIDNIGHT: Self = Self(0);
    /// 24:00, the end of the day; only an end may be here.
    pub const END_OF_DAY: Self = Self(1_440);

    /// From an hour of 0 to 24 and a minute of 0 to 59; 24 goes with 0 only.
    ///
    /// # Errors
    /// [`CalendarError::TimeOutOfRange`] for any other pair.
    pub fn new(hour: u32, minute: u32) -> Result<Self, CalendarError> {
        let bad = CalendarError::TimeOutOfRange { hour, minute };
        if hour > 24 || minute > 59 || (hour == 24 && minute > 0) {
            return Err(bad);
        }
        u16::try_from(hour * 60 + minute).map(Self).map_err(|_| bad)
    }

    /// Minutes after local midnight, 0 to 1440.
    pub fn minutes(self) -> u16 {
        self.0
    }

    /// The end of a span on the day in which the span still runs: midnight reads 24:00.
    pub(crate) fn ending(minute: i64) -> Self {
        match minute.rem_euclid(DAY) {
            0 => Self::END_OF_DAY,
            rest => Self(rest as u16),
        }
    }

    /// The start of a span: midnight reads 00:00.
    pub(crate) fn starting(minute: i64) -> Self {
        Self(minute.rem_euclid(DAY) as u16)
    }
}

impl fmt::Display for DayMinute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

/// Times within one day, half open, past midnight when the end is written before the start:
/// 22:00 to 02:00 lasts four hours and 22:00 to 00:00 two.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DaySpan {
    start: u16,
    /// Above `start`, at most 1440 above it; above 1440 it lies on the next day.
    end: u16,
}

impl DaySpan {
    /// 00:00 to 24:00.
    pub const WHOLE_DAY: Self = Self { start: 0, end: 1_440 };

    /// From the two times as written.
    ///
    /// # Errors
    /// [`CalendarError::StartsAt2400`]; [`CalendarError::EmptySpan`] when both are the same.
    pub fn new(start: DayMinute, end: DayMinute) -> Result<Self, CalendarError> {
        if start == DayMinute::END_OF_DAY {
            return Err(CalendarError::StartsAt2400);
        }
        if start == end {
            return Err(CalendarError::EmptySpan);
        }
        let past = if end < start { 1_440 } else { 0 };
        Ok(Self { start: start.0, end: end.0 + past })
    }

    /// Start, minutes after midnight of its day, 0 to 1439.
    pub fn start(self) -> u16 {
        self.start
    }

    /// End, minutes after midnight of the day it starts on, 1 to 2879.
    pub fn end(self) -> u16 {
        self.end
    }
}

/// A minute of the week, 0 (Monday 00:00) to 10079 (Sunday 23:59).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WeekMinute(u16);

impl WeekMinute {
    /// The start of a minute of a day. 24:00 is 00:00 of the next day, and of Sunday, of Monday.
    pub fn new(day: Weekday, time: DayMinute) -> Self {
        Self::wrapping(weekday_index(day) * DAY + i64::from(time.0))
    }

    /// Minute of the week, wrapped into it.
    pub(crate) fn wrapping(minute: i64) -> Self {
        Self(minute.rem_euclid(WEEK) as u16)
    }

    /// Minutes after Monday 00:00, 0 to 10079.
    pub fn minutes(self) -> u16 {
        self.0
    }

    /// Day of the week.
    pub fn day(self) -> Weekday {
        weekday_of(i64::from(self.0) / DAY)
    }

    /// Time of that day, 00:00 to 23:59.
    pub fn time(self) -> DayMinute {
        DayMinute::starting(i64::from(self.0))
    }
}

impl fmt::Display for WeekMinute {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", day_name(self.day()), self.time())
    }
}
