//! The player on what the timing fixtures do not say: limits, confirmation, entry and exit, delays,
//! schedules, several causes, modes, switching off, feedback without delay, a long story.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::player::{
    Ended, Input, Limits, Refusal, Story, TimedInput, Trace, What, play,
};
use curtilage_events::system::{
    Again, BuildError, Builder, Causes, Confirm, Contact, ContactId, Effect, Feedback, LockoutEnd,
    Mode, OnTime, Output, OutputId, Registration, Response, System, Windows, Zone, ZoneId,
};

const S: i64 = 1_000;
const MIN: i64 = 60 * S;

/// Presses of 200 ms.
fn presses(contact: ContactId, at: &[i64]) -> Vec<TimedInput> {
    let press = |&at: &i64| {
        [(at, true), (at + 200, false)]
            .map(|(at, active)| TimedInput { at, input: Input::Contact(contact, active) })
    };
    at.iter().flat_map(press).collect()
}

fn hold(contact: ContactId, at: i64) -> TimedInput {
    TimedInput { at, input: Input::Contact(contact, true) }
}

fn release(contact: ContactId, at: i64) -> TimedInput {
    TimedInput { at, input: Input::Contact(contact, false) }
}

fn told(system: &System, inputs: Vec<TimedInput>, until: i64) -> Trace {
    let trace = play(system, &Story { from: 0, inputs }, Limits::until(until));
    assert_eq!(trace.ended, Ended::Played);
    trace
}

fn times(trace: &Trace, what: What) -> Vec<i64> {
    trace.events.iter().filter(|event| event.what == what).map(|event| event.at).collect()
}

fn registered(trace: &Trace, zone: ZoneId) -> Vec<i64> {
    times(trace, What::Registered { zone })
}

/// One contact without settle time, one output, hold from registration.
struct One {
    builder: Builder,
    contact: ContactId,
    output: OutputId,
}

fn one(on_time: OnTime) -> One {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let output = builder.output(Output::automatic(on_time));
    One { builder, contact, output }
}

impl One {
    fn on(&self, hold: i64) -> Effect {
        Effect::On { output: self.output, hold, on_time: None }
    }

    fn output_changes(&self, trace: &Trace) -> Vec<(i64, bool)> {
        let changes = trace.events.iter().filter_map(|event| match event.what {
            What::Output { output, on } if output == self.output => Some((event.at, on)),
            _ => None,
        });
        changes.collect()
    }
}

/// Common practice, no source (semantics, section 7).
#[test]
fn three_presses_and_the_lockout() {
    for (lockout, want) in [(5 * S, vec![0]), (S, vec![0, 1_500, 3_000])] {
        let mut one = one(OnTime::LOCKOUT_THEN_HOLD);
        let zone = one.builder.zone(Zone::edge(one.contact, lockout));
        let system = one.builder.clone().build().unwrap();
        let trace = told(&system, presses(one.contact, &[0, 1_500, 3_000]), MIN);
        assert_eq!(registered(&trace, zone), want);
        let refused = What::Refused { zone, why: Refusal::Lockout };
        assert_eq!(times(&trace, refused).len(), 3 - want.len());
    }
}

/// Semantics, section 7: equality at a boundary is told, whichever way it was decided.
#[test]
fn equality_is_told() {
    for (end, want) in [(LockoutEnd::Accepts, vec![0, 5 * S]), (LockoutEnd::Rejects, vec![0])] {
        let mut one = one(OnTime::HOLD);
        let zone = Zone { lockout_end: end, ..Zone::edge(one.contact, 5 * S) };
        let zone = one.builder.zone(zone);
        let system = one.builder.clone().build().unwrap();
        let at = |last| told(&system, presses(one.contact, &[0, last]), MIN);
        assert_eq!(registered(&at(5 * S), zone), want);
        assert_eq!(times(&at(5 * S), What::OnEquality { zone }), [5 * S]);
        for beside in [5 * S - 1, 5 * S + 1] {
            assert_eq!(times(&at(beside), What::OnEquality { zone }), []);
        }
    }
}

