//! Spans and totals as people write them.

use jiff::civil::Weekday;

use crate::clock::DayMinute;
use crate::days::{DAY, date_of, day_number, minute_number, weekday_index, weekday_of};
use crate::local::LocalSpan;
use crate::week_set::{WeekPiece, WeekSet};

/// The English name of a day in three letters, `Mon`.
pub fn day_name(day: Weekday) -> &'static str {
    match day {
        Weekday::Monday => "Mon",
        Weekday::Tuesday => "Tue",
        Weekday::Wednesday => "Wed",
        Weekday::Thursday => "Thu",
        Weekday::Friday => "Fri",
        Weekday::Saturday => "Sat",
        Weekday::Sunday => "Sun",
    }
}

/// Minutes as `45 min`, `24 h` or `61 h 30 min`; days are not used.
pub fn duration(minutes: u64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}

/// The length of a set, `61 h 30 min a week`.
pub fn weekly_total(set: &WeekSet) -> String {
    format!("{} a week", duration(u64::from(set.minutes())))
}

/// One piece, `Sat 12:30 to Mon 07:30`; the second day is left out when it is the first.
pub(crate) fn piece(piece: &WeekPiece) -> String {
    let (start, end_day, end) = (piece.start(), piece.end_day(), piece.end_time());
    let same_day = i64::from(start.time().minutes()) + i64::from(piece.minutes()) <= DAY;
    if same_day {
        format!("{start} to {end}")
    } else {
        format!("{start} to {} {end}", day_name(end_day))
    }
}

/// A whole set, `Mon to Fri 07:30 to 18:00; Sat 08:00 to 12:30`.
///
/// Pieces shorter than a day that have the same times share one entry, which then says only
/// times: `Mon to Thu 18:00 to 07:30` ends on the day after each.
pub(crate) fn week(set: &WeekSet) -> String {
    if set.is_empty() {
        return "at no time".to_owned();
    }
    if set.is_full() {
        return "all week".to_owned();
    }
    let mut groups: Vec<(WeekPiece, Vec<i64>)> = Vec::new();
    for piece in set.pieces() {
        let short = |p: &WeekPiece| {
            i64::from(p.minutes()) < DAY
                || p.minutes() == DAY as u32 && p.start().time().minutes() == 0
        };
        let alike = |p: &WeekPiece| {
            short(p) && p.minutes() == piece.minutes() && p.start().time() == piece.start().time()
        };
        let day = weekday_index(piece.start().day());
        match groups.iter_mut().find(|(first, _)| alike(first)) {
            Some((_, days)) => days.push(day),
            None => groups.push((piece, vec![day])),
        }
    }
    let entries: Vec<String> = groups
        .iter()
        .map(|(first, days)| match days.as_slice() {
            [_] => piece(first),
            days => format!("{} {} to {}", day_list(days), first.start().time(), first.end_time()),
        })
        .collect();
    entries.join("; ")
}

/// Rising days, three or more in a row as a range: `Mon, Wed to Fri`.
fn day_list(days: &[i64]) -> String {
    let name = |day: i64| day_name(weekday_of(day));
    let mut parts = Vec::new();
    for row in days.chunk_by(|a, b| a + 1 == *b) {
        match row {
            [first, _, .., last] => parts.push(format!("{} to {}", name(*first), name(*last))),
            few => parts.extend(few.iter().map(|day| name(*day).to_owned())),
        }
    }
    parts.join(", ")
}

/// A dated span, `Fri 2026-12-25 00:00 to 24:00`; the second date is left out when it is the
/// first.
pub(crate) fn local_span(span: &LocalSpan) -> String {
    let (start, end) = (minute_number(span.start), minute_number(span.end));
    let (first, last) = (span.start.date(), date_of((end - 1).div_euclid(DAY)));
    let mut out =
        format!("{} {first} {} to ", day_name(first.weekday()), DayMinute::starting(start));
    if day_number(first) != day_number(last) {
        out.push_str(&format!("{} {last} ", day_name(last.weekday())));
    }
    out.push_str(&DayMinute::ending(end).to_string());
    out
}
