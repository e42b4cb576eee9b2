//! The closed forms of a held contact, against the player.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::duty::{self, Ratio};
use curtilage_events::player::{Ended, Event, Input, Limits, Story, TimedInput, What, play};
use curtilage_events::system::{
    Again, Builder, Causes, Contact, Effect, LockoutEnd, Mode, OnTime, Output, Registration,
    Response, Span, System, Windows, Zone, ZoneId,
};
use proptest::prelude::*;

fn site(
    settle: i64,
    zone: impl FnOnce(Zone) -> Zone,
    delay: i64,
    on_time: OnTime,
    hold: i64,
) -> System {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(settle));
    let zone = builder.zone(zone(Zone::level(contact, 0)));
    let output = builder.output(Output { on_time, mode: Mode::Automatic });
    let effects = vec![Effect::On { output, hold, on_time: None }];
    builder.response(Response { delay, ..Response::to(zone, effects) });
    builder.build().unwrap()
}

/// Common practice, no source (semantics, section 7): 10 s + 10 s gives 20 s, 2 s + 3 s gives 5 s.
#[test]
fn lockout_then_hold() {
    for (lockout, hold, total) in [(10_000, 10_000, 20_000), (2_000, 3_000, 5_000)] {
        let zone = |zone| Zone { lockout, ..zone };
        let site = site(300, zone, 0, OnTime::LOCKOUT_THEN_HOLD, hold);
        let (id, _) = site.zones().next().unwrap();
        let held = duty::held(&site, id).unwrap();
        assert_eq!((held.first, held.period), (300, total));
        assert_eq!(held.per_hour, Ratio::new(3_600_000, total));
        assert_eq!(held.on[0].1, Ratio::new(1, 1));
    }
}

#[test]
fn a_share_is_in_lowest_terms() {
    let share = Ratio::new(15, 60);
    assert_eq!((share.numerator(), share.denominator(), share.as_f64()), (1, 4, 0.25));
    for none in [Ratio::new(-1, 4), Ratio::new(3, 0), Ratio::new(3, -4), Ratio::new(0, 7)] {
        assert_eq!((none.numerator(), none.denominator(), none.as_f64()), (0, 1, 0.0));
    }
}

#[test]
fn bounded_registrations_have_no_rate() {
    let limited = site(0, |zone| Zone { limit: Some(3), ..zone }, 0, OnTime::HOLD, 5);
    let edge =
        site(0, |zone| Zone { registration: Registration::Edge, ..zone }, 0, OnTime::HOLD, 5);
    for site in [limited, edge] {
        let (id, _) = site.zones().next().unwrap();
        assert_eq!(duty::held(&site, id), None);
    }
}

/// A response that waits for hours or for other zones decides with them.
#[test]
fn a_response_that_may_not_answer_has_no_rate() {
    let held = |change: &dyn Fn(&mut Response, ZoneId)| {
        let mut builder = Builder::new();
        let contact = builder.contact(Contact::settling(0));
        let zone = builder.zone(Zone::level(contact, 1_000));
        let output = builder.output(Output::automatic(OnTime::HOLD));
        let on = Effect::On { output, hold: 5, on_time: None };
        let mut response = Response::to(zone, vec![on]);
        change(&mut response, zone);
        builder.response(response);
        duty::held(&builder.build().unwrap(), zone)
    };
    assert!(held(&|_, _| {}).is_some());
    assert_eq!(held(&|response, _| response.during = Windows::weekly(&[(0, 60)])), None);
    let all = |zone| Causes::All { zones: vec![zone], within: 1_000 };
    assert_eq!(held(&|response, zone| response.causes = all(zone)), None);
}

