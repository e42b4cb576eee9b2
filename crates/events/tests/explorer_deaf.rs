//! Panic activations that come to nothing.
//!
//! Source of the four named cases: `verify/z3_panic.py` (Z3 and its brute-force twin, which agree).
//! Two schedules there are two responses here; a repeated press there is `deaf_again`.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::explorer::{Answer, Bounds, Deaf, Explorer, Proof, Reason, WhyDeaf};
use curtilage_events::player::{Input, Limits, Story, TimedInput, What, play};
use curtilage_events::system::{
    Builder, Contact, ContactId, Effect, Feedback, LockoutEnd, OnTime, Output, Response, System,
    Windows, Zone, ZoneId,
};
use curtilage_events::{Ms, WEEK};
use proptest::prelude::*;

const MINUTE: Ms = 60_000;
const DAY: u32 = 1_440;

fn workdays() -> Vec<(u32, u32)> {
    (0..5).map(|day| (day * DAY + 450, day * DAY + 1_080)).collect()
}

fn nights(late: u32) -> Vec<(u32, u32)> {
    let mut spans: Vec<(u32, u32)> =
        (0..4).map(|day| (day * DAY + 1_080 + late, (day + 1) * DAY + 450)).collect();
    spans.push((4 * DAY + 1_080 + late, 7 * DAY + 450));
    spans
}

/// An always armed panic zone with a response for each list of spans; minutes throughout.
fn site(spans: &[Vec<(u32, u32)>], lockout: Ms, hold: Ms, sum: bool) -> System {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let on_time = if sum { OnTime::LOCKOUT_THEN_HOLD } else { OnTime::HOLD_RETRIGGERED };
    let output = builder.output(Output::automatic(on_time));
    let zone = builder.zone(Zone::edge(contact, lockout * MINUTE));
    for spans in spans {
        let on = Effect::On { output, hold: hold * MINUTE, on_time: None };
        let during = Windows::weekly(spans);
        builder.response(Response { during, ..Response::to(zone, vec![on]) });
    }
    builder.build().unwrap()
}

fn zone_of(system: &System) -> ZoneId {
    system.zones().next().unwrap().0
}

/// The last activation in the story registers nothing, or has no effect.
fn shows(system: &System, zone: ZoneId, deaf: &Deaf) {
    let settle = system.contacts().next().unwrap().1.settle_on;
    let pressed =
        deaf.story.inputs.iter().filter(|input| matches!(input.input, Input::Contact(_, true)));
    let last = pressed.map(|input| input.at).max().unwrap() + settle;
    let entry = system.zones().next().unwrap().1.entry;
    let trace = play(system, &deaf.story, Limits::until(last + entry + 1));
    let noted = trace
        .events
        .iter()
        .any(|event| event.at == last && matches!(event.what, What::Settled { active: true, .. }));
    assert!(noted, "{deaf:?}: {trace:?}");
    let after = trace.events.iter().filter(|event| event.at >= last);
    let registered = after.clone().any(|event| event.what == What::Registered { zone });
    let effect = after
        .clone()
        .any(|event| matches!(event.what, What::Output { on: true, .. } | What::Noted { .. }));
    match deaf.why {
        WhyDeaf::NoEffect => assert!(registered && !effect, "{deaf:?}: {trace:?}"),
        _ => assert!(!registered && !effect, "{deaf:?}: {trace:?}"),
    }
}

#[test]
fn cases_of_z3() {
    let gap = |day: Ms| (day * 1_440 + 1_080, day * 1_440 + 1_081);
    let holes: Vec<(Ms, Ms)> = (0..5).map(gap).collect();
    let always = vec![(0, 7 * DAY)];
    let cases = [
        (site(&[workdays(), nights(0)], 1, 2, true), vec![], false),
        (site(&[workdays(), nights(1)], 1, 2, true), holes, false),
        (site(std::slice::from_ref(&always), 5, 2, false), vec![], true),
        (site(&[always], 5, 2, true), vec![], false),
    ];
    for (system, want, again) in cases {
        let explorer = Explorer::new(&system, Bounds::default());
        let zone = zone_of(&system);
        let found = match explorer.deaf(zone, 0, WEEK) {
            Answer::Yes(found) => found,
            Answer::No(proof) => {
                assert_eq!(proof, Proof::Covered);
                Vec::new()
            }
            Answer::NotKnown { reason, .. } => panic!("{reason:?}"),
        };
        let minutes: Vec<(Ms, Ms)> =
            found.iter().map(|deaf| (deaf.from / MINUTE, deaf.until / MINUTE)).collect();
        assert_eq!(minutes, want);
        for deaf in &found {
            assert_eq!(deaf.why, WhyDeaf::NoEffect);
            shows(&system, zone, deaf);
        }
        if want.is_empty() {
            match explorer.deaf_again(zone, 0, WEEK) {
                Answer::Yes(deaf) => {
                    assert!(again && deaf.why == WhyDeaf::Lockout);
                    shows(&system, zone, &deaf);
                }
                Answer::No(_) => assert!(!again),
                // A response that works at times: what it starts is not certain.
                Answer::NotKnown { reason, .. } => {
                    assert!(
                        !again && reason == Reason::NotPlayed && system.responses().count() == 2
                    );
                }
            }
        }
    }
}

