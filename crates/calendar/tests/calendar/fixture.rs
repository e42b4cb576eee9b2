//! The fixture `calendar.json`, 562 cases, exact.
//!
//! Source: made by the oracle's generator with Python's zoneinfo on IANA 2026f and dateutil's
//! rrule, confirmed minute by minute and by an iCalendar expansion. `instants` with policy
//! `first` reads both ends of a span as the first pass of a repeated hour, `cover` reads the end
//! as the second pass; `wallclock_minutes` counts real minutes in which the clock face shows a
//! time of the schedule.

use std::collections::BTreeMap;

use curtilage_calendar::jiff::civil::Weekday;
use curtilage_calendar::{
    Calendar, DateRule, DateWindow, DayMinute, DaySpan, Days, Exception, Holidays, ItemId, Reading,
    Schedule, WeekSet, WeekSpan, WeeklyPlan, zone,
};
use serde_json::Value;

use crate::support::{date, day, single, time};

const FIXTURE: &str = include_str!("../../../../tests/fixtures/calendar.json");

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

fn written_spans(case: &Value) -> Vec<WeekSpan> {
    let written = case["spans"].as_array().unwrap();
    (0..)
        .zip(written)
        .map(|(id, span)| {
            // The generator counts a day above 6 into the next week.
            let weekday = |value: &Value| day(value.as_i64().unwrap() % 7);
            WeekSpan::new(
                ItemId(id),
                weekday(&span[0]),
                time(text(&span[1])),
                weekday(&span[2]),
                time(text(&span[3])),
            )
            .unwrap()
        })
        .collect()
}

/// What Sunday holds, as times of one day.
fn sunday_times(spans: &[WeekSpan]) -> Vec<DaySpan> {
    let sunday = WeekSpan::on_day(ItemId(0), Weekday::Sunday, DaySpan::WHOLE_DAY);
    WeekSet::from_spans(spans)
        .intersection(&WeekSet::from_spans([&sunday]))
        .pieces()
        .iter()
        .map(|piece| DaySpan::new(piece.start().time(), piece.end_time()).unwrap())
        .collect()
}

fn exceptions(mode: &str, spans: &[WeekSpan]) -> Vec<Exception> {
    let holidays = Days::Holidays;
    let id = ItemId(1000);
    match mode {
        "none" => vec![],
        "armed_by_date" => vec![Exception::plus(id, holidays, DaySpan::WHOLE_DAY)],
        "skip_start" => vec![Exception::except_starting(id, holidays)],
        "sunday_by_date" => {
            let mut out = vec![Exception::except(id, holidays, DaySpan::WHOLE_DAY)];
            out.extend(sunday_times(spans).into_iter().map(|t| Exception::plus(id, holidays, t)));
            out
        }
        other => panic!("unknown holiday mode {other}"),
    }
}

fn listed(case: &Value, reading: &str) -> Option<Vec<(String, String)>> {
    let intervals = case["expect"]["instants"][reading].get("intervals")?.as_array().unwrap();
    Some(intervals.iter().map(|i| (text(&i[0]).to_owned(), text(&i[1]).to_owned())).collect())
}

/// Compares one reading: minutes, and the intervals where the fixture lists them.
fn check_reading(case: &Value, name: &str, schedule: Schedule<'_>, reading: Reading) -> bool {
    let window = DateWindow::new(date(text(&case["from"])), date(text(&case["to"]))).unwrap();
    let tz = zone(text(&case["zone"])).unwrap();
    let got = schedule.instants(window, &tz, reading);
    let want = case["expect"]["instants"][name]["minutes"].as_u64().unwrap();
    assert_eq!(got.minutes(), want, "{} {name}", case["id"]);
    assert_eq!(got.seconds(), want * 60, "{} {name}", case["id"]);
    let Some(listed) = listed(case, name) else { return false };
    let shown: Vec<(String, String)> = got
        .iter()
        .map(|span| {
            let show = |at| format!("{at}").replace(":00Z", "Z");
            (show(span.start), show(span.end))
        })
        .collect();
    assert_eq!(shown, listed, "{} {name}", case["id"]);
    true
}

/// Cases that were made just now, where `CURTILAGE_FRESH` names a folder (tests/oracles); without
/// it the committed ones again.
#[test]
fn every_fresh_case_is_exact() {
    let fresh = std::env::var("CURTILAGE_FRESH").ok();
    let fresh = fresh.map(|folder| std::fs::read_to_string(folder + "/calendar.json").unwrap());
    let (cases, _, _) = check_all(fresh.as_deref().unwrap_or(FIXTURE));
    println!("{cases} cases, fresh: {}", fresh.is_some());
    assert!(cases >= 100);
}

