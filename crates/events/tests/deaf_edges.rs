//! Activations that come to nothing, at the edges: the last millisecond of a lockout, a window
//! that begins while an entry time runs, what else is on.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::explorer::{Answer, Bounds, Deaf, Explorer, Proof, Reason, WhyDeaf};
use curtilage_events::player::{Input, Limits, Story, What, play};
use curtilage_events::system::{
    Builder, Contact, ContactId, Effect, OnTime, Output, OutputId, Response, System, Windows, Zone,
    ZoneId,
};
use curtilage_events::{HOUR, Ms, WEEK};

const S: Ms = 1_000;
const MINUTE: Ms = 60 * S;

/// A panic button that settles at once, and what its zone is to be.
fn button(change: impl FnOnce(Zone) -> Zone) -> (Builder, ContactId, ZoneId) {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let zone = builder.zone(change(Zone::edge(contact, 0)));
    (builder, contact, zone)
}

fn siren(builder: &mut Builder, zone: ZoneId, hold: Ms) -> OutputId {
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    output
}

/// When the story presses, in ms after the given instant.
fn presses(story: &Story, from: Ms) -> Vec<Ms> {
    let pressed = story.inputs.iter().filter(|i| matches!(i.input, Input::Contact(_, true)));
    pressed.map(|input| input.at - from).collect()
}

fn yes<T: std::fmt::Debug>(answer: Answer<T>) -> T {
    match answer {
        Answer::Yes(what) => what,
        other => panic!("{other:?}"),
    }
}

/// The last activation in the story registers nothing.
fn unheard(system: &System, zone: ZoneId, deaf: &Deaf) {
    let trace = play(system, &deaf.story, Limits::until(deaf.from + 1));
    let at =
        |what: What| trace.events.iter().any(|event| (event.at, event.what) == (deaf.from, what));
    assert!(!at(What::Registered { zone }), "{deaf:?}: {trace:?}");
    // Short: let go again after each time.
    let released = |at| {
        deaf.story
            .inputs
            .iter()
            .any(|input| matches!(input.input, Input::Contact(_, false)) && input.at == at + 1)
    };
    assert!(presses(&deaf.story, 0).into_iter().all(released), "{deaf:?}");
    let contact: ContactId = system.contacts().next().unwrap().0;
    assert!(at(What::Settled { contact, active: true }), "{deaf:?}: {trace:?}");
}

/// By hand: a press in the lockout is lost, as late as it takes for the siren to be over; each
/// story begins at rest, and the deafness ends with the lockout.
#[test]
fn a_lockout_that_outlasts_the_siren() {
    struct Case {
        hold: Ms,
        retriggered: bool,
        restarts: bool,
        presses: &'static [Ms],
        until: Ms,
    }
    let case = |hold, retriggered, restarts, presses, until| Case {
        hold,
        retriggered,
        restarts,
        presses,
        until,
    };
    let cases = [
        // The siren is over after 2 s, the lockout after 5 s.
        case(2 * S, true, false, &[0, 2 * S], 5 * S),
        // A siren as long as the lockout, or longer: always one of the two answers.
        case(5 * S, true, false, &[], 0),
        case(8 * S, true, false, &[], 0),
        // A siren of 8 s that does not begin anew: lost at 7.999 s, deaf from then for 5 s. The
        // button needs a millisecond active and one at rest.
        case(8 * S, false, false, &[0, 7_999, 8_001], 12_999),
        // Each refused press begins the lockout anew: one every 4.999 s until the siren is over.
        case(9_998, true, true, &[0, 4_999, 9_998], 14_998),
        case(9_999, true, true, &[0, 4_999, 9_998, 14_997], 19_997),
    ];
    for Case { hold, retriggered, restarts, presses: want, until } in cases {
        let (mut builder, _, zone) =
            button(|zone| Zone { lockout: 5 * S, lockout_restarts: restarts, ..zone });
        let output = builder.output(Output::automatic(OnTime { retriggered, ..OnTime::HOLD }));
        let on = Effect::On { output, hold, on_time: None };
        builder.response(Response::to(zone, vec![on]));
        let system = builder.build().unwrap();
        let explorer = Explorer::new(&system, Bounds::default());
        let answer = explorer.deaf_again(zone, HOUR, WEEK);
        if want.is_empty() {
            assert_eq!(answer, Answer::No(Proof::Covered), "{hold} {restarts}");
            continue;
        }
        let deaf = yes(answer);
        assert_eq!(deaf.why, WhyDeaf::Lockout);
        assert_eq!(presses(&deaf.story, HOUR), want, "{hold}");
        assert_eq!((deaf.from, deaf.until), (HOUR + want[want.len() - 1], HOUR + until), "{hold}");
        assert!(deaf.story.from < deaf.story.inputs[0].at);
        unheard(&system, zone, &deaf);
    }
}