#[test]
fn feedback_on_the_contact_is_not_decided() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let zone = builder.zone(Zone::edge(contact, 0));
    builder.response(Response::to(zone, vec![Effect::On { output, hold: 5, on_time: None }]));
    builder.feedback(Feedback { output, contact, delay: 1, inverted: false });
    let system = builder.build().unwrap();
    let explorer = Explorer::new(&system, Bounds::default());
    let answer = explorer.deaf(zone, 0, WEEK);
    assert_eq!(answer, Answer::NotKnown { reason: Reason::OutputReachesContact, states: 0 });
}

/// A settle time, and weekly windows in minutes, small enough to try.
fn small() -> impl Strategy<Value = (System, ContactId, i64)> {
    let spans = || prop::collection::vec((0u32..60, 1u32..20), 0..4);
    let spans = move || {
        spans().prop_map(|list| {
            list.iter().map(|&(from, long)| (from, from + long)).collect::<Vec<_>>()
        })
    };
    (spans(), spans(), any::<bool>(), 0i64..3, 0i64..3, 0i64..3).prop_map(
        |(armed, during, always, settle, exit, entry)| {
            let mut builder = Builder::new();
            let contact = builder.contact(Contact::settling(settle));
            let armed = if always { Windows::Always } else { Windows::weekly(&armed) };
            let zone = Zone {
                armed,
                exit: exit * MINUTE,
                entry: entry * MINUTE,
                ..Zone::edge(contact, 0)
            };
            let zone = builder.zone(zone);
            let during = Windows::weekly(&during);
            let note = vec![Effect::Note { note: 1 }];
            builder.response(Response { during, ..Response::to(zone, note) });
            (builder.build().unwrap(), contact, settle)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]
    /// Each minute of an hour is pressed by itself and played.
    #[test]
    fn every_minute_pressed((system, contact, settle) in small()) {
        let zone = zone_of(&system);
        let explorer = Explorer::new(&system, Bounds::default());
        let (from, until) = (WEEK, WEEK + 80 * MINUTE);
        let found = match explorer.deaf(zone, from, until) {
            Answer::Yes(found) => found,
            Answer::No(_) => Vec::new(),
            Answer::NotKnown { reason, .. } => panic!("{reason:?}"),
        };
        for deaf in &found {
            shows(&system, zone, deaf);
            prop_assert!(from <= deaf.from && deaf.from < deaf.until && deaf.until <= until);
        }
        for minute in 0..80 {
            // At the minute and a millisecond before and after it.
            for off in [-1, 0, 1] {
                let at = from + minute * MINUTE + off;
                if at < from {
                    continue;
                }
                let press = |at, active| TimedInput { at, input: Input::Contact(contact, active) };
                let inputs = vec![press(at - settle, true), press(at + 1, false)];
                let story = Story { from: at - WEEK / 2, inputs };
                let trace = play(&system, &story, Limits::until(at + 10 * MINUTE));
                let heard = trace.events.iter().any(|event| event.what == What::Registered { zone });
                let effect =
                    trace.events.iter().any(|event| matches!(event.what, What::Noted { .. }));
                let here = found.iter().find(|deaf| deaf.from <= at && at < deaf.until);
                let want = match (heard, effect) {
                    (false, _) => Some(WhyDeaf::NotHeard),
                    (true, false) => Some(WhyDeaf::NoEffect),
                    (true, true) => None,
                };
                prop_assert_eq!(here.map(|deaf| deaf.why), want, "{} {}", minute, off);
            }
        }
    }

    /// Presses at random: if one is refused while nothing runs, the answer is not "no".
    #[test]
    fn pressed_again(
        lockout in 0i64..12, hold in 0i64..12, settle in 0i64..3, limit in prop::option::weighted(0.2, 1u32..3),
        rejects: bool, restarts: bool, retriggered: bool, sum: bool, gaps in prop::collection::vec(3i64..14, 12),
    ) {
        let mut builder = Builder::new();
        let contact = builder.contact(Contact::settling(settle));
        let on_time = OnTime { retriggered, ..if sum { OnTime::LOCKOUT_THEN_HOLD } else { OnTime::HOLD } };
        let output = builder.output(Output::automatic(on_time));
        let end = if rejects { LockoutEnd::Rejects } else { LockoutEnd::Accepts };
        let zone = builder.zone(Zone {
            lockout_end: end, lockout_restarts: restarts, limit, ..Zone::edge(contact, lockout)
        });
        // A note too, so that a first activation always does something.
        let effects = vec![Effect::On { output, hold, on_time: None }, Effect::Note { note: 1 }];
        builder.response(Response::to(zone, effects));
        let system = builder.build().unwrap();
        let explorer = Explorer::new(&system, Bounds::default());
        let answer = explorer.deaf_again(zone, 0, WEEK);
        if let Answer::Yes(deaf) = &answer {
            shows(&system, zone, deaf);
        }
        let mut at = 0;
        let mut inputs = Vec::new();
        for gap in gaps {
            let press = |at, active| TimedInput { at, input: Input::Contact(contact, active) };
            inputs.extend([press(at, true), press(at + settle + 1, false)]);
            at += gap.max(2 * settle + 2);
        }
        let trace = play(&system, &Story { from: 0, inputs }, Limits::until(at + 100));
        let (mut on, mut idle) = (false, false);
        for event in &trace.events {
            match event.what {
                What::Output { on: now, .. } => on = now,
                // An output that ends in this instant is told after the refusal.
                What::Refused { .. } => {
                    let ends = trace.events.iter().any(|other| {
                        other.at == event.at && matches!(other.what, What::Output { on: false, .. })
                    });
                    idle |= !on || ends;
                }
                _ => {}
            }
        }
        if idle {
            prop_assert!(matches!(answer, Answer::Yes(_)), "{:?}", answer);
        }
    }
}