#[test]
fn a_limit_counts_each_arming_anew() {
    let mut one = one(OnTime::HOLD);
    let armed = Windows::Spans(vec![(10 * S, 20 * S), (30 * S, 40 * S)]);
    let zone = Zone { armed, limit: Some(2), ..Zone::edge(one.contact, S) };
    let zone = one.builder.zone(zone);
    let system = one.builder.clone().build().unwrap();
    let at: Vec<i64> = (0..25).map(|number| number * 2 * S).collect();
    let trace = told(&system, presses(one.contact, &at), MIN);
    assert_eq!(registered(&trace, zone), [10 * S, 12 * S, 30 * S, 32 * S]);
    assert_eq!(times(&trace, What::Refused { zone, why: Refusal::Limit }).len(), 6);
    assert_eq!(times(&trace, What::Refused { zone, why: Refusal::NotArmed }).len(), 15);
    assert_eq!(times(&trace, What::Armed { zone }), [10 * S, 30 * S]);
    assert_eq!(times(&trace, What::Disarmed { zone }), [20 * S, 40 * S]);
}

/// Semantics, section 1: a level that is already active registers as soon as it is armed; an edge
/// does not (timing model: already open at "on" is not an edge).
#[test]
fn arming_over_an_active_contact() {
    let mut one = one(OnTime::HOLD);
    let armed = Windows::Spans(vec![(10 * S, 20 * S)]);
    let level = Zone { armed: armed.clone(), ..Zone::level(one.contact, 30 * S) };
    let level = one.builder.zone(level);
    let late = Zone { armed: armed.clone(), exit: 4 * S, ..Zone::level(one.contact, 30 * S) };
    let late = one.builder.zone(late);
    let edge = one.builder.zone(Zone { armed, ..Zone::edge(one.contact, 30 * S) });
    let system = one.builder.clone().build().unwrap();
    let trace = told(&system, vec![hold(one.contact, 0)], MIN);
    assert_eq!(registered(&trace, level), [10 * S]);
    assert_eq!(registered(&trace, late), [14 * S]);
    assert_eq!(registered(&trace, edge), []);
}

#[test]
fn confirmation_in_either_order() {
    let mut builder = Builder::new();
    let contacts = [0, 1].map(|_| builder.contact(Contact::settling(0)));
    let second = builder.zone(Zone::edge(contacts[1], 0));
    let confirmed = Some(Confirm { by: second, within: 30 * S });
    let first = builder.zone(Zone { confirmed, ..Zone::edge(contacts[0], 0) });
    let system = builder.build().unwrap();
    let after = |gap: i64| {
        let mut inputs = presses(contacts[0], &[100 * S]);
        inputs.extend(presses(contacts[1], &[100 * S + gap]));
        registered(&told(&system, inputs, 200 * S), first)
    };
    assert_eq!(after(10 * S), [110 * S]);
    assert_eq!(after(30 * S), [130 * S]);
    assert_eq!(after(30 * S + 1), []);
    assert_eq!(after(-30 * S), [100 * S]);
    assert_eq!(after(-30 * S - 1), []);
    assert_eq!(after(0), [100 * S]);
}

#[test]
fn a_held_contact_that_waits_for_another_fills_no_story() {
    let mut builder = Builder::new();
    let contacts = [0, 1].map(|_| builder.contact(Contact::settling(0)));
    let second = builder.zone(Zone::edge(contacts[1], 0));
    let confirmed = Some(Confirm { by: second, within: 60 * S });
    let registration = Registration::Level(Again::AfterLockout);
    let first = builder.zone(Zone {
        confirmed,
        registration,
        limit: Some(1),
        ..Zone::edge(contacts[0], 0)
    });
    let system = builder.build().unwrap();
    // It asks a thousand times a second, far more often than there may be events.
    let mut inputs = vec![hold(contacts[0], 0)];
    inputs.extend(presses(contacts[1], &[20 * MIN]));
    let limits = Limits { events: 1_000, ..Limits::until(30 * MIN) };
    let trace = play(&system, &Story { from: 0, inputs }, limits);
    assert_eq!(trace.ended, Ended::Played);
    assert_eq!(times(&trace, What::Unconfirmed { zone: first }), [0]);
    assert_eq!(registered(&trace, first), [20 * MIN]);
}

