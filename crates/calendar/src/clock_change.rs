//! Edges of a schedule that fall in an hour which the clocks skip or repeat.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, TimeZone};

use crate::days::{DAY, WEEK, datetime_of, week_start};
use crate::exception::Effect;
use crate::local::DateWindow;
use crate::runs::Runs;
use crate::schedule::Schedule;
use crate::week_span::ItemId;
use crate::zone::Offsets;

/// What the clocks do to a local time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ClockChange {
    /// The clocks go forward over it: it does not occur.
    Skipped,
    /// The clocks go back over it: it occurs twice.
    Repeated,
}

/// Which end of a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EdgeKind {
    /// The schedule begins to cover.
    Start,
    /// The schedule ceases to cover.
    End,
}

/// An edge in a skipped or repeated hour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockChangeEdge {
    /// The edge as written, date and time.
    pub local: DateTime,
    /// Skipped or repeated.
    pub change: ClockChange,
    /// Start or end.
    pub edge: EdgeKind,
    /// The instant that the default reading takes (RFC 5545 section 3.3.5, jiff `Compatible`).
    pub taken_as: Timestamp,
    /// The other instant that could be meant: for a repeated time its second pass, for a
    /// skipped one the reading with the offset after the change.
    pub other: Timestamp,
    /// What the local clock shows at `taken_as`; later than `local` for a skipped time.
    pub shown: DateTime,
    /// The written spans and exceptions that have an edge there, sorted.
    pub items: Vec<ItemId>,
}

/// The stretches of a window that the clocks of a zone skip or repeat: the same for all schedules.
#[derive(Clone, Debug)]
pub struct ClockChanges {
    zone: TimeZone,
    stretches: Runs,
}

impl ClockChanges {
    /// Those of a zone on the dates of a window.
    pub fn new(window: DateWindow, zone: TimeZone) -> Self {
        let (from, to) = window.minutes();
        let stretches = Offsets::new(&zone, from - DAY, to + DAY).changed_minutes().clip(from, to);
        Self { zone, stretches }
    }
}

