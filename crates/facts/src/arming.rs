//! Questions about the hours of schedules: overlaps, holidays, clock changes, people on site.

use crate::Hours;
use curtilage_calendar::{
    ClockChange, ClockChanges, DateWindow, EdgeKind, LocalSpans, WeekSet, jiff, zone,
};
use curtilage_model::{Schedule, ScheduleBody, ScheduleRef};
use curtilage_syntax::tree::schedule::Written;
use curtilage_text::{Place, Span};

/// Two lines of one schedule that cover the same minutes.
pub struct Overlap {
    /// The line that is written first.
    pub first: Place,
    /// The line that is written second; the same one when a line overlaps itself.
    pub second: Place,
    /// The minutes of the week that both cover.
    pub shared: WeekSet,
}

/// A beginning or an end of a schedule in an hour that the clocks skip or repeat.
pub struct Edge {
    /// The date and time as written: `2027-03-28 01:30`.
    pub local: String,
    /// Whether the clocks skip it; otherwise they repeat it.
    pub skipped: bool,
    /// Whether the schedule begins there; otherwise it ends.
    pub begins: bool,
    /// What the clocks show at the instant that is taken.
    pub shown: String,
    /// The words that have it, where one line has it.
    pub line: Option<Place>,
}

/// A holiday on which a schedule leaves minutes uncovered.
pub struct OpenHoliday {
    /// Its date.
    pub date: jiff::civil::Date,
    /// The minutes that are left.
    pub minutes: u64,
    /// Whether the schedule covers less than on any such weekday.
    pub less: bool,
}

/// At most so many overlaps of one schedule are told.
const MOST_OVERLAPS: usize = 8;

impl Hours {
    /// The pairs of lines of a written schedule that cover the same minutes.
    #[must_use]
    pub fn overlaps(&self, schedule: &Schedule<'_>, id: ScheduleRef) -> Vec<Overlap> {
        let ScheduleBody::Written(written) = &schedule.body else { return Vec::new() };
        let known = self.id(id).and_then(|id| self.calendar.schedule(id).ok()?.plan());
        let Some(plan) = known else { return Vec::new() };
        let mut out: Vec<Overlap> = Vec::new();
        for overlap in plan.overlaps(MOST_OVERLAPS) {
            let at = |id: u32| line(written, id).map(|span| Place::new(schedule.file, span));
            let (Some(first), Some(second)) = (at(overlap.first_id.0), at(overlap.second_id.0))
            else {
                continue;
            };
            // Two lines overlap on several days of the week, and that once.
            let same = |known: &&mut Overlap| (known.first, known.second) == (first, second);
            match out.iter_mut().find(same) {
                Some(known) => known.shared = known.shared.union(&overlap.shared),
                None => out.push(Overlap { first, second, shared: overlap.shared }),
            }
        }
        out
    }

    /// The holidays ahead, to the end of the next year, on which a schedule covers no minute more than on
    /// any such weekday and leaves some uncovered, although `occupied` says that nobody is there.
    #[must_use]
    pub fn open_holidays(
        &self,
        schedule: ScheduleRef,
        occupied: ScheduleRef,
    ) -> Option<Vec<OpenHoliday>> {
        let armed = self.calendar.schedule(self.id(schedule)?).ok()?;
        let people = self.calendar.schedule(self.id(occupied)?).ok()?;
        let window = self.ahead?;
        let holidays = self.calendar.holidays();
        let mut out = Vec::new();
        if holidays.is_empty() || armed.ordinary_week().is_full() {
            return Some(out);
        }
        for day in holidays.within(window) {
            let one = DateWindow::new(day, day.tomorrow().ok()?).ok()?;
            let covered = armed.local(one).minutes();
            let no_more = armed.extra(one).is_empty();
            if no_more && covered < DAY && people.local(one).is_empty() {
                let less = !armed.missing(one).is_empty();
                out.push(OpenHoliday { date: day, minutes: DAY - covered, less });
            }
        }
        Some(out)
    }

