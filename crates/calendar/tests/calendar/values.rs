//! What the constructors take and refuse.

use curtilage_calendar::jiff::civil::Weekday::{Monday, Sunday, Tuesday};
use curtilage_calendar::{
    CalendarError, DateRule, DateWindow, DayMinute, DaySpan, Holidays, ItemId, WeekSpan,
};

use crate::support::{date, span, time, times};

#[test]
fn times_of_day() {
    for (hour, minute) in [(24, 1), (25, 0), (0, 60), (u32::MAX, 0)] {
        let error = CalendarError::TimeOutOfRange { hour, minute };
        assert_eq!(DayMinute::new(hour, minute), Err(error));
    }
    assert_eq!(DayMinute::new(24, 0), Ok(DayMinute::END_OF_DAY));
    assert_eq!(time("07:05").to_string(), "07:05");
    let lengths = ["22:00 to 02:00", "22:00 to 00:00", "00:00 to 24:00", "23:59 to 23:58"];
    let minutes = lengths.map(|text| times(text).end() - times(text).start());
    assert_eq!(minutes, [240, 120, 1440, 1439]);
    assert_eq!(DaySpan::new(time("24:00"), time("02:00")), Err(CalendarError::StartsAt2400));
    assert_eq!(DaySpan::new(time("08:00"), time("08:00")), Err(CalendarError::EmptySpan));
}

/// Source: the fixture's generator: an end at or before the start lies in the next week.
#[test]
fn week_spans_wrap() {
    let whole_weeks = ["Mon 00:00 to Sun 24:00", "Tue 00:00 to Mon 24:00"];
    for text in whole_weeks {
        assert_eq!(span(0, text).minutes(), 10_080, "{text}");
    }
    assert_eq!(span(0, "Sat 20:00 to Mon 05:00").minutes(), 33 * 60);
    assert_eq!(span(0, "Sat 20:00 to Mon 05:00").end().to_string(), "Mon 05:00");
    assert_eq!(span(0, "Mon 08:00 to Mon 07:59").minutes(), 10_079);
    let new = |a, start, b, end| WeekSpan::new(ItemId(0), a, time(start), b, time(end));
    assert_eq!(new(Monday, "08:00", Monday, "08:00"), Err(CalendarError::EmptySpan));
    assert_eq!(new(Sunday, "24:00", Tuesday, "08:00"), Err(CalendarError::StartsAt2400));
}

/// Source: the Gregorian calendar.
#[test]
fn dates_of_rules() {
    let (first, last) = (date("2026-12-25"), date("2026-12-24"));
    assert_eq!(DateRule::range(first, last), Err(CalendarError::DatesReversed { first, last }));
    assert_eq!(DateRule::yearly(2, 30), Err(CalendarError::NoSuchDay { month: 2, day: 30 }));
    assert_eq!(DateRule::yearly(13, 1), Err(CalendarError::NoSuchDay { month: 13, day: 1 }));
    let falls =
        |rule: DateRule, on: &[&str]| on.iter().map(|d| rule.falls_on(date(d))).collect::<Vec<_>>();
    let leap = DateRule::yearly(2, 29).unwrap();
    assert_eq!(
        falls(leap, &["2027-02-28", "2027-03-01", "2028-02-29", "2100-03-01"]),
        [false, false, true, false]
    );
    let over = DateRule::yearly_range((12, 24), (1, 6)).unwrap();
    assert_eq!(
        falls(over, &["2026-12-23", "2026-12-24", "2027-01-06", "2027-01-07"]),
        [false, true, true, false]
    );
    let range = DateRule::range(last, first).unwrap();
    assert_eq!(
        falls(range, &["2026-12-23", "2026-12-24", "2026-12-25", "2026-12-26"]),
        [false, true, true, false]
    );
    let edge = DateRule::yearly_range((12, 31), (1, 1)).unwrap();
    assert_eq!(falls(edge, &["0001-01-01", "9998-12-31", "9998-12-30"]), [true, true, false]);
    let listed = Holidays::new([(ItemId(1), leap), (ItemId(2), over), (ItemId(3), edge)]);
    assert_eq!(listed.on(date("2026-12-31")).collect::<Vec<_>>(), [ItemId(2), ItemId(3)]);
    assert!(!listed.contains(date("2026-06-01")));
    assert_eq!([&Holidays::NONE, &listed].map(Holidays::is_empty), [true, false]);
}

#[test]
fn windows() {
    let new = |a: &str, b: &str| DateWindow::new(date(a), date(b));
    assert_eq!(new("2026-01-01", "2026-01-01"), Err(CalendarError::BadWindow));
    assert_eq!(new("0000-12-31", "2026-01-01"), Err(CalendarError::BadWindow));
    assert_eq!(new("2026-01-01", "9999-01-02"), Err(CalendarError::BadWindow));
    for year in [i16::MIN, 0, 9999, i16::MAX] {
        assert_eq!(DateWindow::year(year), Err(CalendarError::BadWindow));
    }
    let leap = DateWindow::year(2028).unwrap();
    assert_eq!((leap.first(), leap.end()), (date("2028-01-01"), date("2029-01-01")));
    assert_eq!(leap.days(), 366);
}

/// A message says what was written.
#[test]
fn errors_are_words() {
    let said = |error: CalendarError| error.to_string();
    assert_eq!(
        said(CalendarError::TimeOutOfRange { hour: 25, minute: 0 }),
        "25:00 is not a time of day between 00:00 and 24:00"
    );
    assert_eq!(
        said(CalendarError::UnknownZone { name: "Europe/Lisboa".to_owned() }),
        "no time zone is called `Europe/Lisboa`"
    );
}
