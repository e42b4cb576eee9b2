//! The dates that a site calls holidays.

use jiff::civil::Date;

use crate::dates::{DateRule, merged_days};
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

    /// Day numbers in `[from, to)`.
    pub(crate) fn days_within(&self, from: i64, to: i64) -> Runs {
        merged_days(self.rules(), from, to)
    }

    pub(crate) fn rules(&self) -> impl Iterator<Item = &DateRule> {
        self.0.iter().map(|(_, rule)| rule)
    }
}
