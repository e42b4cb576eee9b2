//! The hours of every schedule: the ordinary week, and the dates that differ from it.

use crate::Doubt;
use curtilage_calendar::{
    Calendar, DateRule, DateWindow, DayMinute, DaySpan, Exception, Holidays, ItemId, LocalSpans,
    ScheduleId, WeekSet, WeekSpan, WeeklyPlan, jiff,
};
use curtilage_model::{Model, ScheduleBody, ScheduleRef, ScheduleTerm, Site};
use curtilage_syntax::tree::schedule::Written;
use curtilage_syntax::tree::{Clock, Date, DateSpan, MonthDay};

/// The hours of a model's schedules.
pub struct Hours {
    pub(crate) calendar: Calendar,
    always: Option<ScheduleId>,
    never: Option<ScheduleId>,
    /// By the model's index; none when the schedule is not known.
    ids: Vec<Option<ScheduleId>>,
    /// By the model's index: whether it hangs on holidays that could not be read.
    undated: Vec<bool>,
    pub(crate) window: Option<DateWindow>,
    /// What of the window is not past: nobody can mend a date that is.
    pub(crate) ahead: Option<DateWindow>,
}

/// What a schedule leaves uncovered, or covers beside what it should.
pub struct Uncovered {
    /// In the ordinary week.
    pub week: WeekSet,
    /// On dates, beyond the ordinary week.
    pub dates: LocalSpans,
}

/// What a schedule covers: in the ordinary week, and on the dates of the two years that are looked
/// at. Equal hours are equal values, however they are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Covered {
    /// In the ordinary week.
    pub week: WeekSet,
    /// On the local clock face, in the two years; none when they hang on holidays that could not be read.
    pub dates: Option<LocalSpans>,
    window: DateWindow,
}

impl Covered {
    /// What this covers and another does not: in the ordinary week, and on dates beyond that, as far
    /// as those are known.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Uncovered {
        let week = self.week.minus(&other.week);
        let dates = match (&self.dates, &other.dates) {
            (Some(ours), Some(theirs)) => ours.minus(theirs).minus(&week.in_window(self.window)),
            _ => LocalSpans::default(),
        };
        Uncovered { week, dates }
    }

    /// Minutes of the two years that are covered beyond the ordinary week, and that it would cover;
    /// none when they are not known.
    #[must_use]
    pub fn unusual(&self) -> Option<(u64, u64)> {
        let (dates, usual) = (self.dates.as_ref()?, self.week.in_window(self.window));
        Some((dates.minus(&usual).minutes(), usual.minus(dates).minutes()))
    }

    /// Minutes on the clock face of the longest stretch of the two years.
    #[must_use]
    pub fn longest(&self) -> Option<u64> {
        self.dates.as_ref().map(LocalSpans::longest)
    }
}

impl Hours {
    /// What a schedule covers; none when it is not known.
    #[must_use]
    pub fn covered(&self, schedule: ScheduleRef) -> Option<Covered> {
        let (covers, window) = (self.calendar.schedule(self.id(schedule)?).ok()?, self.window?);
        Some(Covered {
            week: covers.ordinary_week().clone(),
            dates: (!self.undated(schedule)).then(|| covers.local(window)),
            window,
        })
    }

    /// Builds every schedule of the model. The window is the year of `today` and the next.
    pub(crate) fn new(model: &Model<'_>, doubt: &Doubt<'_>, today: Date) -> Self {
        let mut calendar = Calendar::new(holidays(model.site.as_ref()));
        let (always, never) = (calendar.always().ok(), calendar.never().ok());
        let until = |first: jiff::civil::Date| {
            let end = jiff::civil::Date::new(today.year + 2, 1, 1).ok()?;
            DateWindow::new(first, end).ok()
        };
        let window = jiff::civil::Date::new(today.year, 1, 1).ok().and_then(until);
        let ahead = civil(today).and_then(until);
        let none = model.schedules.len();
        let (ids, undated) = (vec![None; none], vec![false; none]);
        let mut hours = Self { calendar, always, never, ids, undated, window, ahead };
        let unread = model.site.as_ref().is_some_and(|site| doubt.about_holidays(site));
        let mut state = vec![false; model.schedules.len()];
        for start in 0..model.schedules.len() {
            hours.build(model, start, unread, &mut state);
        }
        hours
    }