#[test]
fn every_case_is_exact() {
    let (cases, with_intervals, seen) = check_all(FIXTURE);
    assert_eq!(cases, 562);
    assert_eq!(with_intervals, 392);
    let modes = [("armed_by_date", 28), ("none", 478), ("skip_start", 28), ("sunday_by_date", 28)];
    let seen: Vec<(&str, usize)> =
        seen.iter().map(|(mode, count)| (mode.as_str(), *count)).collect();
    assert_eq!(seen, modes);
}

/// How many cases agree, how many of them list their intervals, and how many there are of each
/// mode.
fn check_all(fixture: &str) -> (usize, usize, BTreeMap<String, usize>) {
    let fixture: Value = serde_json::from_str(fixture).unwrap();
    assert_eq!(text(&fixture["tzdata"]), "2026f");
    let cases = fixture["cases"].as_array().unwrap();
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut with_intervals = 0;
    for case in cases {
        let mode = text(&case["holiday_mode"]);
        let spans = written_spans(case);
        let rules = case["holidays"].as_array().unwrap().iter().map(|h| date(text(h)));
        let holidays = Holidays::new((100..).map(ItemId).zip(rules.map(DateRule::on)));
        let plan = WeeklyPlan::new(spans.clone(), exceptions(mode, &spans));
        let (mut calendar, id) = single(plan, holidays);
        check_complement(case, &mut calendar, id);
        let schedule = calendar.schedule(id).unwrap();

        let listed = check_reading(case, "first", schedule, Reading::FirstPass);
        assert_eq!(check_reading(case, "cover", schedule, Reading::Cover), listed);
        with_intervals += usize::from(listed);

        let window = DateWindow::new(date(text(&case["from"])), date(text(&case["to"]))).unwrap();
        let tz = zone(text(&case["zone"])).unwrap();
        let face = schedule.instants(window, &tz, Reading::ClockFace).minutes();
        assert_eq!(face, case["expect"]["wallclock_minutes"].as_u64().unwrap(), "{}", case["id"]);
        *seen.entry(mode.to_owned()).or_default() += 1;
    }
    (cases.len(), with_intervals, seen)
}

/// Source: the definition of `not`, and the fixture's own `window_minutes`: what a schedule and
/// its complement cover adds up to the window.
fn check_complement(case: &Value, calendar: &mut Calendar, id: curtilage_calendar::ScheduleId) {
    let window = DateWindow::new(date(text(&case["from"])), date(text(&case["to"]))).unwrap();
    let tz = zone(text(&case["zone"])).unwrap();
    let (not, always) = (calendar.not(id).unwrap(), calendar.always().unwrap());
    for reading in [Reading::FirstPass, Reading::ClockFace] {
        let minutes = |id| calendar.schedule(id).unwrap().instants(window, &tz, reading).minutes();
        let whole = case["window_minutes"].as_u64().unwrap();
        assert_eq!(minutes(always), whole, "{} {reading:?}", case["id"]);
        assert_eq!(minutes(id) + minutes(not), whole, "{} {reading:?}", case["id"]);
    }
}

/// Source: the statement of the meaning of a holiday, section 6 of the semantics, and the
/// oracle's `skip_start` cases. A Friday holiday in an office that is armed out of hours:
/// by date the night before stays up to midnight and Friday is off; by start, Friday's own long
/// weekend is gone and Thursday's night stays whole.
#[test]
fn the_two_readings_of_a_holiday_differ() {
    let spans = || crate::support::spans(&["Thu 18:00 to Fri 07:30", "Fri 18:00 to Mon 07:30"]);
    let holidays = crate::support::holidays(&["2026-12-25"]);
    let minutes = |exception| {
        let (calendar, id) = single(WeeklyPlan::new(spans(), vec![exception]), holidays.clone());
        let window = crate::support::window("2026-12-21", "2026-12-28");
        let local = calendar.schedule(id).unwrap().local(window);
        local.iter().map(|span| span.to_string()).collect::<Vec<_>>()
    };
    let monday = "Mon 2026-12-21 00:00 to 07:30".to_owned();
    assert_eq!(
        minutes(Exception::except(ItemId(9), Days::Holidays, DaySpan::WHOLE_DAY)),
        [
            monday.clone(),
            "Thu 2026-12-24 18:00 to 24:00".to_owned(),
            "Sat 2026-12-26 00:00 to Sun 2026-12-27 24:00".to_owned()
        ]
    );
    assert_eq!(
        minutes(Exception::except_starting(ItemId(9), Days::Holidays)),
        [monday, "Thu 2026-12-24 18:00 to Fri 2026-12-25 07:30".to_owned()]
    );
    assert_eq!(DayMinute::END_OF_DAY.to_string(), "24:00");
}
