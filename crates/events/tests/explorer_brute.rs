//! The explorer against a search that tries every millisecond.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod scan;

use curtilage_events::explorer::{Answer, Bounds, Explorer};
use curtilage_events::player::{Ended, Input, Limits, Story, TimedInput, What, play};
use proptest::prelude::*;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};
use scan::{Path, Rule, Sensor, Site, sites};
use std::cell::Cell;

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config(1500))]
    /// The player and the scan register at the same milliseconds, whatever the contacts do.
    #[test]
    fn player_equals_scan(site in sites(), picks in prop::collection::vec(0usize..100, 60)) {
        let (system, contacts, zones) = site.build();
        let mut memory = site.rest();
        let mut inputs = Vec::new();
        let mut want = Vec::new();
        let mut outside = vec![false; contacts.len()];
        for (now, pick) in picks.iter().enumerate() {
            let choices = site.choices(&memory);
            // Mostly stay as it is, so that settle times and lockouts run out.
            let stay = choices.iter().position(|choice| *choice == outside);
            let next = stay.filter(|_| pick % 3 > 0).unwrap_or(pick % choices.len());
            for (place, contact) in contacts.iter().enumerate() {
                if choices[next][place] != outside[place] {
                    let input = Input::Contact(*contact, choices[next][place]);
                    inputs.push(TimedInput { at: now as i64, input });
                }
            }
            outside.clone_from(&choices[next]);
            let (after, registered) = site.scan(&memory, &outside);
            memory = after;
            for (zone, registered) in zones.iter().zip(registered) {
                if registered {
                    want.push((now as i64, *zone));
                }
            }
        }
        let trace = play(&system, &Story { from: 0, inputs }, Limits::until(60));
        prop_assert_eq!(trace.ended, Ended::Played);
        let got = trace.events.iter().filter_map(|event| match event.what {
            What::Registered { zone } => Some((event.at, zone)),
            _ => None,
        });
        prop_assert_eq!(got.collect::<Vec<_>>(), want);
    }
}

/// One question, both ways; `None` when the plain search is too large. Counts yes and no.
fn compare(site: &Site, counts: &Cell<(u32, u32)>) -> Option<()> {
    let (system, contacts, zones) = site.build();
    let reachable = site.reachable(6_000)?;
    let mut explorer = Explorer::new(&system, Bounds::default());
    for (rule, &zone) in zones.iter().enumerate() {
        let holders: Vec<Option<usize>> =
            std::iter::once(None).chain((0..contacts.len()).map(Some)).collect();
        for holder in holders {
            let want = match holder {
                Some(sensor) if site.sensors[sensor].longest.is_some() => None,
                _ => site.endless(&reachable, rule, holder),
            };
            let answer = match holder {
                None => explorer.at_rest(zone),
                Some(sensor) => explorer.held_by(zone, contacts[sensor]),
            };
            let (mut yes, mut no) = counts.get();
            match (&answer, want) {
                (Answer::Yes(endless), Some(fewest)) => {
                    yes += 1;
                    assert_eq!(endless.story.inputs.len(), fewest, "{site:?} {zone:?} {holder:?}");
                    shows(&system, endless, zone);
                }
                (Answer::No(_), None) => no += 1,
                _ => panic!("{site:?} {zone:?} {holder:?}: {answer:?}, plain search {want:?}"),
            }
            counts.set((yes, no));
        }
    }
    Some(())
}

/// The story does what the answer says: the same registrations in each period.
fn shows(
    system: &curtilage_events::system::System,
    endless: &curtilage_events::explorer::Endless,
    zone: curtilage_events::system::ZoneId,
) {
    let until = endless.from + 4 * endless.period + 1;
    let trace = play(system, &endless.story, Limits::until(until));
    assert_eq!(trace.ended, Ended::Played);
    for number in 0..4 {
        let from = endless.from + number * endless.period;
        let within = |at: i64| at > from && at <= from + endless.period;
        let mine = trace.events.iter().filter(|event| within(event.at));
        let count = mine.filter(|event| event.what == What::Registered { zone }).count() as u64;
        assert!(count > 0);
        assert_eq!(count, endless.registrations);
    }
}

/// Here a set covers what comes back to it, but no story does: the pulse that comes back gets
/// shorter each time. Found by this test with other numbers.
#[test]
fn a_cycle_that_only_seems_to_be_one() {
    let site = Site {
        sensors: vec![Sensor { on: 1, off: 1, shortest: 0, longest: None }],
        rules: vec![Rule {
            sensor: 0,
            lockout: 3,
            rejects: false,
            restarts: false,
            level: false,
            after_lockout: false,
            gap: 0,
            limit: None,
            hold: 1,
            span: 2,
            retriggered: false,
            output: 0,
        }],
        paths: vec![Path { output: 0, sensor: 0, delay: 3, inverted: false }],
        outputs: 1,
    };
    let counts = Cell::new((0, 0));
    compare(&site, &counts).unwrap();
    assert_eq!(counts.get(), (0, 2));
}