    /// Builds a schedule after those that it is made of. The model has no rings of them.
    fn build(&mut self, model: &Model<'_>, start: usize, unread: bool, done: &mut [bool]) {
        let mut stack = vec![(start, false)];
        while let Some((index, ready)) = stack.pop() {
            if done.get(index).copied().unwrap_or(true) {
                continue;
            }
            let Some(schedule) = model.schedules.get(index) else { continue };
            let (id, undated) = match &schedule.body {
                ScheduleBody::Unknown => (None, false),
                ScheduleBody::Written(written) => {
                    let id = plan(written).and_then(|plan| self.calendar.weekly(plan).ok());
                    (id, unread && written.except_holidays.is_some())
                }
                ScheduleBody::Combined(term) if ready => {
                    let mut used = Vec::new();
                    used_by(term, &mut used);
                    let undated = used.iter().any(|used| self.undated.get(*used) == Some(&true));
                    (self.term(term), undated)
                }
                ScheduleBody::Combined(term) => {
                    stack.push((index, true));
                    let mut used = Vec::new();
                    used_by(term, &mut used);
                    stack.extend(used.into_iter().map(|used| (used, false)));
                    continue;
                }
            };
            let slots = (self.ids.get_mut(index), self.undated.get_mut(index), done.get_mut(index));
            if let (Some(slot), Some(dates), Some(done)) = slots {
                (*slot, *dates, *done) = (id, undated, true);
            }
        }
    }

    fn term(&mut self, term: &ScheduleTerm) -> Option<ScheduleId> {
        match term {
            ScheduleTerm::Named(schedule) => self.id(*schedule),
            ScheduleTerm::Not(inner) => {
                let inner = self.term(inner)?;
                self.calendar.not(inner).ok()
            }
            ScheduleTerm::Plus(left, right) => {
                let (left, right) = (self.term(left)?, self.term(right)?);
                self.calendar.plus(left, right).ok()
            }
            ScheduleTerm::Minus(left, right) => {
                let (left, right) = (self.term(left)?, self.term(right)?);
                self.calendar.minus(left, right).ok()
            }
            ScheduleTerm::Within(left, right) => {
                let (left, right) = (self.term(left)?, self.term(right)?);
                self.calendar.within(left, right).ok()
            }
        }
    }

    pub(crate) fn id(&self, schedule: ScheduleRef) -> Option<ScheduleId> {
        match schedule {
            ScheduleRef::Always => self.always,
            ScheduleRef::Never => self.never,
            ScheduleRef::Of(id) => self.ids.get(id.index()).copied().flatten(),
        }
    }

    /// Whether what a schedule does on dates hangs on holidays that could not be read. Its ordinary
    /// week is known all the same.
    pub(crate) fn undated(&self, schedule: ScheduleRef) -> bool {
        match schedule {
            ScheduleRef::Always | ScheduleRef::Never => false,
            ScheduleRef::Of(id) => self.undated.get(id.index()) == Some(&true),
        }
    }

    /// The hours of the ordinary week.
    #[must_use]
    pub fn week(&self, schedule: ScheduleRef) -> Option<WeekSet> {
        self.ordinary(schedule).cloned()
    }

    /// The same, to look at.
    #[must_use]
    pub fn ordinary(&self, schedule: ScheduleRef) -> Option<&WeekSet> {
        Some(self.calendar.schedule(self.id(schedule)?).ok()?.ordinary_week())
    }

