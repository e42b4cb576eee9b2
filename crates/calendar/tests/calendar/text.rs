//! Wording.

use curtilage_calendar::{Holidays, WeekSet, WeeklyPlan, duration, weekly_total};

use crate::support::{single, spans, window};

#[track_caller]
fn says(written: &[&str], want: &str) {
    let set = WeekSet::from_spans(&spans(written));
    assert_eq!(set.to_string(), want);
}

#[test]
fn weeks() {
    says(&[], "at no time");
    says(&["Tue 00:00 to Mon 24:00"], "all week");
    says(&["Sat 12:30 to Mon 07:30"], "Sat 12:30 to Mon 07:30");
    says(&["Sat 22:00 to 02:00"], "Sat 22:00 to Sun 02:00");
    says(&["Sat 12:30 to 24:00"], "Sat 12:30 to 24:00");
    says(&["Mon 00:00 to 24:00", "Thu 00:00 to 24:00"], "Mon, Thu 00:00 to 24:00");
    says(&["Mon 00:00 to 24:00", "Tue 00:00 to 24:00"], "Mon 00:00 to Tue 24:00");
    says(
        &[
            "Mon 07:30 to 18:00",
            "Wed 07:30 to 18:00",
            "Thu 07:30 to 18:00",
            "Fri 07:30 to 18:00",
            "Sat 08:00 to 12:30",
        ],
        "Mon, Wed to Fri 07:30 to 18:00; Sat 08:00 to 12:30",
    );
    says(
        &["Mon 18:00 to 07:30", "Tue 18:00 to 07:30", "Fri 18:00 to Mon 07:30"],
        "Mon, Tue 18:00 to 07:30; Fri 18:00 to Mon 07:30",
    );
    // A day's length from 07:00 would read as nothing when it is grouped.
    says(
        &["Mon 07:00 to Tue 07:00", "Thu 07:00 to Fri 07:00"],
        "Mon 07:00 to Tue 07:00; Thu 07:00 to Fri 07:00",
    );
}

#[test]
fn totals() {
    let said = [0, 45, 60, 61, 1440, 3690].map(duration);
    assert_eq!(said, ["0 min", "45 min", "1 h", "1 h 1 min", "24 h", "61 h 30 min"]);
    let set = WeekSet::from_spans(&spans(&["Sat 12:30 to Mon 07:30"]));
    assert_eq!(weekly_total(&set), "43 h a week");
}

#[test]
fn dated_spans() {
    let (calendar, id) = single(
        WeeklyPlan::new(spans(&["Thu 18:00 to 24:00", "Sat 20:00 to Mon 05:00"]), vec![]),
        Holidays::NONE,
    );
    let local = calendar.schedule(id).unwrap().local(window("2026-12-24", "2026-12-29"));
    let said: Vec<String> = local.iter().map(|span| span.to_string()).collect();
    assert_eq!(
        said,
        ["Thu 2026-12-24 18:00 to 24:00", "Sat 2026-12-26 20:00 to Mon 2026-12-28 05:00"]
    );
}