/// Same verdicts as trying every millisecond, and stories of the fewest inputs.
#[test]
fn explorer_equals_every_millisecond() {
    let counts = Cell::new((0, 0));
    let compared = Cell::new(0);
    // The same sites each time, so that the counts below are certain.
    let mut runner =
        TestRunner::new_with_rng(config(120), TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    runner
        .run(&sites(), |site| {
            if compare(&site, &counts).is_some() {
                compared.set(compared.get() + 1);
            }
            Ok(())
        })
        .unwrap();
    let (yes, no) = counts.get();
    println!("{} sites, {yes} yes, {no} no", compared.get());
    assert!(compared.get() > 50 && yes > 50 && no > 50);
}

/// The most that any story scores in `length` milliseconds from any reachable memory, by going
/// back from the end.
fn most(site: &Site, score: impl Fn(&scan::Memory, &[bool]) -> i64, length: usize) -> Option<i64> {
    let reachable: Vec<_> = site.reachable(3_000)?.into_keys().collect();
    // A stretch may also begin before the first millisecond.
    let all: Vec<_> = std::iter::once(site.rest()).chain(reachable).collect();
    let mut places = std::collections::BTreeMap::new();
    for (number, memory) in all.iter().enumerate().skip(1) {
        places.insert(memory.clone(), number);
    }
    let steps: Vec<Vec<(usize, i64)>> = all
        .iter()
        .map(|memory| {
            let step = |outside: Vec<bool>| {
                let (next, registered) = site.scan(memory, &outside);
                (places[&next], score(&next, &registered))
            };
            site.choices(memory).into_iter().map(step).collect()
        })
        .collect();
    let mut best = vec![0; all.len()];
    for _ in 0..length {
        let after = |steps: &Vec<(usize, i64)>| {
            steps.iter().map(|&(next, score)| score + best[next]).max().unwrap()
        };
        best = steps.iter().map(after).collect();
    }
    best.into_iter().max()
}

/// A contact that is let go just before it registers again for being held, and comes again: seven
/// registrations in 17 ms, though a held one comes every 3 ms and a press every 4 ms.
#[test]
fn an_activation_after_a_held_one_comes_sooner() {
    let site = Site {
        sensors: vec![Sensor { on: 0, off: 2, shortest: 0, longest: None }],
        rules: vec![Rule {
            sensor: 0,
            lockout: 1,
            rejects: false,
            restarts: false,
            level: true,
            after_lockout: false,
            gap: 1,
            limit: None,
            hold: 2,
            span: 0,
            retriggered: true,
            output: 0,
        }],
        paths: vec![],
        outputs: 1,
    };
    let (system, _, zones) = site.build();
    assert_eq!(most(&site, |_, registered| i64::from(registered[0]), 17), Some(7));
    let mut explorer = Explorer::new(&system, Bounds::default());
    let answer = explorer.most_registrations(zones[0], 17).unwrap();
    assert!(answer.at_least <= 7 && 7 <= answer.at_most, "{answer:?}");
}

/// Bounds on the most registrations and the longest time on hold, and are mostly exact; the story
/// of each has what it says.
#[test]
fn most_equals_every_millisecond() {
    const LENGTH: i64 = 17;
    let exact = Cell::new((0, 0));
    let mut runner =
        TestRunner::new_with_rng(config(120), TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    runner
        .run(&sites(), |site| {
            let (system, _, zones) = site.build();
            let mut explorer = Explorer::new(&system, Bounds::default());
            let note = |answer: &curtilage_events::explorer::Most, want: i64| {
                assert!(answer.at_least <= want, "{site:?}: {answer:?}, found {want}");
                assert!(want <= answer.at_most, "{site:?}: {answer:?}, found {want}");
                let (met, all) = exact.get();
                exact.set((met + u32::from(answer.exactly().is_some()), all + 1));
            };
            for (rule, &zone) in zones.iter().enumerate() {
                let score = |_: &scan::Memory, registered: &[bool]| i64::from(registered[rule]);
                let Some(want) = most(&site, score, 17) else { return Ok(()) };
                let answer = explorer.most_registrations(zone, LENGTH).unwrap();
                note(&answer, want);
                let trace = play(&system, &answer.story, Limits::until(answer.from + LENGTH));
                let inside = trace.events.iter().filter(|event| event.at >= answer.from);
                let count = inside.filter(|event| event.what == What::Registered { zone }).count();
                assert_eq!(count as i64, answer.at_least);
            }
            for (number, (output, _)) in system.outputs().enumerate() {
                let score = |memory: &scan::Memory, _: &[bool]| i64::from(memory.shows(number));
                let Some(want) = most(&site, score, 17) else { return Ok(()) };
                note(&explorer.longest_on(output, LENGTH).unwrap(), want);
            }
            Ok(())
        })
        .unwrap();
    let (met, all) = exact.get();
    println!("{met} of {all} exact");
    assert!(all > 100 && met * 2 > all);
}