    /// What a schedule leaves uncovered, of dates those ahead, as far as they are known; none when the
    /// schedule is not.
    #[must_use]
    pub fn uncovered(&self, schedule: ScheduleRef) -> Option<Uncovered> {
        let (covers, ahead) = (self.calendar.schedule(self.id(schedule)?).ok()?, self.ahead?);
        let undated = self.undated(schedule);
        let dates = if undated { LocalSpans::default() } else { covers.missing(ahead) };
        Some(Uncovered { week: covers.ordinary_week().complement(), dates })
    }

    /// The hours that lie in all of the first schedules, each without so many minutes of every stretch of
    /// it, so many minutes later, and in none of the others, of dates those ahead, as far as they are
    /// known; none when one of the schedules is not.
    #[must_use]
    pub fn asked_but_not_kept(
        &mut self,
        asked: &[(ScheduleRef, u64)],
        later: u64,
        kept: &[ScheduleRef],
    ) -> Option<Uncovered> {
        if kept.contains(&ScheduleRef::Always) {
            return Some(Uncovered { week: WeekSet::EMPTY, dates: LocalSpans::default() });
        }
        let all = asked.iter().map(|(asked, _)| asked).chain(kept);
        let undated = all.into_iter().any(|one| self.undated(*one));
        if later > 0 || asked.iter().any(|(_, first)| *first > 0) {
            return self.left_later(asked, later, kept, undated);
        }
        let mut rest = self.id(ScheduleRef::Always)?;
        for (asked, _) in asked {
            let asked = self.id(*asked)?;
            rest = self.calendar.within(rest, asked).ok()?;
        }
        for kept in kept {
            let kept = self.id(*kept)?;
            rest = self.calendar.minus(rest, kept).ok()?;
        }
        let (rest, ahead) = (self.calendar.schedule(rest).ok()?, self.ahead?);
        let dates = if undated { LocalSpans::default() } else { rest.extra(ahead) };
        Some(Uncovered { week: rest.ordinary_week().clone(), dates })
    }

    /// The hours that lie in a schedule and in none of the others, of dates those ahead, as far as they
    /// are known; none when one of the schedules is not.
    #[must_use]
    pub fn left(&self, schedule: ScheduleRef, others: &[ScheduleRef]) -> Option<Uncovered> {
        let undated = self.undated(schedule) || others.iter().any(|one| self.undated(*one));
        self.left_later(&[(schedule, 0)], 0, others, undated)
    }

    fn left_later(
        &self,
        asked: &[(ScheduleRef, u64)],
        later: u64,
        kept: &[ScheduleRef],
        undated: bool,
    ) -> Option<Uncovered> {
        let ahead = self.ahead?;
        let (mut week, mut dates) = (WeekSet::full(), WeekSet::full().in_window(ahead));
        for (asked, first) in asked {
            let asked = self.calendar.schedule(self.id(*asked)?).ok()?;
            week = week.intersection(&asked.ordinary_week().without_first(*first));
            dates = dates.intersection(&asked.local(ahead).without_first(*first));
        }
        (week, dates) = (week.later(later), dates.later(later, ahead));
        for kept in kept {
            let kept = self.calendar.schedule(self.id(*kept)?).ok()?;
            week = week.minus(kept.ordinary_week());
            dates = dates.minus(&kept.local(ahead));
        }
        let usual = week.in_window(ahead);
        let dates = if undated { LocalSpans::default() } else { dates.minus(&usual) };
        Some(Uncovered { week, dates })
    }

    /// ms from one beginning of a schedule to its end in the ordinary week, or from one end to the next
    /// beginning, at the longest; none when it is not known, or has no such stretch.
    #[must_use]
    pub fn longest_stretch(&self, of: ScheduleRef, inside: bool) -> Option<u64> {
        let week = self.ordinary(of)?;
        let pieces = if inside { week.pieces() } else { week.complement().pieces() };
        let longest = pieces.iter().map(|piece| u64::from(piece.minutes()) * 60_000).max();
        longest.filter(|_| !week.is_full() && !week.is_empty())
    }

