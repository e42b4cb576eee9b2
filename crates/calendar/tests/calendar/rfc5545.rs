//! Examples of RFC 5545 that a weekly plan with dated rules can state.

use curtilage_calendar::{DateRule, DateWindow, DaySpan, Exception, ItemId, Reading, WeeklyPlan};
use curtilage_calendar::{Holidays, zone};

use crate::support::{date, instant, single, span, spans, times, window};

const RULES: &str = include_str!("../../../../tests/fixtures/reference/rfc5545_rrule.csv");

/// The expected dates of the row whose rule is this.
#[track_caller]
fn expected(rule: &str) -> Vec<String> {
    let row = RULES.lines().find(|line| {
        line.split_once(',').is_some_and(|(_, rest)| rest.trim_start_matches('"').starts_with(rule))
    });
    let (_, after) = row.unwrap().split_once("America/New_York,").unwrap();
    let dates = after.split(',').next().unwrap();
    dates.split(' ').map(str::to_owned).collect()
}

#[track_caller]
fn starts(plan: WeeklyPlan, dates: &[String]) -> Vec<String> {
    let (calendar, id) = single(plan, Holidays::NONE);
    let (first, last) = (dates.first().unwrap(), dates.last().unwrap());
    let window = DateWindow::new(date(first), date(last).tomorrow().unwrap()).unwrap();
    let local = calendar.schedule(id).unwrap().local(window);
    local.iter().map(|span| span.start.date().to_string()).collect()
}

/// Source: RFC 5545 section 3.8.5.3, worked examples, as in `rfc5545_rrule.csv`.
#[test]
fn weekly_and_yearly_rules_give_the_dates_of_the_rfc() {
    for rule in ["FREQ=WEEKLY;COUNT=10,", "FREQ=WEEKLY;UNTIL=19971224T000000Z,"] {
        let dates = expected(rule);
        assert!(dates.len() >= 10);
        let plan = WeeklyPlan::new(spans(&["Tue 09:00 to 10:00"]), vec![]);
        assert_eq!(starts(plan, &dates), dates, "{rule}");
    }
    let dates = expected("FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH");
    let plan = WeeklyPlan::new(spans(&["Tue 09:00 to 10:00", "Thu 09:00 to 10:00"]), vec![]);
    assert_eq!(starts(plan, &dates), dates);

    let plus = |rule: DateRule| Exception::plus(ItemId(0), rule, times("09:00 to 10:00"));
    let dates = expected("FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1");
    assert_eq!(dates.len(), 93);
    let january = DateRule::yearly_range((1, 1), (1, 31)).unwrap();
    assert_eq!(starts(WeeklyPlan::new(vec![], vec![plus(january)]), &dates), dates);

    let dates = expected("FREQ=YEARLY;COUNT=10;BYMONTH=6,7");
    let summer = [6, 7].map(|month| plus(DateRule::yearly(month, 10).unwrap())).to_vec();
    assert_eq!(starts(WeeklyPlan::new(vec![], summer), &dates), dates);
}

/// Source: RFC 5545 section 3.3.5. `TZID=America/New_York:20071104T013000` is 01:30 EDT
/// (UTC-04:00), the first pass; `TZID=America/New_York:20070311T023000` is 03:30 EDT, by the
/// offset before the gap.
#[test]
fn repeated_and_skipped_times_are_those_of_the_rfc() {
    let tz = zone("America/New_York").unwrap();
    let first_start = |text: &str, from: &str, to: &str| {
        let (calendar, id) = single(WeeklyPlan::new(vec![span(0, text)], vec![]), Holidays::NONE);
        let schedule = calendar.schedule(id).unwrap();
        let spans = schedule.instants(window(from, to), &tz, Reading::default());
        spans.iter().next().unwrap().start
    };
    assert_eq!(
        first_start("Sun 01:30 to 05:00", "2007-11-04", "2007-11-05"),
        instant("2007-11-04T01:30-04:00")
    );
    assert_eq!(
        first_start("Sun 02:30 to 05:00", "2007-03-11", "2007-03-12"),
        instant("2007-03-11T03:30-04:00")
    );
    assert_eq!(DaySpan::WHOLE_DAY.end(), 1440);
}
