//! Random schedules, and what they mean minute by minute.
//!
//! Source: the definitions in the crate's documentation, taken literally: one local minute is
//! asked of one expression, with no interval arithmetic.

use std::collections::BTreeMap;

use curtilage_calendar::jiff::SignedDuration;
use curtilage_calendar::jiff::civil::{Date, DateTime};
use curtilage_calendar::{
    Calendar, DateRule, DayMinute, DaySpan, Days, Exception, Holidays, ItemId, ScheduleId,
    WeekSpan, WeeklyPlan,
};
use proptest::prelude::*;

use crate::support::day;

/// A rule of dates that stays readable: days are counted from the start of the test's window.
#[derive(Clone, Debug)]
pub(crate) enum Rule {
    Range(i64, i64),
    Yearly((i8, i8), (i8, i8)),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum What {
    Except,
    ExceptStarting,
    Plus,
}

#[derive(Clone, Debug)]
pub(crate) struct RandomException {
    /// None means the holidays.
    pub(crate) rule: Option<Rule>,
    pub(crate) what: What,
    pub(crate) times: DaySpan,
}

#[derive(Clone, Debug)]
pub(crate) enum Expr {
    Always,
    Never,
    Plan(Vec<WeekSpan>, Vec<RandomException>),
    Not(Box<Expr>),
    Plus(Box<Expr>, Box<Expr>),
    Minus(Box<Expr>, Box<Expr>),
    Within(Box<Expr>, Box<Expr>),
}

/// Minutes that make spans meet, touch and hit a clock change.
fn day_minute() -> impl Strategy<Value = i64> {
    prop_oneof![
        prop::sample::select(vec![
            0, 1, 30, 60, 75, 90, 105, 120, 150, 180, 1380, 1381, 1410, 1439
        ]),
        0_i64..1440
    ]
}

fn clock(minute: i64) -> DayMinute {
    DayMinute::new((minute / 60).try_into().unwrap(), (minute % 60).try_into().unwrap()).unwrap()
}

pub(crate) fn day_span() -> impl Strategy<Value = DaySpan> {
    prop_oneof![
        Just(DaySpan::WHOLE_DAY),
        (day_minute(), day_minute().prop_map(|end| if end == 0 { 1440 } else { end }))
            .prop_filter_map("same", |(a, b)| DaySpan::new(clock(a), clock(b)).ok())
    ]
}

fn week_span() -> impl Strategy<Value = WeekSpan> {
    let free = (0_i64..7, day_minute(), 0_i64..7, day_minute()).prop_filter_map("same", |s| {
        WeekSpan::new(ItemId(0), day(s.0), clock(s.1), day(s.2), clock(s.3)).ok()
    });
    let short = (0_i64..7, day_span()).prop_map(|(d, t)| WeekSpan::on_day(ItemId(0), day(d), t));
    prop_oneof![1 => free, 3 => short]
}

pub(crate) fn week_spans() -> impl Strategy<Value = Vec<WeekSpan>> {
    prop::collection::vec(week_span(), 0..7)
}

fn month_day() -> impl Strategy<Value = (i8, i8)> {
    prop_oneof![
        prop::sample::select(vec![(2, 28), (2, 29), (3, 1), (12, 31), (1, 1), (3, 28), (10, 26)]),
        (1_i8..13, 1_i8..29)
    ]
}

pub(crate) fn rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        (-4_i64..12, 0_i64..4).prop_map(|(first, more)| Rule::Range(first, first + more)),
        month_day().prop_map(|d| Rule::Yearly(d, d)),
        (month_day(), month_day()).prop_map(|(a, b)| Rule::Yearly(a, b)),
    ]
}

fn exception() -> impl Strategy<Value = RandomException> {
    let what = prop::sample::select(vec![What::Except, What::ExceptStarting, What::Plus]);
    (prop::option::of(rule()), what, day_span()).prop_map(|(rule, what, times)| RandomException {
        rule,
        what,
        times,
    })
}

pub(crate) fn expr() -> impl Strategy<Value = Expr> {
    let plan = (week_spans(), prop::collection::vec(exception(), 0..4))
        .prop_map(|(spans, exceptions)| Expr::Plan(spans, exceptions));
    let leaf = prop_oneof![1 => Just(Expr::Always), 1 => Just(Expr::Never), 8 => plan];
    leaf.prop_recursive(3, 8, 2, |inner| {
        let two = (inner.clone().prop_map(Box::new), inner.clone().prop_map(Box::new));
        prop_oneof![
            inner.prop_map(|a| Expr::Not(Box::new(a))),
            two.clone().prop_map(|(a, b)| Expr::Plus(a, b)),
            two.clone().prop_map(|(a, b)| Expr::Minus(a, b)),
            two.prop_map(|(a, b)| Expr::Within(a, b)),
        ]
    })
}

fn add_days(date: Date, days: i64) -> Date {
    date.checked_add(SignedDuration::from_hours(24 * days)).unwrap()
}

impl Rule {
    pub(crate) fn build(&self, origin: Date) -> DateRule {
        match *self {
            Self::Range(a, b) => DateRule::range(add_days(origin, a), add_days(origin, b)).unwrap(),
            Self::Yearly(a, b) => DateRule::yearly_range(a, b).unwrap(),
        }
    }

