//! A year of a schedule costs as its spans do, not as its minutes do.

use curtilage_calendar::{DateWindow, DaySpan, Days, Exception, ItemId, Reading, WeeklyPlan};

use crate::support::{holidays, lisbon, single, spans};

/// The best of many runs without optimisation. Going through the 525,600 minutes of a year takes
/// above 5 ms so; through its spans, below 1 ms.
#[test]
fn a_year_is_not_walked_by_minutes() {
    let written = [
        "Mon 18:00 to 07:30",
        "Tue 18:00 to 07:30",
        "Wed 18:00 to 07:30",
        "Thu 18:00 to 07:30",
        "Fri 18:00 to Mon 07:30",
    ];
    let off = Exception::except(ItemId(9), Days::Holidays, DaySpan::WHOLE_DAY);
    let (calendar, id) = single(
        WeeklyPlan::new(spans(&written), vec![off]),
        holidays(&["2026-12-25", "2026-01-01"]),
    );
    let schedule = calendar.schedule(id).unwrap();
    let (year, tz) = (DateWindow::year(2026).unwrap(), lisbon());
    #[expect(clippy::disallowed_types, reason = "the test measures time")]
    let clock = std::time::Instant::now;
    let best = |run: &dyn Fn() -> u64| {
        (0..200)
            .map(|_| {
                let start = clock();
                std::hint::black_box(run());
                start.elapsed()
            })
            .min()
            .unwrap()
    };
    let local = best(&|| schedule.local(year).minutes());
    let instants = best(&|| schedule.instants(year, &tz, Reading::default()).minutes());
    let face = best(&|| schedule.instants(year, &tz, Reading::ClockFace).minutes());
    println!("a year: local {local:?}, instants {instants:?}, clock face {face:?}");
    for time in [local, instants, face] {
        assert!(time.as_micros() < 5_000, "{time:?}");
    }
}
