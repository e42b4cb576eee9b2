//! The player against two independent simulators.
//!
//! Source: `tests/fixtures/timing.json`, 511 scenarios with the events on which an event-driven
//! simulator (SimPy) and a scan of IEC 61131-3 blocks agree; the 11 named ones are worked by hand.
//! The scenarios count in ticks; here a tick is a millisecond.
#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod scenario;

use scenario::{Case, Line};

const FIXTURE: &str = include_str!("../../../tests/fixtures/timing.json");

/// Scenarios that were made just now, where `CURTILAGE_FRESH` names a folder (tests/oracles);
/// without it the committed ones again.
#[test]
fn all_fresh_scenarios_exact() {
    let fresh = std::env::var("CURTILAGE_FRESH").ok();
    let fresh = fresh.map(|folder| std::fs::read_to_string(folder + "/timing.json").unwrap());
    let (cases, lines) = play_all(fresh.as_deref().unwrap_or(FIXTURE));
    println!("{cases} scenarios, {lines} events, fresh: {}", fresh.is_some());
    assert!(cases >= 100 && lines > cases);
}

#[test]
fn all_fixture_scenarios_exact() {
    assert_eq!(play_all(FIXTURE), (511, 53_536));
}

/// How many scenarios and event lines agree.
fn play_all(fixture: &str) -> (usize, usize) {
    let cases: Vec<Case> = serde_json::from_str(fixture).unwrap();
    let mut lines = 0;
    for case in &cases {
        let got: Vec<Line> = case.scenario.play();
        lines += got.len();
        let first = got.iter().zip(&case.events).position(|(got, want)| got != want);
        let at = first.unwrap_or(got.len().min(case.events.len()));
        assert!(
            got == case.events,
            "{}: line {at}: got {:?}, want {:?}",
            case.id,
            got.get(at),
            case.events.get(at)
        );
    }
    // Every event line of the fixture.
    assert_eq!(lines, cases.iter().map(|case| case.events.len()).sum::<usize>());
    (cases.len(), lines)
}
