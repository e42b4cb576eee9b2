//! Which dates an exception or a holiday falls on.

use jiff::civil::Date;

use crate::days::{date_of, day_number};
use crate::error::CalendarError;
use crate::runs::{Run, Runs};

/// A date, a range of dates, or dates that come back every year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DateRule(Kind);

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Kind {
    /// Day numbers, both in.
    Range { first: i64, last: i64 },
    /// (month, day), both in; none before a day number.
    Yearly { first: (i8, i8), last: (i8, i8), since: i64 },
}

impl DateRule {
    /// One date.
    pub fn on(date: Date) -> Self {
        let day = day_number(date);
        Self(Kind::Range { first: day, last: day })
    }

    /// All dates from the first to the last, both included.
    ///
    /// # Errors
    /// [`CalendarError::DatesReversed`] when the last lies before the first.
    pub fn range(first: Date, last: Date) -> Result<Self, CalendarError> {
        if last < first {
            return Err(CalendarError::DatesReversed { first, last });
        }
        Ok(Self(Kind::Range { first: day_number(first), last: day_number(last) }))
    }

    /// A month and day of every year. 29 February falls in leap years only.
    ///
    /// # Errors
    /// [`CalendarError::NoSuchDay`] when no year has it.
    pub fn yearly(month: i8, day: i8) -> Result<Self, CalendarError> {
        Self::yearly_range((month, day), (month, day))
    }

    /// From a (month, day) to a (month, day) of every year, both included, over the new year
    /// when the last is earlier in the year than the first. In a common year a range from
    /// 29 February starts on 1 March and a range to 29 February ends on 28 February. Meant for
    /// the years 1 to 9998.
    ///
    /// # Errors
    /// [`CalendarError::NoSuchDay`] when no year has one of the two.
    pub fn yearly_range(first: (i8, i8), last: (i8, i8)) -> Result<Self, CalendarError> {
        for (month, day) in [first, last] {
            // 2000 is a leap year: it has every day that any year has.
            Date::new(2000, month, day).map_err(|_| CalendarError::NoSuchDay { month, day })?;
        }
        Ok(Self(Kind::Yearly { first, last, since: i64::MIN }))
    }

    /// The same without what comes back before a date; a rule that does not come back stays as it is.
    #[must_use]
    pub fn since(self, date: Date) -> Self {
        match self.0 {
            Kind::Range { .. } => self,
            Kind::Yearly { first, last, .. } => {
                Self(Kind::Yearly { first, last, since: day_number(date) })
            }
        }
    }

    /// Whether it falls on the date.
    pub fn falls_on(&self, date: Date) -> bool {
        let day = day_number(date);
        let mut out = Vec::new();
        self.days_within(day, day + 1, &mut out);
        !out.is_empty()
    }

    /// Adds the day numbers in `[from, to)` as runs.
    pub(crate) fn days_within(&self, from: i64, to: i64, out: &mut Vec<Run>) {
        let mut add = |first: i64, end: i64| {
            let (first, end) = (first.max(from), end.min(to));
            if first < end {
                out.push((first, end));
            }
        };
        match self.0 {
            Kind::Range { first, last } => add(first, last + 1),
            Kind::Yearly { first, last, since } => {
                // One year early: a range may reach over the new year.
                for year in date_of(from).year().saturating_sub(1)..=date_of(to).year() {
                    let end_year = if last < first { year.saturating_add(1) } else { year };
                    let begin = on_or_next(year, first);
                    let end = match Date::new(end_year, last.0, last.1) {
                        Ok(date) => Some(day_number(date) + 1),
                        Err(_) => on_or_next(end_year, last),
                    };
                    if let (Some(begin), Some(end)) = (begin, end) {
                        add(begin.max(since), end);
                    }
                }
            }
        }
    }

    /// Day number from which a rule comes back, if it does so from a date on.
    pub(crate) fn begins(&self) -> Option<i64> {
        match self.0 {
            Kind::Yearly { since, .. } if since > i64::MIN => Some(since),
            Kind::Range { .. } | Kind::Yearly { .. } => None,
        }
    }

    /// Day number after which a rule that does not come back has no more dates.
    pub(crate) fn last_day(&self) -> Option<i64> {
        match self.0 {
            Kind::Range { last, .. } => Some(last),
            Kind::Yearly { .. } => None,
        }
    }
}

/// The day, or 1 March for a 29 February that the year lacks; none beyond the last year.
fn on_or_next(year: i16, (month, day): (i8, i8)) -> Option<i64> {
    Date::new(year, month, day).or_else(|_| Date::new(year, 3, 1)).ok().map(day_number)
}

/// The days of many rules in `[from, to)`, merged.
pub(crate) fn merged_days<'a>(
    rules: impl IntoIterator<Item = &'a DateRule>,
    from: i64,
    to: i64,
) -> Runs {
    let mut out = Vec::new();
    for rule in rules {
        rule.days_within(from, to, &mut out);
    }
    Runs::of(out)
}