/// After an entry time of which nothing runs the zone is free again in the next millisecond: the
/// player registers then, and not sooner.
#[test]
fn nothing_that_runs_after_an_entry_time_takes_a_millisecond() {
    for (entry, gap, period) in [(1, 0, 2), (5, 0, 6), (5, 1, 6), (5, 2, 7)] {
        let registration = Registration::Level(Again::AfterOnTime { gap });
        let site = site(0, |zone| Zone { registration, entry, ..zone }, 0, OnTime::HOLD, 0);
        let (id, zone) = site.zones().next().unwrap();
        assert_eq!(duty::period(zone, 0), Some(period), "{entry} {gap}");
        assert_eq!(duty::held(&site, id).unwrap().period, period);
        let (contact, _) = site.contacts().next().unwrap();
        let input = Input::Contact(contact, true);
        let story = Story { from: 0, inputs: vec![TimedInput { at: 0, input }] };
        let trace = play(&site, &story, Limits::until(entry + 3 * period));
        let registered = |event: &&Event| matches!(event.what, What::Registered { .. });
        let at: Vec<_> = trace.events.iter().filter(registered).map(|event| event.at).collect();
        assert_eq!(at, [entry, entry + period, entry + 2 * period], "{entry} {gap}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]
    /// Registrations and on-time of the player over many periods are exactly the closed form.
    #[test]
    fn player_agrees(
        settle in 0i64..4, lockout in 0i64..9, entry in prop_oneof![Just(0i64), 0i64..5],
        delay in prop_oneof![Just(0i64), 0i64..5], hold in 0i64..9, gap in 0i64..4,
        span in prop_oneof![Just(Span::Hold), Just(Span::LockoutThenHold), Just(Span::LongerOfBoth)],
        retriggered: bool, after_lockout: bool, rejects: bool,
    ) {
        let again = if after_lockout { Again::AfterLockout } else { Again::AfterOnTime { gap } };
        let registration = Registration::Level(again);
        let lockout_end = if rejects { LockoutEnd::Rejects } else { LockoutEnd::Accepts };
        let zone = |zone| Zone { lockout, lockout_end, registration, entry, ..zone };
        let site = site(settle, zone, delay, OnTime { span, retriggered }, hold);
        let (id, _) = site.zones().next().unwrap();
        let (contact, _) = site.contacts().next().unwrap();
        let held = duty::held(&site, id).unwrap();
        let input = Input::Contact(contact, true);
        let story = Story { from: 0, inputs: vec![TimedInput { at: 0, input }] };
        let trace = play(&site, &story, Limits::until(6_000));
        prop_assert_eq!(trace.ended, Ended::Played);
        let mut expected = held.first;
        let mut level = None;
        let (mut on, mut rises) = (0, 0);
        // A window of whole repetitions, after the start. Where askings are lost on a running
        // on-time, the output repeats only after as many periods as the on-time spans.
        let share = held.on[0].1;
        let spans = (1..).find(|spans| spans * held.period >= span.length(lockout, hold)).unwrap();
        let (open, close) = (200, 200 + 20 * spans * held.period);
        prop_assert!(close < 6_000);
        for event in &trace.events {
            match event.what {
                What::Registered { .. } => {
                    prop_assert_eq!(event.at, expected);
                    expected += held.period;
                    rises += 1;
                }
                What::Output { on: true, .. } => level = Some(event.at),
                What::Output { on: false, .. } => {
                    on += event.at.min(close).max(open) - level.unwrap().min(close).max(open);
                    level = None;
                }
                _ => {}
            }
        }
        prop_assert!(rises > 0 && expected >= 6_000);
        on += level.map_or(0, |level| close - level.min(close).max(open));
        prop_assert_eq!(Ratio::new(on, close - open), share);
    }
}

/// One millisecond at a time: what is asked for every `period` ms, as the words of `on_share` say it.
#[test]
fn a_share_of_time_is_what_counting_every_millisecond_gives() {
    for period in 1..8 {
        for length in 0..20 {
            for again in [false, true] {
                // What is lost while it runs comes in rounds of so many periods, and all are alike.
                let round = period * ((length + period - 1) / period).max(1);
                let (mut until, mut on) = (0, 0);
                for now in 0..2 * round {
                    if now % period == 0 && (again || now >= until) {
                        until = now + length;
                    }
                    on += i64::from(now >= round && now < until);
                }
                let share = duty::on_share(period, length, again);
                assert_eq!(share, Ratio::new(on, round), "{length} of {period}, {again}");
            }
        }
    }
    assert_eq!(duty::on_share(0, 5, false), Ratio::new(0, 1));
}