/// Two registrations an arming: the third press is lost, until the arming ends; a press while the
/// entry time runs is none, so the second comes after it.
#[test]
fn the_press_after_the_last_that_counts() {
    for (entry, want) in [(0, [0, 2, 1_002]), (9 * S, [0, 9_001, 19_001])] {
        let (mut builder, _, zone) = button(|zone| Zone { limit: Some(2), entry, ..zone });
        siren(&mut builder, zone, S);
        let system = builder.build().unwrap();
        let deaf = yes(Explorer::new(&system, Bounds::default()).deaf_again(zone, HOUR, WEEK));
        assert_eq!((deaf.why, deaf.until), (WhyDeaf::Limit, WEEK));
        assert_eq!(presses(&deaf.story, HOUR), want);
        unheard(&system, zone, &deaf);
        // Asked of an instant that is over before the third press: that one is deaf all the same.
        let deaf = yes(Explorer::new(&system, Bounds::default()).deaf_again(zone, HOUR, HOUR + 1));
        assert_eq!((deaf.from, deaf.until), (HOUR + want[2], HOUR + want[2] + 1));
    }
}

/// A story has at most as many presses as the bound allows instants; longer ones are not told.
#[test]
fn a_story_of_as_many_presses_as_are_allowed() {
    for (limit, told) in [(1, true), (2, true), (3, false), (4, false)] {
        let (mut builder, _, zone) = button(|zone| Zone { limit: Some(limit), ..zone });
        siren(&mut builder, zone, S);
        let system = builder.build().unwrap();
        let bounds = Bounds { instants: 3, ..Bounds::default() };
        let answer = Explorer::new(&system, bounds).deaf_again(zone, 0, WEEK);
        match answer {
            Answer::Yes(_) => assert!(told, "{limit}"),
            answer => assert_eq!(
                (answer, told),
                (Answer::NotKnown { reason: Reason::NotPlayed, states: 0 }, false)
            ),
        }
    }
}

/// What another zone on the same button switches on is not what this zone started.
#[test]
fn what_another_zone_started_does_not_count() {
    let (mut builder, contact, zone) = button(|zone| Zone { lockout: 9 * S, ..zone });
    siren(&mut builder, zone, 2 * S);
    // A response of its own that only works at night, so that the press waits for its 6 s.
    let lamp = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output: lamp, hold: 6 * S, on_time: None };
    let during = Windows::weekly(&[(1_200, 1_440)]);
    builder.response(Response { during, ..Response::to(zone, vec![on]) });
    // Another zone, another lamp, 4 s later: the last thing that happens before the press.
    let other = builder.zone(Zone::edge(contact, 0));
    let light = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output: light, hold: MINUTE, on_time: None };
    builder.response(Response { delay: 4 * S, ..Response::to(other, vec![on]) });
    let system = builder.build().unwrap();
    let deaf = yes(Explorer::new(&system, Bounds::default()).deaf_again(zone, HOUR, WEEK));
    assert_eq!((deaf.why, presses(&deaf.story, HOUR)), (WhyDeaf::Lockout, vec![0, 6 * S]));
    unheard(&system, zone, &deaf);
}