#[test]
fn entry_time_and_disarming_in_it() {
    let mut one = one(OnTime::HOLD);
    let armed = Windows::Spans(vec![(0, 100 * S)]);
    let zone = one.builder.zone(Zone { armed, entry: 30 * S, ..Zone::edge(one.contact, 0) });
    let system = one.builder.clone().build().unwrap();
    let at = |at: i64| registered(&told(&system, presses(one.contact, &[at]), 200 * S), zone);
    assert_eq!(at(50 * S), [80 * S]);
    assert_eq!(at(70 * S - 1), [100 * S - 1]);
    assert_eq!(at(70 * S), []);
    let twice = told(&system, presses(one.contact, &[0, 10 * S]), 200 * S);
    assert_eq!(registered(&twice, zone), [30 * S]);
    assert_eq!(times(&twice, What::Refused { zone, why: Refusal::Entry }), [10 * S]);
}

#[test]
fn delays_wait_each_on_its_own() {
    let mut one = one(OnTime::HOLD_RETRIGGERED);
    let zone = one.builder.zone(Zone::edge(one.contact, 0));
    let effects = vec![one.on(3 * S), Effect::Note { note: 7 }];
    let response = Response { delay: 10 * S, ..Response::to(zone, effects) };
    let response = one.builder.response(response);
    let system = one.builder.clone().build().unwrap();
    let trace = told(&system, presses(one.contact, &[0, 2 * S, 9 * S]), MIN);
    let noted = What::Noted { response, note: 7 };
    assert_eq!(times(&trace, noted), [10 * S, 12 * S, 19 * S]);
    let want = [(10 * S, true), (15 * S, false), (19 * S, true), (22 * S, false)];
    assert_eq!(one.output_changes(&trace), want);
}

#[test]
fn all_of_within_a_time() {
    let mut builder = Builder::new();
    let contacts = [0, 1].map(|_| builder.contact(Contact::settling(0)));
    let zones = contacts.map(|contact| builder.zone(Zone::edge(contact, 0)));
    let response = builder.response(Response {
        causes: Causes::All { zones: zones.to_vec(), within: 10 * S },
        ..Response::to(zones[0], vec![Effect::Note { note: 1 }])
    });
    let system = builder.build().unwrap();
    let mut inputs = presses(contacts[0], &[0, 20 * S, 22 * S, 40 * S]);
    inputs.extend(presses(contacts[1], &[10 * S + 1, 25 * S, 50 * S]));
    let trace = told(&system, inputs, 100 * S);
    // 10.001 s after the first is too late, but 20 s is in time for that; 22 s needs both anew.
    assert_eq!(times(&trace, What::Noted { response, note: 1 }), [20 * S, 25 * S, 50 * S]);
}

#[test]
fn hours_of_a_response_count_at_its_cause() {
    let mut one = one(OnTime::HOLD);
    let zone = one.builder.zone(Zone::edge(one.contact, 0));
    let during = Windows::Spans(vec![(5 * S, 10 * S)]);
    let effects = vec![Effect::Note { note: 1 }];
    let response = Response { during, delay: 8 * S, ..Response::to(zone, effects) };
    let response = one.builder.response(response);
    let system = one.builder.clone().build().unwrap();
    let at = [5 * S - 1, 6 * S, 10 * S];
    let trace = told(&system, presses(one.contact, &at), MIN);
    assert_eq!(times(&trace, What::Noted { response, note: 1 }), [14 * S]);
    assert_eq!(times(&trace, What::OutsideHours { response }), [5 * S - 1, 10 * S]);
}

