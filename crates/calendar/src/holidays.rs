//! The dates that a site calls holidays.

use jiff::civil::Date;

use crate::dates::{DateRule, merged_days};
use crate::days::date_of;
use crate::local::DateWindow;
use crate::runs::Runs;
use crate::week_span::ItemId;

/// Holidays as the caller lists them, each with the caller's number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Holidays(Vec<(ItemId, DateRule)>);

impl Holidays {
    /// From the list; the order and repeats do not matter.
    pub fn new(rules: impl IntoIterator<Item = (ItemId, DateRule)>) -> Self {
        Self(rules.into_iter().collect())
    }

    /// None.
    pub const NONE: Self = Self(Vec::new());

    /// Whether none is listed.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether the date is a holiday.
    pub fn contains(&self, date: Date) -> bool {
        self.on(date).next().is_some()
    }

    /// The listed items that make the date a holiday.
    pub fn on(&self, date: Date) -> impl Iterator<Item = ItemId> + '_ {
        self.0.iter().filter(move |(_, rule)| rule.falls_on(date)).map(|(id, _)| *id)
    }

    /// The dates of a window that are holidays, in order, each once.
    #[must_use]
    pub fn within(&self, window: DateWindow) -> Vec<Date> {
        let (from, to) = window.day_numbers();
        let days = self.days_within(from, to);
        days.as_slice().iter().flat_map(|run| run.0..run.1).map(date_of).collect()
    }

    /// Day numbers in `[from, to)`.
    pub(crate) fn days_within(&self, from: i64, to: i64) -> Runs {
        merged_days(self.rules(), from, to)
    }

    pub(crate) fn rules(&self) -> impl Iterator<Item = &DateRule> {
        self.0.iter().map(|(_, rule)| rule)
    }
}

#[cfg(test)]
mod tests {
    use super::{Holidays, ItemId};
    use crate::dates::DateRule;
    use crate::local::DateWindow;
    use jiff::civil::{Date, date};

    #[test]
    fn the_holidays_of_a_window_are_its_dates_that_are_holidays() {
        let rules = [
            DateRule::yearly(12, 25),
            DateRule::yearly(2, 29),
            DateRule::yearly_range((12, 30), (1, 2)),
            DateRule::range(date(2027, 1, 1), date(2027, 1, 5)),
            Ok(DateRule::on(date(2028, 12, 25))),
            DateRule::yearly(3, 9).map(|rule| rule.since(date(2028, 3, 9))),
        ];
        let holidays = Holidays::new(rules.map(|rule| (ItemId(0), rule.unwrap())));
        for (first, end) in [
            (date(2027, 1, 1), date(2029, 1, 1)),
            (date(2027, 12, 31), date(2028, 1, 1)),
            (date(2028, 2, 29), date(2028, 3, 1)),
            (date(2027, 3, 1), date(2027, 4, 1)),
        ] {
            let window = DateWindow::new(first, end).unwrap();
            let days = first.series(jiff::Span::new().days(1)).take_while(|day| *day < end);
            let wanted: Vec<Date> = days.filter(|day| holidays.contains(*day)).collect();
            assert_eq!(holidays.within(window), wanted, "{first} to {end}");
        }
    }

    /// Days over New Year that come back from 2026 on: not those with which 2026 begins.
    #[test]
    fn what_comes_back_from_a_date_on_is_not_before_it() {
        let rule = DateRule::yearly_range((12, 30), (1, 2)).unwrap().since(date(2026, 12, 30));
        let days = |first, end| {
            let window = DateWindow::new(first, end).unwrap();
            Holidays::new([(ItemId(0), rule)]).within(window).len()
        };
        assert_eq!(days(date(2025, 1, 1), date(2026, 12, 30)), 0);
        assert_eq!(days(date(2026, 12, 30), date(2027, 1, 3)), 4);
        assert_eq!(days(date(2027, 1, 3), date(2029, 1, 1)), 2 + 4);
        assert!(!rule.falls_on(date(2026, 1, 1)) && rule.falls_on(date(2027, 1, 1)));
        // What does not come back is as it was.
        let once = DateRule::on(date(2026, 1, 1));
        assert_eq!(once.since(date(2027, 1, 1)), once);
    }
}