/// A time later in the week at which nothing answers does not put the first press off.
#[test]
fn the_first_good_instant_is_the_first() {
    let (mut builder, _, zone) = button(|zone| Zone { lockout: 5 * S, ..zone });
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold: 2 * S, on_time: None };
    // Monday 01:00 to 12:00.
    let during = Windows::weekly(&[(60, 720)]);
    builder.response(Response { during, ..Response::to(zone, vec![on]) });
    let system = builder.build().unwrap();
    let explorer = Explorer::new(&system, Bounds::default());
    let gaps = yes(explorer.deaf(zone, 0, WEEK));
    let times: Vec<_> = gaps.iter().map(|gap| (gap.from / HOUR, gap.until / HOUR)).collect();
    assert_eq!(times, [(0, 1), (12, 168)]);
    for (from, first) in [(0, HOUR), (2 * HOUR, 2 * HOUR)] {
        let deaf = yes(explorer.deaf_again(zone, from, WEEK));
        assert_eq!(presses(&deaf.story, first), [0, 2 * S], "{from}");
    }
    assert_eq!(explorer.deaf_again(zone, 0, HOUR), Answer::No(Proof::NeverHeard));
    assert_eq!(explorer.deaf_again(zone, 13 * HOUR, WEEK), Answer::No(Proof::NeverHeard));
}

/// Responses are asked when the entry time ends: one that begins only then answers.
#[test]
fn a_response_that_begins_while_the_entry_time_runs() {
    // Asked of one hour, with 2 min of entry; the second response begins 1 min after that hour.
    for (second, deaf) in [(61, vec![]), (62, vec![(59, 60)])] {
        let (mut builder, _, zone) = button(|zone| Zone { entry: 2 * MINUTE, ..zone });
        for span in [(0, 61 * MINUTE), (second * MINUTE, 2 * HOUR)] {
            let during = Windows::Spans(vec![span]);
            let note = vec![Effect::Note { note: 1 }];
            builder.response(Response { during, ..Response::to(zone, note) });
        }
        let system = builder.build().unwrap();
        let answer = Explorer::new(&system, Bounds::default()).deaf(zone, 0, HOUR);
        if deaf.is_empty() {
            assert_eq!(answer, Answer::No(Proof::Covered));
            continue;
        }
        let found: Vec<_> =
            yes(answer).iter().map(|gap| (gap.from / MINUTE, gap.until / MINUTE)).collect();
        assert_eq!(found, deaf);
    }
}

/// An output that is switched on for no time at all does nothing; a millisecond is something.
#[test]
fn an_output_that_is_on_for_no_time_does_nothing() {
    for (hold, deaf) in [(0, true), (1, false)] {
        let (mut builder, _, zone) = button(|zone| zone);
        siren(&mut builder, zone, hold);
        let system = builder.build().unwrap();
        let answer = Explorer::new(&system, Bounds::default()).deaf(zone, 0, HOUR);
        if !deaf {
            assert_eq!(answer, Answer::No(Proof::Covered));
            continue;
        }
        let found = yes(answer);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].why, found[0].from, found[0].until), (WhyDeaf::NoEffect, 0, HOUR));
        let trace = play(&system, &found[0].story, Limits::until(HOUR));
        assert!(trace.events.iter().any(|event| event.what == What::Registered { zone }));
        assert!(!trace.events.iter().any(|event| matches!(event.what, What::Output { .. })));
    }
}

