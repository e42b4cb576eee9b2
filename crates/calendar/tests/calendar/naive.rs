//! Random schedules around clock changes and new years: the engine against one minute at a time.
//!
//! Source: `random.rs` for the local clock, jiff's own disambiguation (IANA 2026f) for instants.

use curtilage_calendar::jiff::SignedDuration;
use curtilage_calendar::jiff::civil::{Date, DateTime};
use curtilage_calendar::jiff::tz::{AmbiguousOffset, TimeZone};
use curtilage_calendar::{ClockChange, DateWindow, EdgeKind, LocalSpans, Reading, zone};
use proptest::prelude::*;

use crate::random::{Expr, Naive, Rule, build, expr, rule};
use crate::support::date;

/// Dates of changes: one hour, half an hour, two hours, at local midnight, of a whole day, none;
/// and a leap day and a new year.
const PLACES: [(&str, &str); 12] = [
    ("Europe/Lisbon", "2026-03-29"),
    ("Europe/Lisbon", "2026-10-25"),
    ("America/St_Johns", "2010-03-14"),
    ("America/St_Johns", "2010-11-07"),
    ("Australia/Lord_Howe", "2026-04-05"),
    ("Australia/Lord_Howe", "2026-10-04"),
    ("Pacific/Apia", "2011-12-31"),
    ("Antarctica/Troll", "2026-03-29"),
    ("Asia/Kathmandu", "1986-01-01"),
    ("America/Sao_Paulo", "2018-11-04"),
    ("Europe/Lisbon", "2028-02-29"),
    ("Pacific/Apia", "2012-12-31"),
];

fn later(at: DateTime, minutes: i64) -> DateTime {
    at.checked_add(SignedDuration::from_mins(minutes)).unwrap()
}

fn plus_days(date: Date, days: i64) -> Date {
    date.checked_add(SignedDuration::from_hours(days * 24)).unwrap()
}

/// Each local minute of some days.
fn local_map(naive: &mut Naive<'_>, expr: &Expr, from: Date, days: i64) -> Vec<bool> {
    let start = from.at(0, 0, 0, 0);
    (0..days * 1440).map(|minute| naive.covers(expr, later(start, minute))).collect()
}

/// The maximal runs of a map, as indexes.
fn runs(map: &[bool]) -> Vec<(i64, i64)> {
    let mut out = Vec::new();
    let mut start = None;
    for (index, covered) in (0_i64..).zip(map.iter().copied().chain([false])) {
        match (covered, start) {
            (true, None) => start = Some(index),
            (false, Some(begin)) => {
                out.push((begin, index));
                start = None;
            }
            _ => {}
        }
    }
    out
}

fn minute_of(zone: &TimeZone, at: DateTime, second_pass: bool) -> i64 {
    let readings = zone.to_ambiguous_timestamp(at);
    let found = if second_pass && matches!(readings.offset(), AmbiguousOffset::Fold { .. }) {
        readings.later()
    } else {
        readings.compatible()
    };
    let second = found.unwrap().as_second();
    assert_eq!(second % 60, 0);
    second / 60
}

fn map_of_local(spans: &LocalSpans, from: Date, days: i64) -> Vec<bool> {
    let start = from.at(0, 0, 0, 0);
    let mut map = vec![false; usize::try_from(days * 1440).unwrap()];
    for span in spans.iter() {
        let at = |t: DateTime| usize::try_from(t.duration_since(start).as_mins()).unwrap();
        map[at(span.start)..at(span.end)].fill(true);
    }
    map
}

#[derive(Clone, Debug)]
struct Case {
    place: usize,
    before: i64,
    days: i64,
    holidays: Vec<Rule>,
    expr: Expr,
    probe: f64,
}

fn case() -> impl Strategy<Value = Case> {
    let holidays = prop::collection::vec(rule(), 0..3);
    (0..PLACES.len(), 0_i64..4, 1_i64..6, holidays, expr(), 0.0..1.0).prop_map(
        |(place, before, days, holidays, expr, probe)| Case {
            place,
            before,
            days,
            holidays,
            expr,
            probe,
        },
    )
}

