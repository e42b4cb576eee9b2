//! Holidays from an RFC 5545 calendar: the days of its all-day events, and those that come back
//! every year on the same date.

use curtilage_model::{HolidayDates, HolidayFile};
use curtilage_syntax::tree::{Date, DateSpan, MonthDay};
use curtilage_text::Place;
use icalendar::parser::{Component, Property, read_calendar, unfold};
use jiff::civil;

/// Reads a calendar.
///
/// # Errors
/// What is wrong, in words: it is no calendar, or an event cannot be taken as holidays. Nothing is
/// passed over in silence.
pub(crate) fn read(text: &str) -> Result<HolidayFile, String> {
    let mut found = Vec::new();
    for calendar in calendars(text)? {
        let unfolded = unfold(calendar);
        let calendar = read_calendar(&unfolded)
            .map_err(|_| "it is no calendar: a line of it is no property".to_owned())?;
        let events = calendar.components.iter().filter(|component| component.name == "VEVENT");
        for event in events {
            found.extend(holiday(event)?);
        }
    }
    Ok(HolidayFile { at: Place::default(), dates: found })
}

/// The calendars of a file, which may hold several (RFC 5545, 3.4), and may begin with the mark of
/// its encoding.
fn calendars(text: &str) -> Result<Vec<&str>, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut out = Vec::new();
    let (mut begins, mut at) = (None, 0);
    for (number, line) in (1..).zip(text.split_inclusive('\n')) {
        let says = |words: &str| line.trim().eq_ignore_ascii_case(words);
        let end = at + line.len();
        match begins {
            None if says("BEGIN:VCALENDAR") => begins = Some(at),
            None if line.trim().is_empty() => {}
            None => {
                return Err(format!(
                    "it is no calendar: `BEGIN:VCALENDAR` is expected in its line {number}"
                ));
            }
            Some(from) if says("END:VCALENDAR") => {
                out.extend(text.get(from..end));
                begins = None;
            }
            Some(_) => {}
        }
        at = end;
    }
    match begins {
        Some(_) => Err("it is cut off: `END:VCALENDAR` is missing".to_owned()),
        None if out.is_empty() => Err("it is no calendar: it is empty".to_owned()),
        None => Ok(out),
    }
}

/// The dates of an event with its title; none when it is no holiday.
fn holiday(event: &Component<'_>) -> Result<Option<HolidayDates>, String> {
    // Names of properties are the same in capitals and in small letters (RFC 5545, 2).
    let value = |name: &str| {
        let named = |property: &&Property<'_>| property.name.as_str().eq_ignore_ascii_case(name);
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
        return Ok(None);
    }
    for name in ["RDATE", "EXDATE", "RECURRENCE-ID"] {
        if value(name).is_some() {
            return Err(told(&format!("has {name}, which is not read; give it dates of its own")));
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
        Some(rule) if every_year(&rule, first) => {
            (DateSpan::Yearly(month_day(first), month_day(last)), Some(date(first)))
        }
        Some(rule) => {
            return Err(told(&format!(
                "comes back by `{rule}`; only `FREQ=YEARLY` on the same date is read"
            )));
        }
    };
    Ok(Some(HolidayDates { dates, since, title }))
}

/// `20261225`, or a date and a time of which the date counts: the end of an all-day event.
fn day(text: &str) -> Option<civil::Date> {
    let digits = text.get(..8)?;
    let number = |range: std::ops::Range<usize>| digits.get(range)?.parse::<i16>().ok();
    let (month, day) = (number(4..6)?, number(6..8)?);
    civil::Date::new(number(0..4)?, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

/// Whether a rule of recurrence says no more than that a date comes back every year. Names and values
/// are the same in capitals and in small letters (RFC 5545, 2); a day of the month without its month is
/// one of every month (3.3.10).
fn every_year(rule: &str, first: civil::Date) -> bool {
    let rule = rule.to_ascii_uppercase();
    let parts = || rule.split(';').filter_map(|part| part.split_once('='));
    let month = parts().any(|(name, _)| name == "BYMONTH");
    rule.split(';').all(|part| part.contains('='))
        && parts().any(|part| part == ("FREQ", "YEARLY"))
        && parts().all(|(name, value)| match name {
            "FREQ" => value == "YEARLY",
            "INTERVAL" => value == "1",
            "WKST" => true,
            "BYMONTH" => value.parse() == Ok(first.month()),
            "BYMONTHDAY" => month && value.parse() == Ok(first.day()),
            _ => false,
        })
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
        let nonsense = "it is no calendar: `BEGIN:VCALENDAR` is expected in its line 1";
        assert_eq!(read("nonsense").unwrap_err(), nonsense);
        assert_eq!(read("\n").unwrap_err(), "it is no calendar: it is empty");
        assert_eq!(read(HEAD).unwrap_err(), "it is cut off: `END:VCALENDAR` is missing");
        assert!(one("").unwrap_err().contains("no start"));
    }

    /// The mark of its encoding may stand before a text, and several calendars in one file (RFC 5545,
    /// 3.4).
    #[test]
    fn what_stands_around_a_calendar_does_not_matter() {
        let first = format!("{HEAD}DTSTART;VALUE=DATE:20261225\r\n{TAIL}");
        let second = format!("{HEAD}DTSTART;VALUE=DATE:20270101\r\n{TAIL}");
        let both = read(&format!("\u{feff}{first}\r\n{second}")).unwrap();
        assert_eq!(both.dates.len(), 2);
    }

    /// RFC 5545, 3.3.10: the parts of a rule that say what its start says already, in any letters.
    #[test]
    fn the_same_date_every_year_can_be_said_in_several_ways() {
        let rule = |rule: &str| one(&format!("DTSTART;VALUE=DATE:20260701\r\nRRULE:{rule}\r\n"));
        let july = MonthDay { month: 7, day: 1 };
        for same in [
            "FREQ=YEARLY",
            "freq=yearly;interval=1",
            "FREQ=YEARLY;BYMONTH=7;BYMONTHDAY=1",
            "FREQ=YEARLY;BYMONTH=07;WKST=MO",
        ] {
            assert_eq!(rule(same), Ok(DateSpan::Yearly(july, july)), "{same}");
        }
        for other in [
            "FREQ=YEARLY;BYMONTH=8",
            "FREQ=YEARLY;BYMONTHDAY=1",
            "FREQ=YEARLY;BYMONTH=7,8;BYMONTHDAY=1",
            "FREQ=YEARLY;COUNT=3",
            "FREQ=YEARLY;BYMONTH=7;BYDAY=1MO",
            "BYMONTH=7;BYMONTHDAY=1",
            "FREQ=YEARLY;",
        ] {
            assert!(rule(other).unwrap_err().contains("comes back by"), "{other}");
        }
    }
}