    /// The minutes of the ordinary week in which a schedule begins, or ends; none when it is not known.
    #[must_use]
    pub fn edge_minutes(&self, of: ScheduleRef, ends: bool) -> Option<WeekSet> {
        let of = self.ordinary(of)?;
        let moved = of.later(1);
        Some(if ends { moved.minus(of) } else { of.minus(&moved) })
    }

    /// The minutes in which a schedule begins, or ends, in the ordinary week and on dates; none when it is
    /// not known.
    #[must_use]
    pub fn edges(&self, of: ScheduleRef, ends: bool) -> Option<Covered> {
        let (covers, window) = (self.calendar.schedule(self.id(of)?).ok()?, self.window?);
        // With the day before it: what goes on over the first midnight does not begin there.
        let wide = DateWindow::new(window.first().yesterday().ok()?, window.end()).ok()?;
        let dates = (!self.undated(of)).then(|| {
            let dates = covers.local(wide);
            let moved = dates.later(1, wide);
            let edges = if ends { moved.minus(&dates) } else { dates.minus(&moved) };
            edges.intersection(&WeekSet::full().in_window(window))
        });
        Some(Covered { week: self.edge_minutes(of, ends)?, dates, window })
    }

    /// Whether a schedule begins or ends, in the ordinary week, in a minute of `answers` so many minutes
    /// after which nothing is kept; none when one of them is not known.
    #[must_use]
    pub fn edge_not_kept(
        &self,
        (of, ends): (ScheduleRef, bool),
        answers: ScheduleRef,
        later: u64,
        kept: &[ScheduleRef],
    ) -> Option<bool> {
        let edges = self.edge_minutes(of, ends)?;
        let mut asked = edges.intersection(self.ordinary(answers)?).later(later);
        for kept in kept {
            asked = asked.minus(self.ordinary(*kept)?);
        }
        Some(!asked.is_empty())
    }

    /// Whether the tz database that is compiled in lacks a zone; then with the nearest name.
    #[must_use]
    pub fn unknown_zone(name: &str) -> Option<Option<String>> {
        if curtilage_calendar::zone(name).is_ok() {
            return None;
        }
        let names = curtilage_calendar::zone_names();
        let near = curtilage_syntax::nearest(name, names.iter().map(String::as_str));
        Some(near.map(str::to_owned))
    }

    /// Every IANA time zone of the tz database that is compiled in.
    #[must_use]
    pub fn zones() -> Vec<String> {
        curtilage_calendar::zone_names()
    }

    /// Whether no minute of the ordinary week or of the two years lies in both schedules; none when
    /// one of them is not known.
    #[must_use]
    pub fn never_meet(&self, first: ScheduleRef, second: ScheduleRef) -> Option<bool> {
        if !self.ordinary(first)?.intersection(self.ordinary(second)?).is_empty() {
            return Some(false);
        }
        let (first, second) = (self.covered(first)?.dates?, self.covered(second)?.dates?);
        Some(first.minus(&second) == first)
    }

    /// Minutes of the two years that lie in a schedule and at most so many minutes after one that lies in
    /// another, and all that lie in it; none when one of them is not known.
    #[must_use]
    pub fn soon_after(
        &self,
        schedule: ScheduleRef,
        other: ScheduleRef,
        minutes: u64,
    ) -> Option<(u64, u64)> {
        let (dates, window) = (self.covered(schedule)?.dates?, self.window?);
        let mut near = self.covered(other)?.dates?;
        let mut reached = 0;
        while reached < minutes {
            let step = (reached + 1).min(minutes - reached);
            near = near.union(&near.later(step, window));
            reached += step;
        }
        Some((near.intersection(&dates).minutes(), dates.minutes()))
    }

    /// Whether a schedule covers no minute of the two years; none when it is not known.
    #[must_use]
    pub fn is_empty(&self, schedule: ScheduleRef) -> Option<bool> {
        if self.undated(schedule) {
            return (!self.ordinary(schedule)?.is_empty()).then_some(false);
        }
        let schedule = self.calendar.schedule(self.id(schedule)?).ok()?;
        // The ordinary week nearly always settles it.
        Some(schedule.is_empty(self.window?))
    }
}

