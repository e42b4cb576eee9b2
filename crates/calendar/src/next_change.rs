//! What is covered at an instant, and until when.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::dates::DateRule;
use crate::days::day_number;
use crate::exception::Days;
use crate::instants::{Reading, seconds};
use crate::schedule::Schedule;
use crate::zone::{second_of, timestamp};

/// The instant at which a schedule begins or ceases to cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Change {
    /// The first instant of the new state.
    pub at: Timestamp,
    /// Whether the schedule covers from then on.
    pub covers: bool,
}

/// Day number of 9998-12-01; nothing is looked for later.
const LAST: i64 = 2_932_501;
/// The Gregorian calendar, week days included, repeats after 400 years.
const PERIOD: i64 = 146_097;
/// Days of the windows that are looked through one after the other; the last repeats.
const STEPS: [i64; 5] = [10, 60, 370, 1_830, 7_320];

impl Schedule<'_> {
    /// Whether the schedule covers the instant.
    pub fn covers(&self, at: Timestamp, zone: &TimeZone, reading: Reading) -> bool {
        let day = day_number(zone.to_datetime(at).date());
        seconds(self, (day - 1, day + 2), zone, reading).0.contains(second_of(at))
    }

    /// The first change after an instant, or none when there never is one again (up to the
    /// year 9998).
    pub fn next_change(
        &self,
        after: Timestamp,
        zone: &TimeZone,
        reading: Reading,
    ) -> Option<Change> {
        let now = second_of(after);
        let first = day_number(zone.to_datetime(after).date()) - 1;
        let horizon = self.last_new_day(first).min(LAST);
        let covers = self.covers(after, zone, reading);
        let mut from = first;
        let mut steps = STEPS.into_iter();
        let mut step = 0;
        while from < horizon {
            step = steps.next().unwrap_or(step);
            let to = (from + step).min(LAST);
            let (runs, (start, end)) = seconds(self, (from, to), zone, reading);
            // The state holds at least until here.
            let since = now.max(start);
            let at = match runs.at_or_after(since) {
                Some((run_start, run_end)) if covers && run_start <= since => run_end,
                Some((run_start, _)) if !covers => run_start,
                _ if covers => since,
                _ => end,
            };
            if at < end {
                return Some(Change { at: timestamp(at), covers: !covers });
            }
            from = to;
        }
        None
    }

    /// A day by which everything that can happen has happened, counting from `first`.
    fn last_new_day(&self, first: i64) -> i64 {
        let holidays = self.calendar().holidays();
        let (mut last, mut yearly) = (first, false);
        let mut see = |rule: &DateRule| match rule.last_day() {
            Some(day) => last = last.max(day),
            None => {
                yearly = true;
                last = last.max(rule.begins().unwrap_or(first));
            }
        };
        for (_, plan) in self.plans() {
            for exception in plan.exceptions() {
                match exception.days() {
                    Days::On(rule) => see(&rule),
                    Days::Holidays => holidays.rules().for_each(&mut see),
                }
            }
        }
        // A span lasts up to a week, and two weeks more hold every edge of a week.
        last + if yearly { PERIOD + 30 } else { 30 }
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    /// Source: jiff's dates.
    #[test]
    fn constants() {
        assert_eq!(LAST, day_number(date(9998, 12, 1)));
        assert_eq!(PERIOD, day_number(date(2400, 1, 1)) - day_number(date(2000, 1, 1)));
        assert_eq!(PERIOD % 7, 0);
    }
}
