//! What a constructor of this crate may refuse.

use std::fmt;

use jiff::civil::Date;

/// Why a value could not be built. Evaluation itself never fails.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum CalendarError {
    /// A time of day that is not in 00:00 to 24:00.
    TimeOutOfRange {
        /// The hour as given.
        hour: u32,
        /// The minute as given.
        minute: u32,
    },
    /// A span that starts at 24:00; write 00:00 of the next day.
    StartsAt2400,
    /// A span whose start and end are written the same, which could mean nothing or everything.
    EmptySpan,
    /// A range of dates whose last date lies before its first.
    DatesReversed {
        /// First date as given.
        first: Date,
        /// Last date as given.
        last: Date,
    },
    /// A month and day that no year has.
    NoSuchDay {
        /// The month as given.
        month: i8,
        /// The day as given.
        day: i8,
    },
    /// A window that holds no date, or one that leaves the years 1 to 9998.
    BadWindow,
    /// A name that the bundled IANA time zone database does not have.
    UnknownZone {
        /// The name as given.
        name: String,
    },
    /// An id that this calendar did not hand out.
    UnknownSchedule,
    /// More schedules than an id can count (2^32).
    TooManySchedules,
}

impl fmt::Display for CalendarError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TimeOutOfRange { hour, minute } => {
                write!(f, "{hour:02}:{minute:02} is not a time of day between 00:00 and 24:00")
            }
            Self::StartsAt2400 => {
                f.write_str("a span cannot start at 24:00, write 00:00 of the next day")
            }
            Self::EmptySpan => f.write_str("the span ends where it starts"),
            Self::DatesReversed { first, last } => {
                write!(f, "the range ends on {last}, before it starts on {first}")
            }
            Self::NoSuchDay { month, day } => {
                write!(f, "no year has a day {day} in month {month}")
            }
            Self::BadWindow => f.write_str("the window holds no date in the years 1 to 9998"),
            Self::UnknownZone { name } => write!(f, "no time zone is called `{name}`"),
            Self::UnknownSchedule => f.write_str("the schedule is not of this calendar"),
            Self::TooManySchedules => f.write_str("too many schedules"),
        }
    }
}

impl std::error::Error for CalendarError {}