impl Uncovered {
    /// Whether nothing is left uncovered.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.week.is_empty() && self.dates.is_empty()
    }
}

fn used_by(term: &ScheduleTerm, out: &mut Vec<usize>) {
    match term {
        ScheduleTerm::Named(ScheduleRef::Of(id)) => out.push(id.index()),
        ScheduleTerm::Named(_) => {}
        ScheduleTerm::Not(inner) => used_by(inner, out),
        ScheduleTerm::Plus(left, right)
        | ScheduleTerm::Minus(left, right)
        | ScheduleTerm::Within(left, right) => {
            used_by(left, out);
            used_by(right, out);
        }
    }
}

pub(crate) fn civil(date: Date) -> Option<jiff::civil::Date> {
    let (month, day) = (i8::try_from(date.month).ok()?, i8::try_from(date.day).ok()?);
    jiff::civil::Date::new(date.year, month, day).ok()
}

fn month_day(day: MonthDay) -> (i8, i8) {
    (i8::try_from(day.month).unwrap_or(1), i8::try_from(day.day).unwrap_or(1))
}

fn date_rule(dates: DateSpan) -> Option<DateRule> {
    match dates {
        DateSpan::Dates(first, last) => DateRule::range(civil(first)?, civil(last)?).ok(),
        DateSpan::Yearly(first, last) => {
            DateRule::yearly_range(month_day(first), month_day(last)).ok()
        }
    }
}

fn holidays(site: Option<&Site<'_>>) -> Holidays {
    let Some(site) = site else { return Holidays::default() };
    let written = site.tree.holidays.iter().map(|dates| date_rule(dates.value));
    let from_files = site.holiday_files.iter().flat_map(|file| &file.dates).map(|event| {
        let rule = date_rule(event.dates)?;
        Some(event.since.and_then(civil).map_or(rule, |since| rule.since(since)))
    });
    let rules = (0u32..).zip(written.chain(from_files));
    Holidays::new(rules.filter_map(|(id, rule)| Some((ItemId(id), rule?))))
}

fn minute(clock: Clock) -> Option<DayMinute> {
    let minutes = clock.0 / 60_000;
    DayMinute::new(minutes / 60, minutes % 60).ok()
}

pub(crate) fn plan(written: &Written) -> Option<WeeklyPlan> {
    use jiff::civil::Weekday;
    let mut spans = Vec::with_capacity(7 * written.weekly.len());
    for (line, weekly) in (0u32..).zip(&written.weekly) {
        let times = DaySpan::new(minute(weekly.start.value)?, minute(weekly.end.value)?).ok()?;
        for day in 0..7u8 {
            if weekly.days.value.has(day) {
                let day = i8::try_from(day).ok()?;
                let day = Weekday::from_monday_zero_offset(day).ok()?;
                spans.push(WeekSpan::on_day(ItemId(line), day, times));
            }
        }
    }
    let mut exceptions = Vec::new();
    // Numbers go on behind those of the weekly lines.
    let mut next = u32::try_from(written.weekly.len()).ok()?;
    let mut id = || {
        next += 1;
        ItemId(next - 1)
    };
    for dates in &written.except {
        let rule = date_rule(dates.value)?;
        exceptions.push(Exception::except(id(), rule, DaySpan::WHOLE_DAY));
    }
    if written.except_holidays.is_some() {
        let days = curtilage_calendar::Days::Holidays;
        exceptions.push(Exception::except(id(), days, DaySpan::WHOLE_DAY));
    }
    for also in &written.also {
        let times = DaySpan::new(minute(also.start.value)?, minute(also.end.value)?).ok()?;
        exceptions.push(Exception::plus(id(), date_rule(also.dates.value)?, times));
    }
    Some(WeeklyPlan::new(spans, exceptions))
}