    /// Whether a schedule covers a minute of a date that another one leaves uncovered; none when one of
    /// them is not known.
    #[must_use]
    pub fn covers_more_on(
        &self,
        day: jiff::civil::Date,
        schedule: ScheduleRef,
        than: ScheduleRef,
    ) -> Option<bool> {
        let one = DateWindow::new(day, day.tomorrow().ok()?).ok()?;
        let on = |of| Some(self.calendar.schedule(self.id(of)?).ok()?.local(one));
        Some(!on(schedule)?.minus(&on(than)?).is_empty())
    }

    /// The minutes ahead, beyond those of the ordinary week, in which a schedule covers what
    /// `occupied` does; none when one of them is not known. A holiday on which `occupied` is as on any
    /// such weekday is left out: nobody may have thought of it there.
    #[must_use]
    pub fn armed_on_dates(
        &self,
        schedule: ScheduleRef,
        occupied: ScheduleRef,
    ) -> Option<LocalSpans> {
        if self.undated(schedule) || self.undated(occupied) {
            return None;
        }
        let armed = self.calendar.schedule(self.id(schedule)?).ok()?;
        let people = self.calendar.schedule(self.id(occupied)?).ok()?;
        let window = self.ahead?;
        let (more_armed, more_people) = (armed.extra(window), people.extra(window));
        if more_armed.is_empty() && more_people.is_empty() {
            return Some(LocalSpans::default());
        }
        let mut usual = more_armed.intersection(&people.local(window));
        for day in self.calendar.holidays().within(window) {
            if usual.is_empty() {
                break;
            }
            let one = DateWindow::new(day, day.tomorrow().ok()?).ok()?;
            if people.missing(one).is_empty() && people.extra(one).is_empty() {
                usual = usual.minus(&WeekSet::full().in_window(one));
            }
        }
        Some(usual.union(&more_people.intersection(&armed.local(window))))
    }

    /// Whether the site has any holidays.
    #[must_use]
    pub fn has_holidays(&self) -> bool {
        !self.calendar.holidays().is_empty()
    }

    /// What the clocks of a zone skip or repeat from today to the end of the next year; none when it is
    /// not known.
    #[must_use]
    pub fn clock_changes(&self, name: &str) -> Option<ClockChanges> {
        Some(ClockChanges::new(self.ahead?, zone(name).ok()?))
    }

    /// The beginnings and ends of a schedule that the clocks skip or repeat.
    #[must_use]
    pub fn clock_change_edges(
        &self,
        schedule: &Schedule<'_>,
        id: ScheduleRef,
        changes: &ClockChanges,
    ) -> Vec<Edge> {
        // A day of clock change may be one of the holidays.
        let known = (!self.undated(id)).then(|| self.id(id)).flatten();
        let edges = || Some(self.calendar.schedule(known?).ok()?.edges_in(changes));
        let clock = |at: jiff::civil::DateTime| at.strftime("%Y-%m-%d %H:%M").to_string();
        edges()
            .unwrap_or_default()
            .into_iter()
            .map(|edge| Edge {
                local: clock(edge.local),
                skipped: edge.change == ClockChange::Skipped,
                begins: edge.edge == EdgeKind::Start,
                shown: clock(edge.shown),
                line: match (&schedule.body, edge.items.as_slice()) {
                    (ScheduleBody::Written(written), [only]) => {
                        words(written, only.0).map(|span| Place::new(schedule.file, span))
                    }
                    _ => None,
                },
            })
            .collect()
    }
}

/// Minutes of a day on the clock face.
const DAY: u64 = 24 * 60;

/// The words of the weekly line with a number.
fn line(written: &Written, id: u32) -> Option<Span> {
    let weekly = written.weekly.get(id as usize)?;
    Some(weekly.days.span.to(weekly.end.span))
}

/// The words with a number, of the weekly lines and of the dates behind them, in the order of the plan.
fn words(written: &Written, id: u32) -> Option<Span> {
    let except = written.except.iter().map(|dates| dates.span);
    let also = written.also.iter().map(|also| also.dates.span.to(also.end.span));
    let mut dates = except.chain(written.except_holidays).chain(also);
    line(written, id).or_else(|| dates.nth((id as usize).checked_sub(written.weekly.len())?))
}
