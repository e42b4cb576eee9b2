//! Counting local days and minutes from 1970-01-01 00:00, a Thursday.

use jiff::SignedDuration;
use jiff::civil::{Date, DateTime, Weekday};

/// Minutes in a day as written on a clock face.
pub(crate) const DAY: i64 = 1_440;
/// Minutes in a week.
pub(crate) const WEEK: i64 = 7 * DAY;

const EPOCH: Date = Date::constant(1970, 1, 1);
/// The first Monday, counted in days from the epoch: 1969-12-29.
const MONDAY: i64 = -3;
/// More days than separate any two dates.
const FAR: i64 = 8_000_000;

/// Days from the epoch.
pub(crate) fn day_number(date: Date) -> i64 {
    date.duration_since(EPOCH).as_hours().div_euclid(24)
}

/// The date of a day number; beyond the years -9999 to 9999 the nearest date.
pub(crate) fn date_of(day: i64) -> Date {
    EPOCH.saturating_add(SignedDuration::from_hours(24 * day.clamp(-FAR, FAR)))
}

/// Minutes from the epoch on the local clock face; seconds are dropped.
pub(crate) fn minute_number(at: DateTime) -> i64 {
    day_number(at.date()) * DAY + i64::from(at.hour()) * 60 + i64::from(at.minute())
}

/// The local date and time of a minute number; beyond the range the nearest.
pub(crate) fn datetime_of(minute: i64) -> DateTime {
    let far = FAR * DAY;
    EPOCH.at(0, 0, 0, 0).saturating_add(SignedDuration::from_mins(minute.clamp(-far, far)))
}

/// Minute number of the start (Monday 00:00) of the week that a minute lies in.
pub(crate) fn week_start(minute: i64) -> i64 {
    let first = MONDAY * DAY;
    (minute - first).div_euclid(WEEK) * WEEK + first
}

/// Monday is 0.
pub(crate) fn weekday_of(index: i64) -> Weekday {
    match index.rem_euclid(7) {
        0 => Weekday::Monday,
        1 => Weekday::Tuesday,
        2 => Weekday::Wednesday,
        3 => Weekday::Thursday,
        4 => Weekday::Friday,
        5 => Weekday::Saturday,
        _ => Weekday::Sunday,
    }
}

/// Monday is 0.
pub(crate) fn weekday_index(day: Weekday) -> i64 {
    i64::from(day.to_monday_zero_offset())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: jiff's own weekday of each date.
    #[test]
    fn day_numbers_agree_with_dates() {
        for day in -800_000..800_000 {
            let date = date_of(day);
            assert_eq!(day_number(date), day);
            if day % 97 == 0 {
                let minute = day * DAY + 611;
                let index = (minute - week_start(minute)) / DAY;
                assert_eq!(weekday_of(index), date.weekday());
                assert_eq!(weekday_index(date.weekday()), index);
                assert_eq!(datetime_of(minute), date.at(10, 11, 0, 0));
                assert_eq!(minute_number(date.at(10, 11, 59, 0)), minute);
            }
        }
        assert_eq!(date_of(i64::MAX), Date::MAX);
        assert_eq!(date_of(i64::MIN), Date::MIN);
        assert_eq!(datetime_of(i64::MAX), DateTime::MAX);
    }
}
