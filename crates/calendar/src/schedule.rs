//! What a schedule covers on the local clock face, dated and in the ordinary week.

use jiff::civil::{Date, DateTime};

use crate::calendar::{Calendar, Node, ScheduleId};
use crate::days::{DAY, WEEK, date_of, day_number, minute_number};
use crate::exception::{Days, Effect, Exception};
use crate::local::{DateWindow, LocalSpans};
use crate::plan::{WeeklyPlan, repeated};
use crate::runs::Runs;
use crate::week_set::WeekSet;
use crate::week_span::ItemId;

/// One schedule of a [`Calendar`], to ask it something.
#[derive(Clone, Copy, Debug)]
pub struct Schedule<'a> {
    calendar: &'a Calendar,
    id: ScheduleId,
}

/// An exception that touches a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DatedItem {
    /// The schedule in whose plan the exception is.
    pub schedule: ScheduleId,
    /// The exception.
    pub exception: ItemId,
    /// The holiday, when the exception is for holidays.
    pub holiday: Option<ItemId>,
}

impl<'a> Schedule<'a> {
    pub(crate) fn new(calendar: &'a Calendar, id: ScheduleId) -> Self {
        Self { calendar, id }
    }

    /// Its id.
    pub fn id(&self) -> ScheduleId {
        self.id
    }

    /// Whether every week is the ordinary one.
    pub(crate) fn is_plain(&self) -> bool {
        self.calendar.is_plain(self.id)
    }

    pub(crate) fn calendar(&self) -> &'a Calendar {
        self.calendar
    }

    /// The plans that it builds on.
    pub(crate) fn plans(&self) -> impl Iterator<Item = (ScheduleId, &'a WeeklyPlan)> + use<'a> {
        self.calendar.reached(self.id).into_iter().filter_map(|(id, node)| match node {
            Node::Weekly(plan) => Some((id, plan)),
            _ => None,
        })
    }

    /// Covered local minutes in `[from, to)`.
    pub(crate) fn local_minutes(&self, from: i64, to: i64) -> Runs {
        if self.is_plain() {
            return repeated(self.ordinary_week(), from, to);
        }
        let holidays = self.calendar.holidays();
        self.calendar.fold(self.id, (from, to), |plan| plan.local(holidays, from, to))
    }

    /// What is covered in a window, on the local clock face.
    pub fn local(&self, window: DateWindow) -> LocalSpans {
        let (from, to) = window.minutes();
        LocalSpans(self.local_minutes(from, to))
    }

    /// Whether the local minute is covered. Says nothing of clock changes: see
    /// [`Schedule::covers`].
    pub fn covers_local(&self, at: DateTime) -> bool {
        let minute = minute_number(at);
        self.local_minutes(minute, minute + 1).contains(minute)
    }

    /// Its plan, when it is none that builds on others.
    pub fn plan(&self) -> Option<&'a WeeklyPlan> {
        self.calendar.plan(self.id)
    }

    /// The ordinary week: all plans without their exceptions. What it leaves uncovered is its
    /// [`WeekSet::complement`].
    pub fn ordinary_week(&self) -> &'a WeekSet {
        self.calendar.week(self.id)
    }

    fn ordinary(&self, window: DateWindow) -> Runs {
        let (from, to) = window.minutes();
        repeated(self.ordinary_week(), from, to)
    }

    /// What the ordinary week would cover and the dated schedule does not.
    pub fn missing(&self, window: DateWindow) -> LocalSpans {
        if self.is_plain() {
            return LocalSpans::default();
        }
        LocalSpans(self.ordinary(window).minus(&self.local(window).0))
    }

    /// What the dated schedule covers and the ordinary week would not.
    pub fn extra(&self, window: DateWindow) -> LocalSpans {
        if self.is_plain() {
            return LocalSpans::default();
        }
        LocalSpans(self.local(window).0.minus(&self.ordinary(window)))
    }

    /// Whether no minute of the window is covered.
    pub fn is_empty(&self, window: DateWindow) -> bool {
        // Some weeks at a time: nearly always the first ones settle it.
        const AT_ONCE: i64 = 4 * WEEK;
        let (mut from, end) = window.minutes();
        if self.is_plain() && end - from >= WEEK {
            return self.ordinary_week().is_empty();
        }
        while from < end {
            let to = end.min(from + AT_ONCE);
            if !self.local_minutes(from, to).is_empty() {
                return false;
            }
            from = to;
        }
        true
    }

    /// The exceptions that touch a date, in the order of schedules and of writing; one for each
    /// holiday item. An exception whose times run past midnight touches the next date too.
    pub fn dated_items_on(&self, date: Date) -> Vec<DatedItem> {
        let day = day_number(date);
        let mut out = Vec::new();
        for (schedule, plan) in self.plans() {
            for exception in plan.exceptions() {
                let mut add = |holiday| {
                    let item = DatedItem { schedule, exception: exception.id(), holiday };
                    if !out.contains(&item) {
                        out.push(item);
                    }
                };
                let days_back = if reaches_next_day(exception) { 1 } else { 0 };
                for day in day - days_back..=day {
                    let on = date_of(day);
                    match exception.days() {
                        Days::On(rule) if rule.falls_on(on) => add(None),
                        Days::On(_) => {}
                        Days::Holidays => {
                            self.calendar.holidays().on(on).for_each(|id| add(Some(id)));
                        }
                    }
                }
            }
        }
        out
    }
}

fn reaches_next_day(exception: &Exception) -> bool {
    match exception.effect() {
        Effect::Except(times) | Effect::Plus(times) => i64::from(times.end()) > DAY,
        Effect::ExceptStarting => false,
    }
}