#[test]
fn latched_until_switched_off_and_kept_off() {
    let mut one = one(OnTime::HOLD);
    let other = one.builder.contact(Contact::settling(0));
    let zone = one.builder.zone(Zone::level(one.contact, 0));
    let stop = one.builder.zone(Zone::edge(other, 0));
    let output = one.output;
    one.builder.response(Response::to(zone, vec![Effect::Latch { output }]));
    one.builder.response(Response::to(stop, vec![Effect::Off { output, hold: 5 * S }]));
    let system = one.builder.clone().build().unwrap();
    let mut inputs = vec![hold(one.contact, S), release(one.contact, 30 * S)];
    inputs.extend(presses(other, &[20 * S]));
    let trace = told(&system, inputs, 3_600 * S);
    // What is off for a time goes back after it, and the zone has nothing that ran out.
    assert_eq!(registered(&trace, zone), [S]);
    let want = [(S, true), (20 * S, false), (25 * S, true)];
    assert_eq!(one.output_changes(&trace), want);
}

/// A press at the lockout's end hangs on nothing where it is refused for another reason anyway.
#[test]
fn equality_is_told_only_where_it_decides() {
    let plain = || Zone::edge(one(OnTime::HOLD).contact, 5 * S);
    for (zone, told_at) in [
        (plain(), vec![15 * S]),
        (Zone { limit: Some(2), ..plain() }, vec![15 * S]),
        (Zone { limit: Some(1), ..plain() }, vec![]),
        (Zone { armed: Windows::Spans(vec![(5 * S, 15 * S + 1)]), ..plain() }, vec![15 * S]),
        (Zone { armed: Windows::Spans(vec![(5 * S, 15 * S)]), ..plain() }, vec![]),
        (Zone { entry: 5 * S, ..plain() }, vec![15 * S]),
        (Zone { entry: 5 * S + 1, ..plain() }, vec![]),
    ] {
        let mut one = one(OnTime::HOLD);
        let id = one.builder.zone(zone.clone());
        let system = one.builder.clone().build().unwrap();
        let trace = told(&system, presses(one.contact, &[10 * S, 15 * S]), MIN);
        assert_eq!(times(&trace, What::OnEquality { zone: id }), told_at, "{zone:?}");
    }
    // Armed anew within its lockout, and leaving still goes on.
    for (exit, told_at) in [(S, vec![15 * S]), (3 * S + 1, vec![])] {
        let mut one = one(OnTime::HOLD);
        let armed = Windows::Spans(vec![(5 * S, 11 * S), (12 * S, MIN)]);
        let id = one.builder.zone(Zone { armed, exit, ..plain() });
        let system = one.builder.clone().build().unwrap();
        let trace = told(&system, presses(one.contact, &[10 * S, 15 * S]), MIN);
        assert_eq!(times(&trace, What::OnEquality { zone: id }), told_at, "{exit}");
    }
}

/// Off for a time ends nothing, off for good ends all.
#[test]
fn off_for_a_time_goes_back() {
    for (latched, off, want) in [
        (true, 5 * S, vec![(S, true), (20 * S, false), (25 * S, true)]),
        (false, 5 * S, vec![(S, true), (20 * S, false), (25 * S, true), (61 * S, false)]),
        (false, 50 * S, vec![(S, true), (20 * S, false)]),
        (true, 0, vec![(S, true), (20 * S, false)]),
        (false, 0, vec![(S, true), (20 * S, false)]),
    ] {
        let mut one = one(OnTime::HOLD);
        let other = one.builder.contact(Contact::settling(0));
        let zone = one.builder.zone(Zone::edge(one.contact, 0));
        let stop = one.builder.zone(Zone::edge(other, 0));
        let output = one.output;
        let on = if latched { Effect::Latch { output } } else { one.on(60 * S) };
        one.builder.response(Response::to(zone, vec![on]));
        one.builder.response(Response::to(stop, vec![Effect::Off { output, hold: off }]));
        let system = one.builder.clone().build().unwrap();
        let mut inputs = presses(one.contact, &[S]);
        inputs.extend(presses(other, &[20 * S]));
        let trace = told(&system, inputs, 3_600 * S);
        assert_eq!(one.output_changes(&trace), want, "{latched} {off}");
    }
}