impl Schedule<'_> {
    /// The edges of the schedule on the dates of the window that the clocks skip or repeat, in
    /// local order. Only edges that remain are listed, so two spans that meet at 01:30 have none
    /// there.
    pub fn edges_in_clock_change(
        &self,
        window: DateWindow,
        zone: &TimeZone,
    ) -> Vec<ClockChangeEdge> {
        self.edges_in(&ClockChanges::new(window, zone.clone()))
    }

    /// The same for clock changes that are known.
    pub fn edges_in(&self, changes: &ClockChanges) -> Vec<ClockChangeEdge> {
        let mut found = Vec::new();
        for &(first, end) in changes.stretches.as_slice() {
            if self.has_no_edge(first, end) {
                continue;
            }
            // A day more on each side, so that no edge is one of this stretch itself.
            let local = self.local_minutes(first - DAY, end + DAY);
            let runs = local.as_slice().iter();
            let edges = runs.flat_map(|&(a, b)| [(a, EdgeKind::Start), (b, EdgeKind::End)]);
            let edges = edges.filter(|(minute, _)| (first..end).contains(minute));
            found.extend(edges.filter_map(|(minute, edge)| self.edge(minute, edge, &changes.zone)));
        }
        found
    }

    /// Whether it is seen at a glance that no edge lies in these minutes: every week is the ordinary
    /// one, and that has none there. Where weeks meet there may be one.
    fn has_no_edge(&self, first: i64, end: i64) -> bool {
        let from = first - week_start(first);
        let to = from + (end - first);
        // The first run that ends here or later: those behind it begin later still.
        let near = self.ordinary_week().runs().at_or_after(from - 1);
        let none = near.is_none_or(|(start, end)| end >= to && !(from..to).contains(&start));
        none && from > 0 && to < WEEK && self.is_plain()
    }

    fn edge(&self, minute: i64, edge: EdgeKind, zone: &TimeZone) -> Option<ClockChangeEdge> {
        let local = datetime_of(minute);
        let readings = zone.to_ambiguous_timestamp(local);
        let (earlier, later) = (readings.earlier().ok()?, readings.later().ok()?);
        let (change, taken_as, other) = match readings.offset() {
            AmbiguousOffset::Unambiguous { .. } => return None,
            AmbiguousOffset::Gap { .. } => (ClockChange::Skipped, later, earlier),
            AmbiguousOffset::Fold { .. } => (ClockChange::Repeated, earlier, later),
        };
        let shown = zone.to_datetime(taken_as);
        Some(ClockChangeEdge {
            local,
            change,
            edge,
            taken_as,
            other,
            shown,
            items: self.items_with_edge(minute),
        })
    }

    /// The written items that have an end at a local minute.
    fn items_with_edge(&self, minute: i64) -> Vec<ItemId> {
        let in_week = minute - week_start(minute);
        let day = minute.div_euclid(DAY);
        let holidays = self.calendar().holidays();
        let mut out = Vec::new();
        for (_, plan) in self.plans() {
            for span in plan.spans() {
                let (start, end) = span.run();
                if start == in_week || end.rem_euclid(WEEK) == in_week {
                    out.push(span.id());
                }
            }
            for exception in plan.exceptions() {
                let times = match exception.effect() {
                    Effect::Except(times) | Effect::Plus(times) => times,
                    Effect::ExceptStarting => continue,
                };
                let days = exception.days_within(holidays, day - 2, day + 1);
                let has_edge = (day - 2..=day).filter(|day| days.contains(*day)).any(|day| {
                    [times.start(), times.end()].iter().any(|t| day * DAY + i64::from(*t) == minute)
                });
                if has_edge {
                    out.push(exception.id());
                }
            }
        }
        out.sort_unstable();
        out.dedup();
        out
    }
}

#[cfg(test)]
mod tests {
    use crate::calendar::Calendar;
    use crate::clock::{DayMinute, DaySpan};
    use crate::days::{WEEK, week_start};
    use crate::holidays::Holidays;
    use crate::plan::WeeklyPlan;
    use crate::week_span::{ItemId, WeekSpan};
    use jiff::civil::Weekday;
    use proptest::prelude::*;

    /// Times of one day by the hour, so that lines meet and weeks are full; many end with their day.
    fn span() -> impl Strategy<Value = WeekSpan> {
        (0i8..7, 0u32..24, prop_oneof![1u32..24, Just(24)]).prop_filter_map(
            "a span of no length",
            |(day, start, end)| {
                let (start, end) = (DayMinute::new(start, 0).ok()?, DayMinute::new(end, 0).ok()?);
                let day = Weekday::from_monday_zero_offset(day).ok()?;
                Some(WeekSpan::on_day(ItemId(0), day, DaySpan::new(start, end).ok()?))
            },
        )
    }

    proptest! {
        /// Where no edge is seen at a glance, there is none.
        #[test]
        fn what_has_no_edge_at_a_glance_has_none(
            spans in prop::collection::vec(span(), 0..30),
            week in -1i64..2,
            half_hour in prop_oneof![-6i64..6, 0i64..336],
            length in 1i64..300,
        ) {
            let first = week_start(0) + week * WEEK + half_hour * 30;
            let mut calendar = Calendar::new(Holidays::default());
            let id = calendar.weekly(WeeklyPlan::new(spans, Vec::new())).unwrap();
            let schedule = calendar.schedule(id).unwrap();
            let end = first + length;
            let local = schedule.local_minutes(first - WEEK, end + WEEK);
            let edges = local.as_slice().iter().flat_map(|run| [run.0, run.1]);
            let edges = edges.filter(|minute| (first..end).contains(minute)).count();
            prop_assert!(edges == 0 || !schedule.has_no_edge(first, end));
        }
    }
}