/// Asked of a time that begins while the exit time runs: the story arms the zone before that.
#[test]
fn a_window_that_begins_in_the_exit_time() {
    let armed = Windows::weekly(&[(60, 120)]);
    let (mut builder, _, zone) = button(|zone| Zone { armed, exit: 2 * MINUTE, ..zone });
    siren(&mut builder, zone, S);
    let system = builder.build().unwrap();
    let explorer = Explorer::new(&system, Bounds::default());
    let gaps = yes(explorer.deaf(zone, 61 * MINUTE, 90 * MINUTE));
    assert_eq!(gaps.len(), 1);
    assert_eq!((gaps[0].from, gaps[0].until), (61 * MINUTE, 62 * MINUTE));
    assert_eq!(gaps[0].why, WhyDeaf::NotHeard);
    unheard(&system, zone, &gaps[0]);
    assert_eq!(explorer.deaf(zone, 62 * MINUTE, 90 * MINUTE), Answer::No(Proof::Covered));
}

/// Between two armings the count begins anew: the press after the last that counted is heard.
#[test]
fn a_press_after_the_next_arming_is_heard() {
    let armed = Windows::weekly(&[(60, 61), (62, 70)]);
    let (mut builder, _, zone) = button(|zone| Zone { armed, limit: Some(1), ..zone });
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold: 2 * MINUTE, on_time: None };
    let during = Windows::weekly(&[(60, 61)]);
    builder.response(Response { during, ..Response::to(zone, vec![on]) });
    let system = builder.build().unwrap();
    let answer = Explorer::new(&system, Bounds::default()).deaf_again(zone, 0, WEEK);
    assert_eq!(answer, Answer::NotKnown { reason: Reason::NotPlayed, states: 0 });
}

/// By hand: a response that is not at work now still makes the press wait for it, but not past
/// the lockout; beside a siren that loses a press, the third comes when both are over.
#[test]
fn a_response_that_is_not_at_work_is_waited_for() {
    // What always works, for how long and whether it begins anew; what only works at night.
    for (hold, retriggered, at_night, want, until) in [
        (2 * S, true, 3 * S, &[0, 3 * S][..], 5 * S),
        (2 * S, true, 20 * S, &[0, 4_999], 5 * S),
        (6 * S, false, 8 * S, &[0, 5_999, 8 * S], 10_999),
    ] {
        let (mut builder, _, zone) = button(|zone| Zone { lockout: 5 * S, ..zone });
        let output = builder.output(Output::automatic(OnTime { retriggered, ..OnTime::HOLD }));
        let on = Effect::On { output, hold, on_time: None };
        builder.response(Response::to(zone, vec![on]));
        let lamp = builder.output(Output::automatic(OnTime::HOLD_RETRIGGERED));
        let on = Effect::On { output: lamp, hold: at_night, on_time: None };
        let during = Windows::weekly(&[(1_200, 1_440)]);
        builder.response(Response { during, ..Response::to(zone, vec![on]) });
        let system = builder.build().unwrap();
        let deaf = yes(Explorer::new(&system, Bounds::default()).deaf_again(zone, HOUR, WEEK));
        assert_eq!(presses(&deaf.story, HOUR), want, "{hold} {at_night}");
        assert_eq!((deaf.why, deaf.until), (WhyDeaf::Lockout, HOUR + until));
        unheard(&system, zone, &deaf);
    }
}

/// Armed from Sunday 18:00 to Monday 07:30: the week ends with no entry time that would be cut off.
#[test]
fn a_night_over_the_end_of_the_week_is_heard_at_midnight() {
    let (mut builder, _, zone) = button(|zone| {
        let armed = Windows::weekly(&[(9_720, 10_530)]);
        Zone { armed, entry: 30 * S, ..zone }
    });
    siren(&mut builder, zone, MINUTE);
    let system = builder.build().unwrap();
    let deaf = yes(Explorer::new(&system, Bounds::default()).deaf(zone, 0, WEEK));
    let times: Vec<(WhyDeaf, Ms, Ms)> =
        deaf.iter().map(|deaf| (deaf.why, deaf.from, deaf.until)).collect();
    assert_eq!(times, [(WhyDeaf::NotHeard, 450 * MINUTE - 30 * S, 9_720 * MINUTE)]);
}