    /// Literal: compare dates, or month and day.
    pub(crate) fn falls_on(&self, origin: Date, date: Date) -> bool {
        match *self {
            Self::Range(a, b) => add_days(origin, a) <= date && date <= add_days(origin, b),
            Self::Yearly(first, last) => {
                let at = (date.month(), date.day());
                let (after, before) = (first <= at, at <= last);
                if first <= last { after && before } else { after || before }
            }
        }
    }
}

/// Answers for one local minute at a time.
pub(crate) struct Naive<'a> {
    pub(crate) origin: Date,
    pub(crate) holidays: &'a [Rule],
    /// Without exceptions: the ordinary week.
    pub(crate) ordinary: bool,
    dates: BTreeMap<(usize, Date), bool>,
}

impl<'a> Naive<'a> {
    pub(crate) fn new(origin: Date, holidays: &'a [Rule], ordinary: bool) -> Self {
        Self { origin, holidays, ordinary, dates: BTreeMap::new() }
    }

    fn dated(&mut self, exception: &RandomException, date: Date) -> bool {
        let (origin, holidays) = (self.origin, self.holidays);
        let key = (std::ptr::from_ref(exception) as usize, date);
        *self.dates.entry(key).or_insert_with(|| match &exception.rule {
            Some(rule) => rule.falls_on(origin, date),
            None => holidays.iter().any(|rule| rule.falls_on(origin, date)),
        })
    }

    pub(crate) fn covers(&mut self, expr: &Expr, at: DateTime) -> bool {
        match expr {
            Expr::Always => true,
            Expr::Never => false,
            Expr::Plan(spans, exceptions) => self.plan(spans, exceptions, at),
            Expr::Not(a) => !self.covers(a, at),
            Expr::Plus(a, b) => self.covers(a, at) || self.covers(b, at),
            Expr::Minus(a, b) => self.covers(a, at) && !self.covers(b, at),
            Expr::Within(a, b) => self.covers(a, at) && self.covers(b, at),
        }
    }

    fn plan(&mut self, spans: &[WeekSpan], exceptions: &[RandomException], at: DateTime) -> bool {
        let exceptions: &[RandomException] = if self.ordinary { &[] } else { exceptions };
        let today = at.date();
        let minute = i64::from(at.hour()) * 60 + i64::from(at.minute());
        let in_week = i64::from(today.weekday().to_monday_zero_offset()) * 1440 + minute;
        let by_times = |naive: &mut Self, what: What| {
            exceptions.iter().filter(|e| e.what == what).any(|e| {
                let (start, end) = (i64::from(e.times.start()), i64::from(e.times.end()));
                [0, 1].iter().any(|back| {
                    (start..end).contains(&(minute + back * 1440))
                        && naive.dated(e, add_days(today, -back))
                })
            })
        };
        if by_times(self, What::Plus) {
            return true;
        }
        if by_times(self, What::Except) {
            return false;
        }
        spans.iter().any(|span| {
            let since = (in_week - i64::from(span.start().minutes())).rem_euclid(10_080);
            let began = add_days(today, (minute - since).div_euclid(1440));
            since < i64::from(span.minutes())
                && !exceptions
                    .iter()
                    .filter(|e| e.what == What::ExceptStarting)
                    .any(|e| self.dated(e, began))
        })
    }
}

fn build_into(calendar: &mut Calendar, origin: Date, expr: &Expr) -> ScheduleId {
    let mut two =
        |a: &Expr, b: &Expr| (build_into(calendar, origin, a), build_into(calendar, origin, b));
    match expr {
        Expr::Always => calendar.always(),
        Expr::Never => calendar.never(),
        Expr::Plan(spans, exceptions) => {
            let exceptions = (0..)
                .zip(exceptions)
                .map(|(id, e)| {
                    let (id, times) = (ItemId(id), e.times);
                    let days = match &e.rule {
                        Some(rule) => Days::On(rule.build(origin)),
                        None => Days::Holidays,
                    };
                    match e.what {
                        What::Except => Exception::except(id, days, times),
                        What::ExceptStarting => Exception::except_starting(id, days),
                        What::Plus => Exception::plus(id, days, times),
                    }
                })
                .collect();
            calendar.weekly(WeeklyPlan::new(spans.clone(), exceptions))
        }
        Expr::Not(a) => {
            let a = build_into(calendar, origin, a);
            calendar.not(a)
        }
        Expr::Plus(a, b) => {
            let (a, b) = two(a, b);
            calendar.plus(a, b)
        }
        Expr::Minus(a, b) => {
            let (a, b) = two(a, b);
            calendar.minus(a, b)
        }
        Expr::Within(a, b) => {
            let (a, b) = two(a, b);
            calendar.within(a, b)
        }
    }
    .unwrap()
}

pub(crate) fn build(origin: Date, holidays: &[Rule], expr: &Expr) -> (Calendar, ScheduleId) {
    let rules = holidays.iter().map(|rule| rule.build(origin));
    let mut calendar = Calendar::new(Holidays::new((500..).map(ItemId).zip(rules)));
    let id = build_into(&mut calendar, origin, expr);
    (calendar, id)
}
