//! Short ways to write test input.

use curtilage_calendar::jiff::civil::{Date, Weekday};
use curtilage_calendar::jiff::{Timestamp, tz::TimeZone};
use curtilage_calendar::{
    Calendar, DateRule, DateWindow, DayMinute, DaySpan, Holidays, ItemId, ScheduleId, WeekSpan,
    WeeklyPlan, zone,
};

#[track_caller]
pub(crate) fn time(text: &str) -> DayMinute {
    let (hour, minute) = text.split_once(':').unwrap();
    DayMinute::new(hour.parse().unwrap(), minute.parse().unwrap()).unwrap()
}

#[track_caller]
pub(crate) fn times(text: &str) -> DaySpan {
    let (start, end) = text.split_once(" to ").unwrap();
    DaySpan::new(time(start), time(end)).unwrap()
}

pub(crate) fn day(index: i64) -> Weekday {
    Weekday::from_monday_zero_offset(index.try_into().unwrap()).unwrap()
}

#[track_caller]
pub(crate) fn weekday(name: &str) -> Weekday {
    let names = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    day(names.iter().position(|n| *n == name).unwrap().try_into().unwrap())
}

/// `Sat 12:30 to Mon 07:30`, or on one day `Sat 12:30 to 13:30`.
#[track_caller]
pub(crate) fn span(id: u32, text: &str) -> WeekSpan {
    let (start, end) = text.split_once(" to ").unwrap();
    let (start_day, start) = start.split_once(' ').unwrap();
    match end.split_once(' ') {
        Some((end_day, end)) => {
            WeekSpan::new(ItemId(id), weekday(start_day), time(start), weekday(end_day), time(end))
                .unwrap()
        }
        None => WeekSpan::on_day(
            ItemId(id),
            weekday(start_day),
            DaySpan::new(time(start), time(end)).unwrap(),
        ),
    }
}

/// One span an entry, numbered from 0.
#[track_caller]
pub(crate) fn spans(texts: &[&str]) -> Vec<WeekSpan> {
    (0..).zip(texts).map(|(id, text)| span(id, text)).collect()
}

#[track_caller]
pub(crate) fn date(text: &str) -> Date {
    text.parse().unwrap()
}

#[track_caller]
pub(crate) fn instant(text: &str) -> Timestamp {
    text.parse().unwrap()
}

#[track_caller]
pub(crate) fn window(from: &str, to: &str) -> DateWindow {
    DateWindow::new(date(from), date(to)).unwrap()
}

#[track_caller]
pub(crate) fn lisbon() -> TimeZone {
    zone("Europe/Lisbon").unwrap()
}

pub(crate) fn holidays(dates: &[&str]) -> Holidays {
    Holidays::new((100..).zip(dates).map(|(id, text)| (ItemId(id), DateRule::on(date(text)))))
}

/// A calendar with one plan.
pub(crate) fn single(plan: WeeklyPlan, holidays: Holidays) -> (Calendar, ScheduleId) {
    let mut calendar = Calendar::new(holidays);
    let id = calendar.weekly(plan).unwrap();
    (calendar, id)
}
