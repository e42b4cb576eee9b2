//! Dated exceptions to a weekly plan.

use crate::clock::DaySpan;
use crate::dates::DateRule;
use crate::holidays::Holidays;
use crate::runs::Runs;
use crate::week_span::ItemId;

/// The dates of an exception.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Days {
    /// The dates of a rule.
    On(DateRule),
    /// The holidays of the calendar.
    Holidays,
}

impl From<DateRule> for Days {
    fn from(rule: DateRule) -> Self {
        Self::On(rule)
    }
}

/// What an exception does on its dates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Effect {
    Except(DaySpan),
    ExceptStarting,
    Plus(DaySpan),
}

/// An exception: minus or plus, on certain dates, at certain times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Exception {
    id: ItemId,
    days: Days,
    effect: Effect,
}

impl Exception {
    /// Takes the times of each date away. With [`DaySpan::WHOLE_DAY`] this is what `except`
    /// means in the product: it takes the part of a span that lies on the date, cut at local
    /// midnight, and leaves the rest.
    pub fn except(id: ItemId, days: impl Into<Days>, times: DaySpan) -> Self {
        Self { id, days: days.into(), effect: Effect::Except(times) }
    }

    /// The other reading, not the product's: takes each weekly span that starts on the date
    /// away as a whole, also its part after midnight, and leaves a span that came over from the
    /// day before. It is what RFC 5545 section 3.8.5.1 (`EXDATE`) does.
    pub fn except_starting(id: ItemId, days: impl Into<Days>) -> Self {
        Self { id, days: days.into(), effect: Effect::ExceptStarting }
    }

    /// Adds the times of each date.
    pub fn plus(id: ItemId, days: impl Into<Days>, times: DaySpan) -> Self {
        Self { id, days: days.into(), effect: Effect::Plus(times) }
    }

    /// The caller's number.
    pub fn id(&self) -> ItemId {
        self.id
    }

    /// Its dates.
    pub fn days(&self) -> Days {
        self.days
    }

    pub(crate) fn effect(&self) -> Effect {
        self.effect
    }

    /// Day numbers in `[from, to)`.
    pub(crate) fn days_within(&self, holidays: &Holidays, from: i64, to: i64) -> Runs {
        match &self.days {
            Days::Holidays => holidays.days_within(from, to),
            Days::On(rule) => {
                let mut out = Vec::new();
                rule.days_within(from, to, &mut out);
                Runs::of(out)
            }
        }
    }
}
