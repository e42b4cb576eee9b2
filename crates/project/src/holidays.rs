//! Holidays from an RFC 5545 calendar: the days of its all-day events, and those that come back
//! every year on the same date.

use curtilage_model::{HolidayDates, HolidayFile};
use curtilage_syntax::tree::{Date, DateSpan, MonthDay};
use curtilage_text::Place;
use icalendar::parser::{Property, read_calendar, unfold};
use jiff::civil;

/// Reads a calendar.
///
/// # Errors
/// What is wrong, in words: it is no calendar, or an event cannot be taken as holidays. Nothing is
/// passed over in silence.
pub(crate) fn read(text: &str) -> Result<HolidayFile, String> {
    let unfolded = unfold(text);
    let calendar = read_calendar(&unfolded).map_err(|_| "it is no calendar".to_owned())?;
    let mut found = Vec::new();
    for event in calendar.components.iter().filter(|component| component.name == "VEVENT") {
        // Names of properties are the same in capitals and in small letters (RFC 5545, 2).
        let value = |name: &str| {
            let named =
                |property: &&Property<'_>| property.name.as_str().eq_ignore_ascii_case(name);
            event.properties.iter().find(named).map(|property| property.val.to_string())
        };
        let title = value("SUMMARY").unwrap_or_default();
        let told = |what: &str| {
            if title.is_empty() {
                format!("an event {what}")
            } else {
                format!("the event \"{title}\" {what}")
            }
        };
        let start = value("DTSTART").ok_or_else(|| told("has no start"))?;
        // What has a time of day is no all-day event, and what is cancelled is none at all.
        let cancelled = value("STATUS").is_some_and(|one| one.eq_ignore_ascii_case("CANCELLED"));
        if start.contains(['T', 't']) || cancelled {
            continue;
        }
        for name in ["RDATE", "EXDATE", "RECURRENCE-ID"] {
            if value(name).is_some() {
                return Err(told(&format!(
                    "has {name}, which is not read; give it dates of its own"
                )));
            }
        }
        let first = day(&start).ok_or_else(|| told("has no start that is a date"))?;
        // DTEND is the day after the last one (RFC 5545, 3.6.1); without it the event is one day.
        let last = match (value("DTEND"), value("DURATION")) {
            (Some(end), _) => {
                let end = day(&end).ok_or_else(|| told("has no end that is a date"))?;
                end.yesterday().map_err(|_| told("has an end that cannot be"))?
            }
            (None, Some(_)) => return Err(told("has DURATION, which is not read; give its end")),
            (None, None) => first,
        };
        if last < first {
            return Err(told("ends no later than it starts"));
        }
        // What comes back does so from its start on (RFC 5545, 3.8.5.3).
        let (dates, since) = match value("RRULE") {
            None => (DateSpan::Dates(date(first), date(last)), None),
            Some(rule) if every_year(&rule) => {
                (DateSpan::Yearly(month_day(first), month_day(last)), Some(date(first)))
            }
            Some(rule) => {
                return Err(told(&format!(
                    "comes back by `{rule}`; only `FREQ=YEARLY` on the same date is read"
                )));
            }
        };
        found.push(HolidayDates { dates, since, title });
    }
    Ok(HolidayFile { at: Place::default(), dates: found })
}

/// `20261225`, or a date and a time of which the date counts: the end of an all-day event.
fn day(text: &str) -> Option<civil::Date> {
    let digits = text.get(..8)?;
    let number = |range: std::ops::Range<usize>| digits.get(range)?.parse::<i16>().ok();
    let (month, day) = (number(4..6)?, number(6..8)?);
    civil::Date::new(number(0..4)?, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

fn every_year(rule: &str) -> bool {
    rule.split(';').all(|part| matches!(part, "FREQ=YEARLY" | "INTERVAL=1"))
}

fn month_day(date: civil::Date) -> MonthDay {
    MonthDay {
        month: u8::try_from(date.month()).unwrap_or(1),
        day: u8::try_from(date.day()).unwrap_or(1),
    }
}

fn date(date: civil::Date) -> Date {
    let MonthDay { month, day } = month_day(date);
    Date { year: date.year(), month, day }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str =
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nSUMMARY:Works holi\r\n day\r\n";
    const TAIL: &str = "END:VEVENT\r\nEND:VCALENDAR\r\n";

    fn one(lines: &str) -> Result<DateSpan, String> {
        read(&format!("{HEAD}{lines}{TAIL}")).map(|file| file.dates[0].dates)
    }

    /// RFC 5545, 3.6.1: the end of an all-day event is not part of it.
    #[test]
    fn the_end_is_not_part_of_an_event() {
        let day = |day| Date { year: 2027, month: 8, day };
        let lines = "DTSTART;VALUE=DATE:20270809\r\nDTEND;VALUE=DATE:20270814\r\n";
        assert_eq!(one(lines), Ok(DateSpan::Dates(day(9), day(13))));
        assert_eq!(one("DTSTART;VALUE=DATE:20270809\r\n"), Ok(DateSpan::Dates(day(9), day(9))));
    }

    #[test]
    fn a_yearly_event_comes_back() {
        let april = MonthDay { month: 4, day: 25 };
        let lines = "DTSTART;VALUE=DATE:20260425\r\nRRULE:FREQ=YEARLY\r\n";
        assert_eq!(one(lines), Ok(DateSpan::Yearly(april, april)));
        // Not in the years before it.
        let since = read(&format!("{HEAD}{lines}{TAIL}")).unwrap().dates[0].since;
        assert_eq!(since, Some(Date { year: 2026, month: 4, day: 25 }));
    }

    /// RFC 5545, 3.6.1 and 3.8.1.11: an event with times is no all-day event, and a cancelled one is none.
    #[test]
    fn only_all_day_events_count() {
        let meeting = "DTSTART:20261118T090000\r\nDTEND:20261118T100000\r\n";
        let cancelled = "DTSTART;VALUE=DATE:20261118\r\nSTATUS:CANCELLED\r\n";
        for lines in [meeting, cancelled] {
            assert_eq!(read(&format!("{HEAD}{lines}{TAIL}")).unwrap().dates, []);
        }
        let april = MonthDay { month: 4, day: 25 };
        let small = "dtstart;value=date:20260425\r\nrrule:FREQ=YEARLY\r\n";
        assert_eq!(one(small), Ok(DateSpan::Yearly(april, april)));
    }

    #[test]
    fn what_is_not_read_is_told() {
        let day = "DTSTART;VALUE=DATE:20260405\r\n";
        for name in ["RDATE;VALUE=DATE:20260406", "EXDATE;VALUE=DATE:20260405", "RECURRENCE-ID:1"] {
            assert!(one(&format!("{day}{name}\r\n")).unwrap_err().contains("which is not read"));
        }
        let none = format!("{day}DTEND;VALUE=DATE:20260405\r\n");
        assert!(one(&none).unwrap_err().contains("ends no later than it starts"));
        let easter = "DTSTART;VALUE=DATE:20260405\r\nRRULE:FREQ=MONTHLY\r\n";
        assert!(one(easter).unwrap_err().contains("Works holiday"));
        assert_eq!(read("nonsense").unwrap_err(), "it is no calendar");
        assert!(one("").unwrap_err().contains("no start"));
    }
}
