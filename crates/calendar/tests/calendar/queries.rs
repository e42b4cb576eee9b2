//! Questions with answers worked out by hand.

use curtilage_calendar::jiff::tz::TimeZone;
use curtilage_calendar::jiff::{SignedDuration, Timestamp};
use curtilage_calendar::{
    Calendar, CalendarError, Change, ClockChange, DateRule, DateWindow, DaySpan, Days, EdgeKind,
    Exception, Holidays, ItemId, Reading, WeekSet, WeeklyPlan, zone,
};

use crate::support::{date, holidays, instant, lisbon, single, span, spans, time, times, window};

const OFFICE: [&str; 7] = [
    "Mon 07:30 to 18:00",
    "Tue 07:30 to 18:00",
    "Wed 07:30 to 18:00",
    "Thu 07:30 to 18:00",
    "Fri 07:30 to 18:00",
    "Sat 08:00 to 12:30",
    "Fri 22:00 to 02:00",
];

fn whole(id: u32, days: impl Into<Days>) -> Exception {
    Exception::except(ItemId(id), days, DaySpan::WHOLE_DAY)
}

/// Source: arithmetic. 5 x 10.5 h + 4.5 h + 4 h = 61 h; the rest of 168 h is 107 h.
#[test]
fn the_ordinary_week_and_what_it_leaves() {
    let mut calendar = Calendar::new(holidays(&["2026-12-25"]));
    let plan = WeeklyPlan::new(spans(&OFFICE), vec![whole(50, Days::Holidays)]);
    let open = calendar.weekly(plan).unwrap();
    let closed = calendar.not(open).unwrap();
    let open = calendar.schedule(open).unwrap().ordinary_week();
    let closed = calendar.schedule(closed).unwrap().ordinary_week();
    assert_eq!(open.minutes(), 61 * 60);
    assert_eq!(*closed, open.complement());
    let pieces: Vec<String> = closed.pieces().iter().map(|p| p.to_string()).collect();
    assert_eq!(
        pieces,
        [
            "Mon 18:00 to Tue 07:30",
            "Tue 18:00 to Wed 07:30",
            "Wed 18:00 to Thu 07:30",
            "Thu 18:00 to Fri 07:30",
            "Fri 18:00 to 22:00",
            "Sat 02:00 to 08:00",
            "Sat 12:30 to Mon 07:30",
        ]
    );
}

/// Source: by hand. A zone armed always but for holidays is uncovered 24 h on 25 December.
#[test]
fn what_a_holiday_takes_is_said_by_date() {
    let plan = WeeklyPlan::new(
        spans(&["Mon 00:00 to Sun 24:00"]),
        vec![
            whole(50, Days::Holidays),
            Exception::plus(ItemId(51), DateRule::on(date("2026-12-25")), times("22:00 to 02:00")),
        ],
    );
    let (calendar, id) = single(plan, holidays(&["2026-12-25", "2026-12-26"]));
    let schedule = calendar.schedule(id).unwrap();
    let year = DateWindow::year(2026).unwrap();
    let days: Vec<(String, u32)> =
        schedule.missing(year).by_date().iter().map(|d| (d.date.to_string(), d.minutes)).collect();
    assert_eq!(days, [("2026-12-25".to_owned(), 22 * 60), ("2026-12-26".to_owned(), 22 * 60)]);
    assert!(schedule.extra(year).is_empty());
    assert_eq!(schedule.local(year).minutes(), 363 * 1440 + 4 * 60);
    assert!(!schedule.is_empty(year));
    let items = |on: &str| {
        let items = schedule.dated_items_on(date(on));
        items.iter().map(|i| (i.exception.0, i.holiday.map(|h| h.0))).collect::<Vec<_>>()
    };
    assert_eq!(items("2026-12-24"), []);
    assert_eq!(items("2026-12-25"), [(50, Some(100)), (51, None)]);
    assert_eq!(items("2026-12-26"), [(50, Some(101)), (51, None)]);
    assert_eq!(items("2026-12-27"), []);
}

