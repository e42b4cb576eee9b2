//! Small values: names, paths, ranges, dates and times, each with its place where one matters.

use crate::atom::AtomKind;
use crate::phrase::Phrase;
use curtilage_text::Span;
use smallvec::SmallVec;

/// A value and the words that say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it is said.
    pub span: Span,
}

/// A name; its text is that of the span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Name {
    /// Where it stands.
    pub span: Span,
}

/// Names; one or two need no memory of their own.
pub type Names = SmallVec<[Name; 2]>;

/// `head.in1`, `yard-run.gate`, or a name alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Path {
    /// The thing.
    pub head: Name,
    /// Its terminal or tap.
    pub tail: Option<Name>,
}

impl Path {
    /// The span of the whole path.
    #[must_use]
    pub fn span(&self) -> Span {
        self.tail.map_or(self.head.span, |tail| self.head.span.to(tail.span))
    }
}

/// A closed range, in the base unit of its quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end, never below `low`.
    pub high: f64,
}

/// Direct or alternating current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CurrentKind {
    /// Direct current.
    Dc,
    /// Alternating current; voltages and currents are r.m.s.
    Ac,
}

impl CurrentKind {
    /// `dc` or `ac`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Dc => "dc",
            Self::Ac => "ac",
        }
    }
}

pub(crate) const CURRENT_KINDS: &[(&str, CurrentKind)] =
    &[("dc", CurrentKind::Dc), ("ac", CurrentKind::Ac)];

/// A day of the proleptic Gregorian calendar; it exists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    /// 1 to 9999.
    pub year: i16,
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
}

impl Date {
    /// The day that `2026-12-25` names; none when there is no such day.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let mut fields = text.split('-');
        let (year, month, day) = (fields.next()?, fields.next()?, fields.next()?);
        if fields.next().is_some() || (year.len(), month.len(), day.len()) != (4, 2, 2) {
            return None;
        }
        let (year, month, day) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
        let exists = year > 0 && day > 0 && day <= month_length(year, month);
        exists.then_some(Self { year, month, day })
    }
}

/// A day of every year; 02-29 is taken in leap years only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MonthDay {
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
}

/// One date, a range of dates, or a day or range of days of every year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DateSpan {
    /// From the first date to the last, both counted.
    Dates(Date, Date),
    /// From the first day to the last of every year, both counted; may run over New Year.
    Yearly(MonthDay, MonthDay),
}

/// A time of day in milliseconds since midnight, up to `24:00`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Clock(pub u32);

/// A set of weekdays, Monday in bit 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Days(pub u8);

impl Days {
    /// Whether the day (0 is Monday) is in the set.
    #[must_use]
    pub fn has(self, day: u8) -> bool {
        self.0 & (1 << day) != 0
    }
}

/// The weekdays as they are written.
pub(crate) const WEEKDAYS: &[(&str, u8)] =
    &[("Mon", 0), ("Tue", 1), ("Wed", 2), ("Thu", 3), ("Fri", 4), ("Sat", 5), ("Sun", 6)];

const MONTH_LENGTHS: [u8; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

fn month_length(year: i16, month: u8) -> u8 {
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = month.checked_sub(1).and_then(|at| MONTH_LENGTHS.get(usize::from(at))).copied();
    days.map_or(0, |days| days + u8::from(month == 2 && leap))
}

impl Phrase<'_, '_> {
    /// `2026-12-25`; the day has to exist.
    pub(crate) fn date(&mut self) -> Option<Spanned<Date>> {
        let (span, text) = self.take(&AtomKind::Date, "a date, such as `2026-12-25`")?;
        match Date::from_text(text) {
            Some(value) => Some(Spanned { value, span }),
            None => self.bad(
                span,
                "there is no such day",
                "write year, month and day, such as `2026-12-25`",
            ),
        }
    }

    fn month_day(&mut self) -> Option<Spanned<MonthDay>> {
        let what = "a day of the year, such as `12-25`";
        let (span, text) = self.take(&AtomKind::MonthDay, what)?;
        let mut fields = text.split('-').map(|field| field.parse::<u8>().unwrap_or(0));
        let (month, day) = (fields.next()?, fields.next()?);
        if day == 0 || day > month_length(2024, month) {
            return self.bad(span, "there is no such day", "write month and day, such as `12-25`");
        }
        Some(Spanned { value: MonthDay { month, day }, span })
    }

    /// A date, a range of dates, or `every` and a day or range of days.
    pub(crate) fn date_span(&mut self) -> Option<Spanned<DateSpan>> {
        if self.eat("every") {
            let first = self.month_day()?;
            let last = if self.eat("to") { self.month_day()? } else { first };
            let value = DateSpan::Yearly(first.value, last.value);
            return Some(Spanned { value, span: first.span.to(last.span) });
        }
        if !self.is_date() {
            return self.expected("a date, such as `2026-12-25`, or `every 12-25`");
        }
        let first = self.date()?;
        let last = if self.eat("to") { self.date()? } else { first };
        let span = first.span.to(last.span);
        if last.value < first.value {
            let help = format!("write `{} to {}`", self.text(last.span), self.text(first.span));
            return self.bad(span, "the range of dates runs backwards", help);
        }
        Some(Spanned { value: DateSpan::Dates(first.value, last.value), span })
    }

    /// `07:30`, `10:00:00.200`, `24:00`.
    pub(crate) fn clock(&mut self) -> Option<Spanned<Clock>> {
        let (span, text) = self.take(&AtomKind::Clock, "a time of day, such as `07:30`")?;
        let (time, fraction) = text.split_once('.').unwrap_or((text, ""));
        let mut fields = time.split(':').map(|field| field.parse::<u32>().unwrap_or(99));
        let (hour, minute) = (fields.next()?, fields.next()?);
        let second = fields.next().unwrap_or(0);
        let millisecond = format!("{fraction:0<3}").parse::<u32>().unwrap_or(0);
        let total = ((hour * 60 + minute) * 60 + second) * 1000 + millisecond;
        if minute > 59 || second > 59 || total > 86_400_000 {
            let why = "there is no such time of day; the last is `24:00`";
            return self.bad(span, why, "write hour and minute, such as `07:30`");
        }
        Some(Spanned { value: Clock(total), span })
    }

    /// `Mon to Fri, Sun`; a range may run over Sunday.
    pub(crate) fn days(&mut self) -> Option<Spanned<Days>> {
        let mut set = Days::default();
        let mut span: Option<Span> = None;
        loop {
            let first = self.one_of(WEEKDAYS)?;
            let last = if self.eat("to") { self.one_of(WEEKDAYS)? } else { first };
            let mut day = first.value;
            loop {
                set.0 |= 1 << day;
                if day == last.value {
                    break;
                }
                day = (day + 1) % 7;
            }
            let here = first.span.to(last.span);
            span = Some(span.map_or(here, |span| span.to(here)));
            if !self.comma() {
                break;
            }
        }
        Some(Spanned { value: set, span: span? })
    }
}