#[test]
fn forced_outputs_listen_to_nobody() {
    for (mode, want) in [(Mode::ForcedOn, vec![(0, true)]), (Mode::ForcedOff, vec![])] {
        let mut builder = Builder::new();
        let contact = builder.contact(Contact::settling(0));
        let output = builder.output(Output { on_time: OnTime::HOLD, mode });
        let zone = builder.zone(Zone::edge(contact, 0));
        let on = Effect::On { output, hold: S, on_time: None };
        builder.response(Response::to(zone, vec![on]));
        let one = One { builder, contact, output };
        let system = one.builder.clone().build().unwrap();
        let trace = told(&system, presses(contact, &[5 * S]), MIN);
        assert_eq!(one.output_changes(&trace), want);
    }
}

/// Two zones that switch one output on and off, without delay, over its own feedback.
#[test]
fn an_instant_that_never_settles_ends_the_story() {
    let mut one = one(OnTime::HOLD);
    let other = one.builder.contact(Contact::settling(0));
    let start = one.builder.zone(Zone::edge(one.contact, 0));
    let stop = one.builder.zone(Zone::edge(other, 0));
    let output = one.output;
    let on = one.on(S);
    one.builder.response(Response::to(start, vec![on]));
    one.builder.response(Response::to(stop, vec![Effect::Off { output, hold: 0 }]));
    let path = |contact, inverted| Feedback { output, contact, delay: 0, inverted };
    one.builder.feedback(path(other, false));
    one.builder.feedback(path(one.contact, true));
    let system = one.builder.clone().build().unwrap();
    let trace = play(&system, &Story::default(), Limits::until(MIN));
    assert_eq!(trace.ended, Ended::NeverSettles(0));
    assert_eq!(trace.events.last().unwrap().what, What::NeverSettles);
    // 65 rounds: the first and 64 more.
    assert_eq!(registered(&trace, start).len() + registered(&trace, stop).len(), 65);
}

/// Feedback without delay that does settle: the second zone registers in the same instant.
#[test]
fn feedback_without_delay_is_the_same_instant() {
    let mut one = one(OnTime::HOLD);
    let other = one.builder.contact(Contact::settling(0));
    let first = one.builder.zone(Zone::edge(one.contact, 0));
    let second = one.builder.zone(Zone::edge(other, 0));
    let on = one.on(S);
    one.builder.response(Response::to(first, vec![on]));
    let output = one.output;
    one.builder.feedback(Feedback { output, contact: other, delay: 0, inverted: false });
    let system = one.builder.clone().build().unwrap();
    let trace = told(&system, presses(one.contact, &[7 * S]), MIN);
    assert_eq!(registered(&trace, second), [7 * S]);
}

/// A year of a weekly schedule with a contact left open: one registration each time it is armed.
#[test]
fn a_year_goes_from_event_to_event() {
    let mut one = one(OnTime::LOCKOUT_THEN_HOLD);
    let nights: Vec<(u32, u32)> =
        (0..7).map(|day| (day * 1_440 + 1_080, day * 1_440 + 1_890)).collect();
    let zone =
        Zone { armed: Windows::weekly(&nights), limit: Some(1), ..Zone::level(one.contact, 2 * S) };
    let zone = one.builder.zone(zone);
    let on = one.on(3 * MIN);
    one.builder.response(Response::to(zone, vec![on]));
    let system = one.builder.clone().build().unwrap();
    let year = 365 * 86_400 * S;
    let trace = told(&system, vec![hold(one.contact, 9 * 3_600 * S)], year);
    assert_eq!(registered(&trace, zone).len(), 365);
    assert_eq!(one.output_changes(&trace).len(), 730);
    assert!(trace.events.len() < 2_000);
}