/// Source: IANA 2026f for Lisbon: 01:00 to 02:00 is skipped on 2026-03-29 and repeated on
/// 2026-10-25; RFC 5545 section 3.3.5 for what is taken.
#[test]
fn edges_in_a_clock_change_are_listed() {
    let plan = WeeklyPlan::new(
        spans(&["Sat 23:00 to Sun 01:30", "Wed 01:30 to 03:00", "Sun 12:00 to 13:00"]),
        vec![Exception::plus(ItemId(7), DateRule::on(date("2026-10-25")), times("00:30 to 01:30"))],
    );
    let (calendar, id) = single(plan, Holidays::NONE);
    let schedule = calendar.schedule(id).unwrap();
    let edges = schedule.edges_in_clock_change(DateWindow::year(2026).unwrap(), &lisbon());
    let [spring, autumn] = edges.as_slice() else { panic!("{edges:?}") };
    assert_eq!(spring.local, date("2026-03-29").at(1, 30, 0, 0));
    assert_eq!((spring.change, spring.edge), (ClockChange::Skipped, EdgeKind::End));
    assert_eq!(spring.taken_as, instant("2026-03-29T01:30Z"));
    assert_eq!(spring.shown, date("2026-03-29").at(2, 30, 0, 0));
    assert_eq!(spring.other, instant("2026-03-29T00:30Z"));
    assert_eq!(spring.items, [ItemId(0)]);
    assert_eq!((autumn.change, autumn.edge), (ClockChange::Repeated, EdgeKind::End));
    assert_eq!(autumn.taken_as, instant("2026-10-25T00:30Z"));
    assert_eq!(autumn.other, instant("2026-10-25T01:30Z"));
    assert_eq!(autumn.shown, autumn.local);
    assert_eq!(autumn.items, [ItemId(0), ItemId(7)]);
    let quiet = window("2026-04-01", "2026-10-01");
    assert_eq!(schedule.edges_in_clock_change(quiet, &lisbon()), []);
    // The day of the change is enough, as the first of a window, as the last, or alone.
    for (day, next, edge) in
        [("2026-03-29", "2026-03-30", spring), ("2026-10-25", "2026-10-26", autumn)]
    {
        let before = if edge == spring { "2026-03-01" } else { "2026-10-01" };
        for (from, to) in [(day, next), (day, "2026-11-30"), (before, next)] {
            let found = schedule.edges_in_clock_change(window(from, to), &lisbon());
            assert_eq!(found.first(), Some(edge), "{from} to {to}");
        }
        assert_eq!(schedule.edges_in_clock_change(window(before, day), &lisbon()), []);
    }
}

/// Source: IANA 2026f: 01:30 is repeated in Lisbon on 2026-10-25 and in New York on 1967-10-29. What
/// is added on holidays has its edges there too.
#[test]
fn an_edge_of_a_holiday_in_a_clock_change_names_its_item() {
    for (name, day, year) in
        [("Europe/Lisbon", "2026-10-25", 2026), ("America/New_York", "1967-10-29", 1967)]
    {
        let extra = Exception::plus(ItemId(7), Days::Holidays, times("00:30 to 01:30"));
        let (calendar, id) = single(WeeklyPlan::new(vec![], vec![extra]), holidays(&[day]));
        let (schedule, tz) = (calendar.schedule(id).unwrap(), zone(name).unwrap());
        let edges = schedule.edges_in_clock_change(DateWindow::year(year).unwrap(), &tz);
        let [autumn] = edges.as_slice() else { panic!("{name} {edges:?}") };
        assert_eq!((autumn.edge, &autumn.items[..]), (EdgeKind::End, &[ItemId(7)][..]), "{name}");
    }
}