fn check(case: &Case) {
    let (name, change) = PLACES[case.place];
    let tz = zone(name).unwrap();
    let from = plus_days(date(change), -case.before);
    let to = plus_days(from, case.days);
    let window = DateWindow::new(from, to).unwrap();
    let (calendar, id) = build(from, &case.holidays, &case.expr);
    let schedule = calendar.schedule(id).unwrap();

    // The local clock.
    let mut naive = Naive::new(from, &case.holidays, false);
    let (wide_from, wide_days) = (plus_days(from, -4), case.days + 8);
    let wide = local_map(&mut naive, &case.expr, wide_from, wide_days);
    let inner = &wide[4 * 1440..wide.len() - 4 * 1440];
    let local = schedule.local(window);
    assert_eq!(map_of_local(&local, from, case.days), inner);
    let total = inner.iter().filter(|m| **m).count();
    assert_eq!(usize::try_from(local.minutes()).unwrap(), total);
    assert_eq!(schedule.is_empty(window), total == 0);
    let by_date: Vec<(Date, usize)> =
        local.by_date().iter().map(|d| (d.date, d.minutes as usize)).collect();
    let counted: Vec<(Date, usize)> = (0..)
        .zip(inner.chunks(1440))
        .map(|(day, map)| (plus_days(from, day), map.iter().filter(|m| **m).count()))
        .filter(|(_, minutes)| *minutes > 0)
        .collect();
    assert_eq!(by_date, counted);

    // The ordinary week and what differs from it.
    let mut usual = Naive::new(from, &case.holidays, true);
    let ordinary = local_map(&mut usual, &case.expr, from, case.days);
    let missing: Vec<bool> = ordinary.iter().zip(inner).map(|(o, d)| *o && !*d).collect();
    let extra: Vec<bool> = ordinary.iter().zip(inner).map(|(o, d)| !*o && *d).collect();
    assert_eq!(map_of_local(&schedule.missing(window), from, case.days), missing);
    assert_eq!(map_of_local(&schedule.extra(window), from, case.days), extra);

    // Absolute time in the three readings.
    let (start, end) =
        (minute_of(&tz, from.at(0, 0, 0, 0), false), minute_of(&tz, to.at(0, 0, 0, 0), false));
    let stamp =
        |minute: i64| curtilage_calendar::jiff::Timestamp::from_second(minute * 60).unwrap();
    let face: Vec<bool> =
        (start..end).map(|m| naive.covers(&case.expr, tz.to_datetime(stamp(m)))).collect();
    let local_runs = runs(&wide);
    let by_ends = |cover: bool| {
        let mut map = vec![false; usize::try_from(end - start).unwrap()];
        for (a, b) in &local_runs {
            let origin = wide_from.at(0, 0, 0, 0);
            let a = minute_of(&tz, later(origin, *a), false).max(start);
            let b = minute_of(&tz, later(origin, *b), cover).min(end);
            for minute in a..b {
                map[usize::try_from(minute - start).unwrap()] = true;
            }
        }
        map
    };
    let readings = [
        (Reading::FirstPass, by_ends(false)),
        (Reading::Cover, by_ends(true)),
        (Reading::ClockFace, face),
    ];
    for (reading, want) in readings {
        let got = schedule.instants(window, &tz, reading);
        let shown: Vec<(i64, i64)> = got
            .iter()
            .map(|s| (s.start.as_second() / 60 - start, s.end.as_second() / 60 - start))
            .collect();
        assert_eq!(shown, runs(&want), "{name} {reading:?}");

        // Queries at one instant.
        if want.is_empty() {
            continue;
        }
        let probe = (case.probe * want.len() as f64) as usize;
        let at = stamp(start + i64::try_from(probe).unwrap());
        assert_eq!(schedule.covers(at, &tz, reading), want[probe], "{name} {reading:?} {at}");
        assert_eq!(got.contains(at), want[probe]);
        let next = want.iter().skip(probe).position(|m| *m != want[probe]);
        let change = schedule.next_change(at, &tz, reading);
        match next {
            Some(ahead) => {
                let change = change.unwrap();
                let want_at = start + i64::try_from(probe + ahead).unwrap();
                assert_eq!(change.at, stamp(want_at), "{name} {reading:?} {at}");
                assert_eq!(change.covers, !want[probe]);
            }
            None => assert!(change.is_none_or(|c| c.at >= stamp(end)), "{name} {reading:?} {at}"),
        }
    }

    // Edges that the clocks skip or repeat.
    let mut edges = Vec::new();
    for (a, b) in local_runs {
        for (minute, kind) in [(a, EdgeKind::Start), (b, EdgeKind::End)] {
            let at = later(wide_from.at(0, 0, 0, 0), minute);
            let change = match tz.to_ambiguous_timestamp(at).offset() {
                AmbiguousOffset::Unambiguous { .. } => continue,
                AmbiguousOffset::Gap { .. } => ClockChange::Skipped,
                AmbiguousOffset::Fold { .. } => ClockChange::Repeated,
            };
            if from <= at.date() && at.date() < to {
                edges.push((at, change, kind, stamp(minute_of(&tz, at, false))));
            }
        }
    }
    let got: Vec<_> = schedule
        .edges_in_clock_change(window, &tz)
        .into_iter()
        .map(|e| (e.local, e.change, e.edge, e.taken_as))
        .collect();
    assert_eq!(got, edges, "{name}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn the_engine_agrees_with_one_minute_at_a_time(case in case()) {
        check(&case);
    }
}

/// The changes that the test is about are in it.
#[test]
fn the_places_have_their_changes() {
    let changes = PLACES
        .iter()
        .filter(|(name, day)| {
            let tz = zone(name).unwrap();
            let start = tz.to_ambiguous_timestamp(plus_days(date(day), -1).at(12, 0, 0, 0));
            let end = tz.to_ambiguous_timestamp(date(day).at(12, 0, 0, 0));
            let real = end.compatible().unwrap().duration_since(start.compatible().unwrap());
            real.as_hours() != 24 || real.as_mins() % 60 != 0
        })
        .count();
    assert_eq!(changes, 10);
}
