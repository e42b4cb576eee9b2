//! The time of a story: instants in ms, from and to the words in which they are written.

use crate::Hours;
use crate::hours::civil;
use curtilage_calendar::jiff::civil::{DateTime, Time};
use curtilage_calendar::jiff::tz::TimeZone;
use curtilage_calendar::jiff::{Timestamp, ToSpan};
use curtilage_calendar::{DateWindow, Reading};
use curtilage_events::system::Windows;
use curtilage_events::{DAY, Ms, WEEK};
use curtilage_model::{Model, ScheduleRef};
use curtilage_syntax::tree::rehearsal::{DayOf, Moment};
use curtilage_syntax::tree::{Clock as TimeOfDay, Date};

const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// How the instants of a story are counted.
#[derive(Clone, Debug)]
pub enum Clock {
    /// In ordinary weeks, from a Monday at 00:00.
    Week,
    /// As real time in this zone, from 1970, with the schedules read so where the clocks change.
    Dated(TimeZone, Reading),
}

impl Clock {
    /// Real time at the site; UTC where the site names no zone that is known.
    pub(crate) fn dated(model: &Model<'_>) -> Self {
        let name = model.site.as_ref().and_then(|site| site.timezone).map(|zone| zone.text);
        let zone = name.and_then(|name| curtilage_calendar::zone(name).ok());
        Self::Dated(zone.unwrap_or(TimeZone::UTC), Reading::default())
    }

    /// The first instant of a moment that is not before `from`; a date has only one.
    pub(crate) fn instant(&self, moment: Moment, from: Option<Ms>) -> Option<Ms> {
        let time = Ms::from(moment.clock.0);
        match (self, moment.day) {
            (Self::Week, DayOf::Weekday(day)) => {
                let first = Ms::from(day) * DAY + time;
                let weeks = from.map_or(0, |from| (from - first + WEEK - 1).div_euclid(WEEK));
                Some(first + weeks.max(0) * WEEK)
            }
            (Self::Week, DayOf::Date(_)) => None,
            (Self::Dated(zone, _), DayOf::Date(date)) => on_date(zone, date, moment.clock),
            (Self::Dated(zone, _), DayOf::Weekday(day)) => {
                let from = Timestamp::from_millisecond(from?).ok()?.to_zoned_datetime(zone.clone());
                let wanted = i8::try_from(day).ok()?;
                (0..=7).find_map(|later| {
                    let date = from.date().checked_add(i64::from(later).days()).ok()?;
                    let same = date.weekday().to_monday_zero_offset() == wanted;
                    let at = same.then(|| at(zone, date, moment.clock)).flatten()?;
                    (at >= from.timestamp().as_millisecond()).then_some(at)
                })
            }
        }
    }

    /// The first instant of the day in which an instant lies.
    pub(crate) fn midnight(&self, instant: Ms) -> Ms {
        match self {
            Self::Week => instant - instant.rem_euclid(DAY),
            Self::Dated(zone, _) => Timestamp::from_millisecond(instant)
                .ok()
                .and_then(|instant| instant.to_zoned_datetime(zone.clone()).start_of_day().ok())
                .map_or(instant, |day| day.timestamp().as_millisecond()),
        }
    }

    /// `Mon 10:00:00.300` or `2026-12-25 12:00:00`, as it is written in a story.
    #[must_use]
    pub fn show(&self, instant: Ms) -> String {
        format!("{} {}", self.day(instant), self.time(instant))
    }

    /// `Mon` or `2026-12-25`.
    #[must_use]
    pub fn day(&self, instant: Ms) -> String {
        match self {
            Self::Week => {
                let day = usize::try_from(instant.rem_euclid(WEEK) / DAY).unwrap_or(0);
                WEEKDAYS.get(day).copied().unwrap_or_default().to_owned()
            }
            Self::Dated(..) => {
                self.civil(instant).map_or_else(String::new, |at| at.date().to_string())
            }
        }
    }

    /// `10:00:00.300`
    #[must_use]
    pub fn time(&self, instant: Ms) -> String {
        let within = match self {
            Self::Week => instant.rem_euclid(DAY),
            Self::Dated(..) => self.civil(instant).map_or(0, |at| since_midnight(at.time())),
        };
        let (seconds, rest) = (within / 1000, within % 1000);
        let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        let mut text = format!("{hour:02}:{minute:02}:{second:02}");
        if rest > 0 {
            text.push_str(&format!(".{rest:03}"));
        }
        text
    }

    fn civil(&self, instant: Ms) -> Option<DateTime> {
        let Self::Dated(zone, _) = self else { return None };
        Some(Timestamp::from_millisecond(instant).ok()?.to_zoned_datetime(zone.clone()).datetime())
    }

    /// The hours of a schedule by this clock, between two instants; none when it is not known.
    pub(crate) fn windows(
        &self,
        hours: &Hours,
        schedule: ScheduleRef,
        span: (Ms, Ms),
    ) -> Option<Windows> {
        match (schedule, self) {
            (ScheduleRef::Always, _) => Some(Windows::Always),
            (ScheduleRef::Never, _) => Some(Windows::Never),
            (_, Self::Week) => {
                let week = hours.week(schedule)?;
                let pieces = week.pieces().into_iter().map(|piece| {
                    let start = u32::from(piece.start().minutes());
                    (start, start + piece.minutes())
                });
                Some(Windows::weekly(&pieces.collect::<Vec<_>>()))
            }
            (_, Self::Dated(..)) if hours.undated(schedule) => None,
            (_, Self::Dated(zone, reading)) => {
                let date = |at: Ms| Some(self.civil(at)?.date());
                let end = date(span.1)?.checked_add(2.days()).ok()?;
                let window = DateWindow::new(date(span.0)?, end).ok()?;
                let schedule = hours.calendar.schedule(hours.id(schedule)?).ok()?;
                let spans = schedule.instants(window, zone, *reading);
                let spans: Vec<(Ms, Ms)> = spans
                    .iter()
                    .map(|span| (span.start.as_millisecond(), span.end.as_millisecond()))
                    .collect();
                Some(if spans.is_empty() { Windows::Never } else { Windows::Spans(spans) })
            }
        }
    }
}

fn since_midnight(time: Time) -> Ms {
    let seconds = Ms::from(time.hour()) * 3600 + Ms::from(time.minute()) * 60;
    (seconds + Ms::from(time.second())) * 1000 + Ms::from(time.millisecond())
}

fn on_date(zone: &TimeZone, date: Date, clock: TimeOfDay) -> Option<Ms> {
    at(zone, civil(date)?, clock)
}

/// A time of a date, 24:00 included; a time that the clocks skip or repeat as jiff takes it.
fn at(
    zone: &TimeZone,
    date: curtilage_calendar::jiff::civil::Date,
    clock: TimeOfDay,
) -> Option<Ms> {
    let local = date.to_datetime(Time::midnight()).checked_add(i64::from(clock.0).milliseconds());
    Some(local.ok()?.to_zoned_datetime(zone.clone()).ok()?.timestamp().as_millisecond())
}