/// Source: IANA 2026f: 01:30 is repeated in Lisbon on 2026-10-25. A span ends there; what is added at
/// noon of the same day has no edge there.
#[test]
fn an_edge_in_a_clock_change_names_no_other_item() {
    let noon =
        Exception::plus(ItemId(7), DateRule::on(date("2026-10-25")), times("12:00 to 13:00"));
    let plan = WeeklyPlan::new(spans(&["Sat 23:00 to Sun 01:30"]), vec![noon]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let schedule = calendar.schedule(id).unwrap();
    let edges = schedule.edges_in_clock_change(window("2026-10-25", "2026-10-26"), &lisbon());
    let [autumn] = edges.as_slice() else { panic!("{edges:?}") };
    assert_eq!(autumn.items, [ItemId(0)]);
}

/// Source: IANA 2026f for Tehran: 00:00 to 01:00 was skipped on 2021-03-22, a Monday. A span ends
/// where that week begins, in the last minute of the one before.
#[test]
fn an_edge_where_weeks_meet_is_in_a_clock_change_that_begins_there() {
    let (calendar, id) =
        single(WeeklyPlan::new(spans(&["Sun 20:00 to 24:00"]), vec![]), Holidays::NONE);
    let (schedule, tz) = (calendar.schedule(id).unwrap(), zone("Asia/Tehran").unwrap());
    let edges = schedule.edges_in_clock_change(DateWindow::year(2021).unwrap(), &tz);
    let [spring] = edges.as_slice() else { panic!("{edges:?}") };
    assert_eq!(spring.local, date("2021-03-22").at(0, 0, 0, 0));
    assert_eq!((spring.change, spring.edge), (ClockChange::Skipped, EdgeKind::End));
}

/// Source: IANA 2026f for New York: 02:00 to 03:00 was skipped on 1967-04-30, and 01:00 to 02:00
/// repeated on 1967-10-29. Before 1970 a clock change is what it is after it.
#[test]
fn a_clock_change_before_1970_is_one() {
    let tz = zone("America/New_York").unwrap();
    let plan = WeeklyPlan::new(spans(&["Sun 01:30 to 02:30", "Sun 04:00 to 05:00"]), vec![]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let schedule = calendar.schedule(id).unwrap();
    let edges = schedule.edges_in_clock_change(DateWindow::year(1967).unwrap(), &tz);
    let told: Vec<_> = edges.iter().map(|e| (e.local, e.change, e.edge, e.taken_as)).collect();
    assert_eq!(
        told,
        [
            (
                date("1967-04-30").at(2, 30, 0, 0),
                ClockChange::Skipped,
                EdgeKind::End,
                instant("1967-04-30T07:30Z"),
            ),
            (
                date("1967-10-29").at(1, 30, 0, 0),
                ClockChange::Repeated,
                EdgeKind::Start,
                instant("1967-10-29T05:30Z"),
            ),
        ]
    );
    for (day, next, want) in [
        ("1967-04-29", "1967-05-01", ["06:30 to 07:30", "08:00 to 09:00"]),
        ("1967-10-28", "1967-10-30", ["05:30 to 07:30", "09:00 to 10:00"]),
    ] {
        let spans = schedule.instants(window(day, next), &tz, Reading::FirstPass);
        let told: Vec<String> = spans
            .iter()
            .map(|s| format!("{} to {}", s.start.strftime("%H:%M"), s.end.strftime("%H:%M")))
            .collect();
        assert_eq!(told, want, "{day}");
    }
}

/// Source: IANA 2026f: in Berlin 02:00 to 03:00 is skipped on 2026-03-29 and repeated on
/// 2026-10-25; neither offset is zero.
#[test]
fn edges_are_listed_where_no_offset_is_zero() {
    let plan = WeeklyPlan::new(spans(&["Sun 02:30 to 12:00"]), vec![]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let (schedule, tz) = (calendar.schedule(id).unwrap(), zone("Europe/Berlin").unwrap());
    let edges = schedule.edges_in_clock_change(DateWindow::year(2026).unwrap(), &tz);
    let told: Vec<_> = edges.iter().map(|e| (e.local.to_string(), e.change)).collect();
    assert_eq!(
        told,
        [
            ("2026-03-29T02:30:00".to_owned(), ClockChange::Skipped),
            ("2026-10-25T02:30:00".to_owned(), ClockChange::Repeated),
        ]
    );
}

/// Source: IANA 2026f: in St. John's 2010-11-07 00:01 was followed by 23:01 of the day before
/// (`tz_transitions.csv`), so a window that starts on the 7th holds minutes of the 6th.
#[test]
fn a_repeated_midnight_reaches_over_the_edge_of_a_window() {
    let plan = WeeklyPlan::new(spans(&["Sat 23:10 to 23:50"]), vec![]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let (schedule, tz) = (calendar.schedule(id).unwrap(), zone("America/St_Johns").unwrap());
    let day = window("2010-11-07", "2010-11-08");
    let minutes = |reading| schedule.instants(day, &tz, reading).minutes();
    assert_eq!(minutes(Reading::FirstPass), 0);
    assert_eq!(minutes(Reading::Cover), 50);
    assert_eq!(minutes(Reading::ClockFace), 40);
}

/// Source: IANA 2026f: in St. John's the clocks went from 00:01 to 01:01 on 2010-03-14. A span
/// inside another one says nothing new, so it must not change the answer, also when the longer
/// one begins in the hour that is skipped.
#[test]
fn a_span_inside_another_changes_nothing_across_a_skipped_hour() {
    let tz = zone("America/St_Johns").unwrap();
    let day = window("2010-03-14", "2010-03-15");
    let minutes = |written: &[&str]| {
        let (calendar, id) = single(WeeklyPlan::new(spans(written), vec![]), Holidays::NONE);
        calendar.schedule(id).unwrap().instants(day, &tz, Reading::FirstPass).minutes()
    };
    assert_eq!(minutes(&["Sun 01:00 to 02:30"]), 30);
    assert_eq!(minutes(&["Sun 01:00 to 02:30", "Sun 01:45 to 02:00"]), 30);
}

/// Source: IANA 2026f: in Sao Paulo 00:00 to 01:00 of 2018-11-04 was skipped. The edge at that
/// midnight belongs to the date that it begins.
#[test]
fn an_edge_at_midnight_belongs_to_the_date_it_begins() {
    let plan = WeeklyPlan::new(spans(&["Sat 12:00 to 24:00"]), vec![]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let (schedule, tz) = (calendar.schedule(id).unwrap(), zone("America/Sao_Paulo").unwrap());
    let count = |from, to| schedule.edges_in_clock_change(window(from, to), &tz).len();
    assert_eq!(count("2018-11-03", "2018-11-04"), 0);
    assert_eq!(count("2018-11-04", "2018-11-05"), 1);
}

/// Source: IANA 2026f: in Toronto 1919-03-30 23:29:59 was followed by 00:30 of the next day, whose
/// midnight is read as half an hour after that. The half hour before it is of that day all the same.
#[test]
fn a_day_begins_where_the_clocks_jump_over_its_midnight() {
    let tz = zone("America/Toronto").unwrap();
    for (written, end) in [
        ("Sun 12:00 to Mon 12:00", "1919-03-31T16:00Z"),
        ("Sun 12:00 to Mon 00:45", "1919-03-31T04:45Z"),
    ] {
        let (calendar, id) = single(WeeklyPlan::new(spans(&[written]), vec![]), Holidays::NONE);
        let schedule = calendar.schedule(id).unwrap();
        let end = Change { at: instant(end), covers: false };
        for reading in [Reading::FirstPass, Reading::Cover, Reading::ClockFace] {
            for at in ["04:29", "04:30", "04:44", "04:59", "05:00"] {
                let at = instant(&format!("1919-03-31T{at}Z"));
                let covered = at < end.at;
                assert_eq!(schedule.covers(at, &tz, reading), covered, "{at} {reading:?}");
                if covered {
                    let next = schedule.next_change(at, &tz, reading);
                    assert_eq!(next, Some(end), "{at} {reading:?}");
                }
            }
        }
    }
}

/// Half a second before 1970 is still the second before.
#[test]
fn parts_of_a_second_before_1970_count_backwards() {
    let plan = WeeklyPlan::new(spans(&["Thu 00:00 to 01:00"]), vec![]);
    let (calendar, id) = single(plan, Holidays::NONE);
    let (schedule, utc) = (calendar.schedule(id).unwrap(), zone("UTC").unwrap());
    let covers = |at| schedule.covers(instant(at), &utc, Reading::default());
    assert!(!covers("1969-12-31T23:59:59.5Z"));
    assert!(covers("1970-01-01T00:00:00.5Z"));
}

fn next(plan: WeeklyPlan, holidays: Holidays, after: &str) -> Option<Change> {
    let (calendar, id) = single(plan, holidays);
    calendar.schedule(id).unwrap().next_change(instant(after), &lisbon(), Reading::default())
}

/// Source: the Gregorian calendar. 29 February is a Sunday in 2032 and, over the common year
/// 2100, next in 2104 on a Friday; after 2088 it is a Sunday again in 2128.
#[test]
fn the_next_change_is_found_however_far() {
    let found = |at: &str, covers| Some(Change { at: instant(at), covers });
    let office = || WeeklyPlan::new(spans(&["Mon 07:30 to 18:00"]), vec![]);
    let none = || Holidays::NONE;
    assert_eq!(next(office(), none(), "2026-01-01T00:00Z"), found("2026-01-05T07:30Z", true));
    assert_eq!(next(office(), none(), "2026-01-05T07:30Z"), found("2026-01-05T18:00Z", false));
    assert_eq!(next(office(), none(), "2026-01-05T07:29:59.5Z"), found("2026-01-05T07:30Z", true));

    let always = || spans(&["Mon 00:00 to Sun 24:00"]);
    assert_eq!(next(WeeklyPlan::new(always(), vec![]), none(), "2026-01-01T00:00Z"), None);
    assert_eq!(next(WeeklyPlan::default(), none(), "2026-01-01T00:00Z"), None);

    let far = DateRule::on(date("3456-07-08"));
    let plan = WeeklyPlan::new(always(), vec![whole(1, far)]);
    assert_eq!(next(plan, none(), "2026-01-01T00:00Z"), found("3456-07-07T23:00Z", false));
    let plan = WeeklyPlan::new(always(), vec![whole(1, Days::Holidays)]);
    let far = holidays(&["3456-07-08"]);
    assert_eq!(next(plan, far, "2026-01-01T00:00Z"), found("3456-07-07T23:00Z", false));

    // What comes back each year, but only from a date on that lies farther than a calendar repeats.
    let late = DateRule::yearly(12, 25).unwrap().since(date("3456-07-08"));
    let plan = WeeklyPlan::new(always(), vec![whole(1, late)]);
    assert_eq!(next(plan, none(), "2026-01-01T00:00Z"), found("3456-12-25T00:00Z", false));

    // Sunday within 29 February.
    for (after, at) in
        [("2026-01-01T00:00Z", "2032-02-29T00:00Z"), ("2089-01-01T00:00Z", "2128-02-29T00:00Z")]
    {
        let mut calendar = Calendar::new(Holidays::NONE);
        let leap = Exception::plus(ItemId(0), DateRule::yearly(2, 29).unwrap(), DaySpan::WHOLE_DAY);
        let leap = calendar.weekly(WeeklyPlan::new(vec![], vec![leap])).unwrap();
        let sunday =
            calendar.weekly(WeeklyPlan::new(spans(&["Sun 00:00 to 24:00"]), vec![])).unwrap();
        let both = calendar.within(sunday, leap).unwrap();
        let schedule = calendar.schedule(both).unwrap();
        let change = schedule.next_change(instant(after), &lisbon(), Reading::default());
        assert_eq!(change, found(at, true));
    }
}

/// A day that differs from all others is found as the next change, however many days ahead: when it
/// is the only one that is covered, and when it is the only one that is not.
#[test]
fn the_next_change_is_found_on_each_of_the_next_days() {
    let now = date("2026-01-01");
    for ahead in 1..500 {
        let day = now.checked_add(SignedDuration::from_hours(24 * ahead)).unwrap();
        let rule = DateRule::on(day);
        let only = Exception::plus(ItemId(1), rule, DaySpan::WHOLE_DAY);
        let all = || spans(&["Mon 00:00 to Sun 24:00"]);
        for (plan, covers) in [
            (WeeklyPlan::new(vec![], vec![only]), true),
            (WeeklyPlan::new(all(), vec![whole(1, rule)]), false),
        ] {
            let (calendar, id) = single(plan, Holidays::NONE);
            let utc = zone("UTC").unwrap();
            let change = calendar.schedule(id).unwrap().next_change(
                instant("2026-01-01T12:00Z"),
                &utc,
                Reading::default(),
            );
            let at = instant(&format!("{day}T00:00Z"));
            assert_eq!(change, Some(Change { at, covers }), "{ahead} days ahead");
        }
    }
}

/// The weeks of 1960 are those of 1988: a leap year that begins on a Friday. A span that starts on
/// 24 December, a Saturday, is left out in both, and the others are there.
#[test]
fn a_span_that_starts_on_a_day_off_is_left_out_before_1970_too() {
    let starts = |year: i16| {
        let off = Exception::except_starting(ItemId(9), DateRule::yearly(12, 24).unwrap());
        let plan = WeeklyPlan::new(
            spans(&["Fri 22:00 to Sat 06:00", "Sat 22:00 to Sun 06:00"]),
            vec![off],
        );
        let (calendar, id) = single(plan, Holidays::NONE);
        let local = calendar.schedule(id).unwrap().local(DateWindow::year(year).unwrap());
        local.iter().map(|span| span.start.day_of_year()).collect::<Vec<_>>()
    };
    assert_eq!(starts(1960).len(), 53 + 53 - 1);
    assert_eq!(starts(1960), starts(1988));
}

/// Source: by hand. The first minute of a holiday belongs to it, the last of the day before does
/// not; an added time stands on a holiday.
#[test]
fn a_local_time_is_covered_or_not() {
    let plan = WeeklyPlan::new(
        spans(&["Thu 18:00 to Fri 07:30"]),
        vec![
            whole(1, Days::Holidays),
            Exception::plus(ItemId(2), DateRule::yearly(12, 25).unwrap(), times("05:00 to 06:00")),
        ],
    );
    let (calendar, id) = single(plan, holidays(&["2026-12-25"]));
    let schedule = calendar.schedule(id).unwrap();
    let at = |day: &str, hour, minute| schedule.covers_local(date(day).at(hour, minute, 0, 0));
    assert!(at("2026-12-24", 23, 59));
    assert!(!at("2026-12-25", 0, 0));
    assert!(at("2026-12-25", 5, 59));
    assert!(!at("2026-12-25", 6, 0));
    assert!(at("2026-12-18", 7, 29));
    assert!(!at("2026-12-18", 7, 30));
    assert!(schedule.covers(instant("2026-12-25T05:30Z"), &lisbon(), Reading::ClockFace));
}

/// 1970-01-01 is a Thursday, and local minutes are counted from its midnight. A window that ends where
/// the first day with a span begins is empty, and with that day it is not; so with an exception in
/// the plan and without one.
#[test]
fn a_window_shorter_than_a_week_may_be_empty() {
    let off = || Exception::except_starting(ItemId(9), DateRule::on(date("2026-12-31")));
    let days = [
        ("1969-12-25", "1969-12-31", "Wed 09:00 to 10:00"),
        ("1970-01-01", "1970-01-07", "Wed 09:00 to 10:00"),
        ("1970-01-01", "1970-01-02", "Fri 00:00 to Wed 24:00"),
        ("2026-11-26", "2026-12-02", "Wed 09:00 to 10:00"),
    ];
    for (from, to, text) in days {
        for exceptions in [vec![], vec![off()]] {
            let plan = WeeklyPlan::new(spans(&[text]), exceptions);
            let (calendar, id) = single(plan, Holidays::NONE);
            let schedule = calendar.schedule(id).unwrap();
            let to = date(to);
            let empty = |to| schedule.is_empty(DateWindow::new(date(from), to).unwrap());
            assert!(empty(to), "{from} {text}");
            assert!(!empty(to.saturating_add(SignedDuration::from_hours(24))), "{from} {text}");
        }
    }
}

/// A leaf gives back the plan that it was made of; a schedule that builds on others has none.
#[test]
fn a_plan_is_that_of_a_leaf() {
    let plan = WeeklyPlan::new(spans(&OFFICE), vec![whole(50, Days::Holidays)]);
    let (mut calendar, open) = single(plan.clone(), Holidays::NONE);
    let others = [calendar.not(open), calendar.plus(open, open), calendar.always()];
    assert_eq!(calendar.schedule(open).unwrap().plan(), Some(&plan));
    for id in others {
        assert_eq!(calendar.schedule(id.unwrap()).unwrap().plan(), None);
    }
}

/// A chain of 20,000 schedules is built and asked without recursion, and an id of another
/// calendar is refused.
#[test]
fn deep_chains_and_strange_ids() {
    let mut calendar = Calendar::new(Holidays::NONE);
    let mut id =
        calendar.weekly(WeeklyPlan::new(vec![span(0, "Mon 08:00 to 09:00")], vec![])).unwrap();
    for _ in 0..20_000 {
        id = calendar.not(id).unwrap();
    }
    let schedule = calendar.schedule(id).unwrap();
    assert_eq!(schedule.ordinary_week().minutes(), 60);
    assert_eq!(schedule.local(window("2026-01-05", "2026-01-12")).minutes(), 60);

    let mut other = Calendar::new(Holidays::NONE);
    assert_eq!(other.not(id), Err(CalendarError::UnknownSchedule));
    assert_eq!(other.schedule(id).err(), Some(CalendarError::UnknownSchedule));
    // One more than there are: the first that is not there.
    let mut more = other.clone();
    let (_, second) = (more.always().unwrap(), more.always().unwrap());
    other.always().unwrap();
    assert_eq!(other.schedule(second).err(), Some(CalendarError::UnknownSchedule));
    assert_eq!(WeekSet::full().minutes(), 10_080);
    assert_eq!(time("24:00").minutes(), 1440);
}

/// The ends of time give answers, not panics: `always` covers them, and a rule that never comes
/// again is not found.
#[test]
fn the_ends_of_time_are_answered() {
    let mut calendar = Calendar::new(Holidays::NONE);
    let always = calendar.always().unwrap();
    let yearly =
        Exception::plus(ItemId(0), DateRule::yearly(1, 1).unwrap(), times("22:00 to 02:00"));
    let weekly = spans(&["Sat 20:00 to Mon 05:00"]);
    let dated = calendar.weekly(WeeklyPlan::new(weekly, vec![yearly])).unwrap();
    let (always, dated) = (calendar.schedule(always).unwrap(), calendar.schedule(dated).unwrap());
    for name in ["UTC", "Europe/Lisbon", "Pacific/Apia", "America/St_Johns"] {
        let tz = zone(name).unwrap();
        for reading in [Reading::FirstPass, Reading::Cover, Reading::ClockFace] {
            for at in [Timestamp::MIN, Timestamp::UNIX_EPOCH, instant("9998-11-01T00:00Z")] {
                assert!(always.covers(at, &tz, reading), "{name} {at} {reading:?}");
                assert_eq!(always.next_change(at, &tz, reading), None, "{name} {at} {reading:?}");
                let change = dated.next_change(at, &tz, reading).unwrap();
                assert!(change.at > at && change.at.as_second() - at.as_second() < 7 * 86_400);
            }
            assert!(always.covers(Timestamp::MAX, &tz, reading), "{name} {reading:?}");
            assert_eq!(dated.next_change(Timestamp::MAX, &tz, reading), None);
        }
    }
    // 9999-12-30 is a Thursday; the last instant there is, 22:00Z, is 10:00 local of that day.
    let west = zone("Etc/GMT+12").unwrap();
    let (calendar, id) =
        single(WeeklyPlan::new(spans(&["Thu 08:00 to 11:00"]), vec![]), holidays(&[]));
    let thursday = calendar.schedule(id).unwrap();
    for (hour, covered) in [(19, false), (20, true), (21, true)] {
        let at = instant(&format!("9999-12-30T{hour}:00Z"));
        assert_eq!(thursday.covers(at, &west, Reading::default()), covered, "{at}");
    }
    let last = DateWindow::year(9998).unwrap();
    let first = DateWindow::year(1).unwrap();
    for window in [first, last] {
        let minutes = always.instants(window, &lisbon(), Reading::default()).minutes();
        assert_eq!(minutes, u64::from(window.days()) * 1440);
    }
}

/// A zone of its own rule, whose clocks go forward on 29 December: the days after it are decided one
/// by one, and those after the last instant there is too.
#[test]
fn a_clock_change_on_the_last_days_of_time_is_answered() {
    let tz = TimeZone::posix("AAA0BBB,J363,J2").unwrap();
    let mut calendar = Calendar::new(Holidays::NONE);
    let always = calendar.always().unwrap();
    let always = calendar.schedule(always).unwrap();
    for reading in [Reading::FirstPass, Reading::Cover, Reading::ClockFace] {
        assert!(always.covers(Timestamp::MAX, &tz, reading), "{reading:?}");
    }
}

/// The same set on the clock face and as absolute time; the first Monday of 2026 is 5 January.
#[test]
fn sets_of_spans() {
    let plan = WeeklyPlan::new(spans(&["Mon 08:00 to 12:00", "Tue 22:00 to 02:00"]), vec![]);
    let (calendar, id) = single(plan, holidays(&[]));
    let week = window("2026-01-05", "2026-01-12");
    let schedule = calendar.schedule(id).unwrap();
    let local = schedule.ordinary_week().in_window(week);
    assert_eq!((local.len(), local.is_empty(), local.minutes()), (2, false, 8 * 60));
    let morning = WeekSet::from_spans(&[span(0, "Mon 08:00 to 12:00")]).in_window(week);
    let night = local.minus(&morning);
    let told: Vec<String> = night.iter().map(|span| span.to_string()).collect();
    assert_eq!(told, ["Tue 2026-01-06 22:00 to Wed 2026-01-07 02:00"]);
    let by_date: Vec<_> = local.by_date().iter().map(|of| (of.date, of.minutes)).collect();
    let wanted = [("2026-01-05", 240), ("2026-01-06", 120), ("2026-01-07", 120)];
    assert_eq!(by_date, wanted.map(|(day, minutes)| (date(day), minutes)));
    assert_eq!(local.minus(&local).len(), 0);
    assert!(local.minus(&local).is_empty());
    let inside = |text: &str| local.contains(text.parse().unwrap());
    assert_eq!(
        ["2026-01-05T07:59", "2026-01-05T08:00", "2026-01-05T11:59", "2026-01-05T12:00"]
            .map(inside),
        [false, true, true, false]
    );
    let instants = schedule.instants(week, &lisbon(), Reading::FirstPass);
    assert_eq!((instants.len(), instants.is_empty()), (2, false));
    let quiet =
        schedule.instants(window("2026-01-07", "2026-01-12"), &lisbon(), Reading::FirstPass);
    assert_eq!((quiet.len(), quiet.is_empty()), (1, false));
    let quiet =
        schedule.instants(window("2026-01-08", "2026-01-12"), &lisbon(), Reading::FirstPass);
    assert_eq!((quiet.len(), quiet.is_empty()), (0, true));
    assert!(WeekSet::EMPTY.in_window(week).is_empty());
}