/// A level without lockout registers every millisecond: ten instants in ten milliseconds.
#[test]
fn as_many_instants_as_are_allowed_are_played() {
    let mut one = one(OnTime::HOLD);
    one.builder.zone(Zone::level(one.contact, 0));
    let system = one.builder.clone().build().unwrap();
    let story = Story { from: 0, inputs: vec![hold(one.contact, 0)] };
    let ended = |instants| play(&system, &story, Limits { instants, ..Limits::until(10) }).ended;
    assert_eq!(ended(10), Ended::Played);
    assert_eq!(ended(9), Ended::TooLong(9));
    assert_eq!(ended(1), Ended::TooLong(1));
}

#[test]
fn too_many_events_are_cut_and_told() {
    let mut one = one(OnTime::HOLD);
    let zone = one.builder.zone(Zone::level(one.contact, 0));
    let system = one.builder.clone().build().unwrap();
    let story = Story { from: 0, inputs: vec![hold(one.contact, 0)] };
    let trace = play(&system, &story, Limits { events: 50, ..Limits::until(MIN) });
    // A level without lockout registers every millisecond.
    assert_eq!(trace.ended, Ended::TooLong(48));
    assert_eq!(registered(&trace, zone), (0..48).collect::<Vec<i64>>());
}

#[test]
fn systems_without_meaning_are_refused() {
    let other = {
        let mut builder = Builder::new();
        builder.contact(Contact::settling(0));
        builder.contact(Contact::settling(0))
    };
    let build = |change: &dyn Fn(&mut Builder, ContactId, ZoneId)| {
        let mut builder = Builder::new();
        let contact = builder.contact(Contact::settling(0));
        let zone = builder.zone(Zone::edge(contact, 0));
        change(&mut builder, contact, zone);
        builder.build().map(|_| ())
    };
    assert_eq!(build(&|_, _, _| {}), Ok(()));
    let unknown = build(&|builder, _, _| {
        builder.zone(Zone::edge(other, 0));
    });
    assert_eq!(unknown, Err(BuildError::UnknownId("zone", 1)));
    let negative = build(&|builder, contact, _| {
        builder.zone(Zone::edge(contact, -1));
    });
    assert_eq!(negative, Err(BuildError::DurationOutOfRange("zone", 1)));
    let alone = build(&|builder, _, zone| {
        let causes = Causes::Any(Vec::new());
        builder.response(Response { causes, ..Response::to(zone, Vec::new()) });
    });
    assert_eq!(alone, Err(BuildError::NoCause(0)));
    let twice = build(&|builder, _, zone| {
        let causes = Causes::Any(vec![zone, zone]);
        builder.response(Response { causes, ..Response::to(zone, Vec::new()) });
    });
    assert_eq!(twice, Err(BuildError::NamedTwice("response", 0)));
    let windows = build(&|builder, contact, _| {
        let armed = Windows::Spans(vec![(5, 5)]);
        builder.zone(Zone { armed, ..Zone::edge(contact, 0) });
    });
    assert_eq!(windows, Err(BuildError::WindowsNotSound("zone", 1)));
    let short = build(&|builder, _, _| {
        builder.contact(Contact { shortest: 5, longest: Some(4), ..Contact::settling(0) });
    });
    assert_eq!(short, Err(BuildError::ShortestOverLongest(1)));
}

#[test]
fn an_error_of_building_says_which_part() {
    for (error, words) in [
        (BuildError::UnknownId("zone", 1), "zone 1 names an unknown part"),
        (BuildError::DurationOutOfRange("zone", 1), "zone 1 has a duration out of range"),
        (BuildError::WindowsNotSound("zone", 1), "zone 1 has windows out of order or range"),
        (BuildError::NamedTwice("response", 0), "response 0 names a part twice"),
        (BuildError::NoCause(0), "response 0 has no cause"),
        (BuildError::ConfirmsItself(2), "zone 2 confirms itself"),
        (BuildError::ShortestOverLongest(1), "contact 1 stays active longer than it can"),
    ] {
        assert_eq!(error.to_string(), words);
    }
}
