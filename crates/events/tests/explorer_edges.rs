//! Answers for every story, at their edges: the last that a bound allows, schedules that take
//! turns, bounds from above in figures that can be worked out by hand.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::explorer::{Answer, Bounds, Explorer, Most, Proof, Reason};
use curtilage_events::player::{Input, Limits, What, play};
use curtilage_events::system::{
    Again, Builder, Contact, ContactId, Effect, Feedback, OnTime, Output, OutputId, Registration,
    Response, System, Windows, Zone, ZoneId,
};
use curtilage_events::{HOUR, Ms, WEEK};

const S: Ms = 1_000;
const MIN: Ms = 60 * S;

fn yes<T: std::fmt::Debug>(answer: Answer<T>) -> T {
    match answer {
        Answer::Yes(what) => what,
        other => panic!("{other:?}"),
    }
}

fn lights(builder: &mut Builder, zone: ZoneId, hold: Ms) -> OutputId {
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    output
}

/// One zone on one contact, and a lamp.
fn lamp(contact: Contact, zone: impl FnOnce(ContactId) -> Zone, hold: Ms) -> (System, ZoneId) {
    let mut builder = Builder::new();
    let contact = builder.contact(contact);
    let zone = builder.zone(zone(contact));
    lights(&mut builder, zone, hold);
    (builder.build().unwrap(), zone)
}

fn most(system: &System, zone: ZoneId, length: Ms) -> Most {
    Explorer::new(system, Bounds::default()).most_registrations(zone, length).unwrap()
}

/// By day a door latches a relay that holds the contact of the night zone. Neither day nor night
/// alone keeps anything going; whether a day with a night after it does is left open, not denied.
#[test]
fn what_the_day_leaves_behind_the_night_may_find() {
    for (latch, open) in [(true, true), (false, false)] {
        let mut builder = Builder::new();
        let door = builder.contact(Contact::settling(0));
        let hatch = builder.contact(Contact::settling(0));
        let day = Zone { armed: Windows::weekly(&[(480, 1_080)]), ..Zone::edge(door, S) };
        let day = builder.zone(day);
        let night = Zone { armed: Windows::weekly(&[(1_200, 1_860)]), ..Zone::level(hatch, S) };
        let night = builder.zone(night);
        let relay = builder.output(Output::automatic(OnTime::HOLD));
        let effect = if latch {
            Effect::Latch { output: relay }
        } else {
            Effect::On { output: relay, hold: S, on_time: None }
        };
        builder.response(Response::to(day, vec![effect]));
        builder.feedback(Feedback { output: relay, contact: hatch, delay: S, inverted: false });
        lights(&mut builder, night, 5 * S);
        let system = builder.build().unwrap();
        let mut explorer = Explorer::new(&system, Bounds::default());
        let answer = explorer.at_rest(night);
        match answer {
            Answer::NotKnown { reason: Reason::ArmingChanges, .. } => assert!(open),
            // Every set of states that was looked at is counted, by day, by night and between.
            Answer::No(Proof::Searched { states }) => {
                assert!(!open);
                assert_eq!(states, explorer.states());
            }
            answer => panic!("{answer:?}"),
        }
    }
}

/// A lamp that reaches a contact on which nothing of its own depends ends by itself: no search.
#[test]
fn an_output_that_does_not_come_back_needs_no_search() {
    for level in [false, true] {
        let mut builder = Builder::new();
        let door = builder.contact(Contact::settling(0));
        let hatch = builder.contact(Contact::settling(0));
        let first = builder.zone(Zone::level(door, S));
        let second = if level { Zone::level(hatch, S) } else { Zone::edge(hatch, S) };
        let second = builder.zone(second);
        let output = lights(&mut builder, first, 5 * S);
        builder.feedback(Feedback { output, contact: hatch, delay: S, inverted: false });
        lights(&mut builder, second, 5 * S);
        let system = builder.build().unwrap();
        let mut explorer = Explorer::new(&system, Bounds::default());
        let answer = explorer.at_rest(second);
        let Answer::No(proof) = answer else { panic!("{answer:?}") };
        // A level that is left would keep it going: that has to be looked at.
        assert_eq!(proof == Proof::NoFeedback, !level, "{proof:?}");
        assert_eq!(explorer.states() > 0, level);
    }
}

/// Armed from Sunday 18:00 to Monday 07:30: one stretch, over the end of the week.
#[test]
fn a_night_over_the_end_of_the_week_is_one() {
    for dated in [false, true] {
        let mut builder = Builder::new();
        let door = builder.contact(Contact::settling(0));
        let armed = Windows::weekly(&[(9_720, 10_530)]);
        let zone = builder.zone(Zone { armed, ..Zone::level(door, 2 * S) });
        lights(&mut builder, zone, 3 * MIN);
        if dated {
            // Also on one Wednesday morning, when the zone is not armed.
            let during = Windows::Spans(vec![(3 * WEEK + 57 * HOUR, 3 * WEEK + 58 * HOUR)]);
            let note = vec![Effect::Note { note: 1 }];
            builder.response(Response { during, ..Response::to(zone, note) });
        }
        let system = builder.build().unwrap();
        let endless = yes(Explorer::new(&system, Bounds::default()).held(zone));
        assert_eq!(endless.story.from.rem_euclid(WEEK), 9_720 * MIN);
        assert_eq!(endless.until.unwrap() - endless.story.from, 810 * MIN);
    }
}

/// Armed for an hour in ten weeks, or ten weeks ago, and never else.
#[test]
fn an_hour_that_is_weeks_away() {
    for from in [10 * WEEK, -10 * WEEK] {
        let span = (from, from + HOUR);
        let armed = Windows::Spans(vec![span]);
        let door = |contact| Zone { armed, ..Zone::level(contact, 2 * S) };
        let (system, zone) = lamp(Contact::settling(0), door, 3 * MIN);
        let endless = yes(Explorer::new(&system, Bounds::default()).held(zone));
        assert_eq!((endless.story.from, endless.until), (span.0, Some(span.1)));
        assert_eq!(most(&system, zone, HOUR).exactly(), Some(1_800));
    }
}

/// On for 5 s, off for 1 s: five sixths of the time, also far from the beginning of the week.
#[test]
fn a_lamp_that_pauses_is_on_for_its_share() {
    for armed in [Windows::Always, Windows::weekly(&[(3_000, 3_600)])] {
        let again = Registration::Level(Again::AfterOnTime { gap: S });
        let door = |contact| Zone { armed, registration: again, ..Zone::level(contact, S) };
        let (system, zone) = lamp(Contact::settling(300), door, 5 * S);
        let endless = yes(Explorer::new(&system, Bounds::default()).held(zone));
        assert_eq!((endless.period, endless.registrations), (6 * S, 1));
        let lamp = system.outputs().next().unwrap().0;
        assert_eq!(endless.duty, [(lamp, curtilage_events::duty::Ratio::new(5, 6))]);
    }
}

/// Equal parts are counted once; each story presses its own contact.
#[test]
fn the_story_of_a_figure_is_about_its_own_zone() {
    let mut builder = Builder::new();
    let zones: Vec<(ContactId, ZoneId, OutputId)> = (0..3)
        .map(|_| {
            let contact = builder.contact(Contact::settling(0));
            let zone = builder.zone(Zone::edge(contact, 10 * S));
            (contact, zone, lights(&mut builder, zone, 4 * S))
        })
        .collect();
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    for &(contact, zone, output) in zones.iter().rev() {
        let count = explorer.most_registrations(zone, MIN).unwrap();
        let time = explorer.longest_on(output, MIN).unwrap();
        assert_eq!((count.exactly(), time.exactly()), (Some(6), Some(24 * S)));
        for (most, what) in
            [(&count, What::Registered { zone }), (&time, What::Output { output, on: true })]
        {
            let mine =
                |input: &Input| matches!(input, Input::Contact(other, _) if *other == contact);
            assert!(most.story.inputs.iter().all(|input| mine(&input.input)), "{most:?}");
            let trace = play(&system, &most.story, Limits::until(most.from + most.length));
            let inside = trace.events.iter().filter(|event| event.at >= most.from);
            assert_eq!(inside.filter(|event| event.what == what).count(), 6);
        }
    }
}

/// Settle times of 3 and 2 ms: active for 4 ms, at rest for 3 ms, one registration in 7 ms.
#[test]
fn presses_come_no_closer_than_their_settle_times() {
    let slow = |longest| Contact { settle_off: 2, longest, ..Contact::settling(3) };
    let (system, zone) = lamp(slow(None), |contact| Zone::edge(contact, 0), 1);
    assert_eq!(most(&system, zone, 70).exactly(), Some(10));
    assert_eq!(most(&system, zone, 71).exactly(), Some(11));
    // A sensor that lets go in the moment in which it would be noted is never noted.
    let (system, zone) = lamp(slow(Some(3)), |contact| Zone::edge(contact, 0), 1);
    assert_eq!(most(&system, zone, 70).exactly(), Some(0));
    let (system, zone) = lamp(slow(Some(4)), |contact| Zone::edge(contact, 0), 1);
    assert_eq!(most(&system, zone, 70).exactly(), Some(10));
}

/// A held contact registers when the lamp is out. Let go for a millisecond just before that, it
/// may be active again 11 ms after: 9 ms to settle, one to be let go, one to come again.
#[test]
fn a_held_contact_may_come_again_sooner() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact { settle_off: 5, ..Contact::settling(9) });
    let zone = builder.zone(Zone::level(contact, 2));
    let output = builder.output(Output::automatic(OnTime::HOLD_RETRIGGERED));
    let on = Effect::On { output, hold: 20, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    // Another door with another kind of lamp says nothing about this one.
    let other = builder.contact(Contact::settling(0));
    let other = builder.zone(Zone::edge(other, 2));
    lights(&mut builder, other, 20);
    let most = most(&builder.build().unwrap(), zone, 111);
    assert!(most.at_most <= 11, "{most:?}");
    assert!(most.at_least >= 111 / 20, "{most:?}");
}

/// An output that reaches another contact without delay says nothing about this one; one that
/// reaches this one after a while changes its level once an instant.
#[test]
fn only_an_output_without_delay_shortens_a_press() {
    let ask = |own: bool, delay: Ms, lockout: Ms| {
        let mut builder = Builder::new();
        let door = builder.contact(Contact { settle_off: 2, shortest: 9, ..Contact::settling(3) });
        let other = builder.contact(Contact::settling(0));
        let zone = builder.zone(Zone::edge(door, lockout));
        let output = lights(&mut builder, zone, 1);
        let contact = if own { door } else { other };
        builder.feedback(Feedback { output, contact, delay, inverted: false });
        most(&builder.build().unwrap(), zone, 721)
    };
    // Active for 9 ms, at rest for 3 ms.
    assert_eq!(ask(false, 0, 5).exactly(), Some(61));
    assert_eq!(ask(false, 4, 5).exactly(), Some(61));
    // The output need not keep to the sensor's shortest time: 4 ms and 3 ms.
    assert_eq!(ask(true, 4, 5).at_most, 103);
    // Several changes in an instant: the lockout is left, and the 3 ms and 2 ms until they are noted.
    assert_eq!(ask(true, 0, 6).at_most, 121);
    assert_eq!(ask(true, 0, 1).at_most, 145);
}

/// Every 10 s for 3 s: in 22 s twice, and the first 2 s of a third time.
#[test]
fn the_last_on_time_of_a_stretch_is_cut() {
    let (system, _) = lamp(Contact::settling(0), |contact| Zone::edge(contact, 10 * S), 3 * S);
    let lamp = system.outputs().next().unwrap().0;
    for (length, on) in [(20, 6), (21, 7), (22, 8), (23, 9), (29, 9), (30, 9), (31, 10)] {
        let most = Explorer::new(&system, Bounds::default()).longest_on(lamp, length * S).unwrap();
        assert_eq!(most.exactly(), Some(on * S), "{length}");
    }
}

/// A detector that a lamp wakes, and the lamp; with contacts beside it that decide too.
fn woken(contacts: usize) -> (System, ZoneId) {
    let mut builder = Builder::new();
    let pir = builder.contact(Contact::settling(2));
    let zone = builder.zone(Zone::edge(pir, 5));
    let output = lights(&mut builder, zone, 20);
    builder.feedback(Feedback { output, contact: pir, delay: 3, inverted: false });
    for _ in 1..contacts {
        let contact = builder.contact(Contact::settling(0));
        let zone = builder.zone(Zone::edge(contact, 5));
        let on = Effect::On { output, hold: 20, on_time: None };
        builder.response(Response::to(zone, vec![on]));
    }
    (builder.build().unwrap(), zone)
}

/// As many contacts as are allowed are searched, one more is not.
#[test]
fn as_many_contacts_as_are_allowed() {
    for (contacts, allowed) in [(1, 1), (2, 2), (2, 3), (2, 1), (3, 2), (3, 1)] {
        let (system, zone) = woken(contacts);
        let bounds = Bounds { contacts: allowed, ..Bounds::default() };
        match Explorer::new(&system, bounds).at_rest(zone) {
            Answer::No(Proof::Searched { .. }) => assert!(contacts <= allowed),
            Answer::NotKnown { reason, .. } => {
                assert_eq!(reason, Reason::TooManyContacts(contacts));
                assert!(contacts > allowed);
            }
            answer => panic!("{answer:?}"),
        }
    }
}

/// A sensor that is active when the story begins keeps to its times from there: it lets go
/// between 2 s and 3 s, and by then it has lit the lamp that wakes it.
#[test]
fn a_sensor_that_is_active_at_first() {
    let mut builder = Builder::new();
    let pir = builder.contact(Contact {
        shortest: 2 * S,
        longest: Some(3 * S),
        starts_active: true,
        ..Contact::settling(0)
    });
    let zone = builder.zone(Zone { entry: S, ..Zone::level(pir, 5 * S) });
    let output = lights(&mut builder, zone, MIN);
    builder.feedback(Feedback { output, contact: pir, delay: 100, inverted: false });
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).at_rest(zone));
    assert_eq!(endless.story.inputs.len(), 1);
    let after = endless.story.inputs[0].at - endless.story.from;
    assert!((2 * S..=3 * S).contains(&after), "{endless:?}");
}

/// A lamp that latches on its first three weeks keeps a held door from registering again; after
/// them it only holds. Nothing is asked of a time before the schedules have all had their turn.
#[test]
fn what_only_happens_after_the_last_date() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(0));
    let armed = Windows::weekly(&[(480, 540)]);
    let zone = builder.zone(Zone { armed, ..Zone::level(door, 2 * S) });
    lights(&mut builder, zone, 3 * MIN);
    let latch = builder.output(Output::automatic(OnTime::HOLD));
    let during = Windows::Spans(vec![(-WEEK, 3 * WEEK)]);
    let effects = vec![Effect::Latch { output: latch }];
    builder.response(Response { during, ..Response::to(zone, effects) });
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).held(zone));
    assert_eq!(endless.story.from.rem_euclid(WEEK), 8 * HOUR);
    assert!(!(-WEEK..3 * WEEK).contains(&endless.story.from), "{endless:?}");
}

/// A press lights a lamp for 5 ms, and the contact sees it 20 ms later: that is a press again.
/// Something is always on its way.
#[test]
fn an_echo_never_ends() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let zone = builder.zone(Zone::edge(contact, 1));
    let output = lights(&mut builder, zone, 5);
    builder.feedback(Feedback { output, contact, delay: 20, inverted: false });
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).at_rest(zone));
    assert_eq!((endless.period, endless.registrations), (20, 1));
    assert_eq!(endless.story.inputs.len(), 2);
    // With too few instants to see it come round it is not denied, and no schedule is to blame.
    let bounds = Bounds { instants: 3, ..Bounds::default() };
    let answer = Explorer::new(&system, bounds).at_rest(zone);
    assert!(matches!(answer, Answer::NotKnown { reason: Reason::NotPlayed, .. }), "{answer:?}");
}

/// Something that goes on for ever by itself, once beside the zone and once in the same part.
fn beside_a_clock(joined: bool, zone: impl FnOnce(ContactId) -> Zone) -> (System, ZoneId) {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(0));
    let zone = builder.zone(zone(door));
    let output = lights(&mut builder, zone, 182);
    builder.feedback(Feedback { output, contact: door, delay: 1, inverted: false });
    // On the break side: a clock of 5.001 s.
    let tick = builder.contact(Contact::settling(0));
    let clock = builder.zone(Zone::edge(tick, 1));
    let relay = lights(&mut builder, clock, 5_001);
    builder.feedback(Feedback { output: relay, contact: tick, delay: 0, inverted: true });
    if joined {
        // It never works, but it could reach the lamp.
        let on = Effect::On { output, hold: 1, on_time: None };
        let during = Windows::Never;
        builder.response(Response { during, ..Response::to(clock, vec![on]) });
    }
    (builder.build().unwrap(), zone)
}

/// A clock that ticks for ever does not make a zone register that does not.
#[test]
fn what_else_goes_on_for_ever_is_not_the_zone() {
    let (system, zone) = beside_a_clock(true, |door| Zone::edge(door, 200));
    let bounds = Bounds { states: 4_000, ..Bounds::default() };
    let answer = Explorer::new(&system, bounds).at_rest(zone);
    assert!(!matches!(answer, Answer::Yes(_)), "{answer:?}");
}

/// Beside a clock of another rhythm the whole never repeats within the bound; the zone does.
#[test]
fn a_zone_repeats_beside_a_clock_of_another_rhythm() {
    let (system, zone) = beside_a_clock(false, |door| Zone::level(door, 10));
    let bounds = Bounds { instants: 2_000, ..Bounds::default() };
    let endless = yes(Explorer::new(&system, bounds).held(zone));
    assert_eq!((endless.period, endless.registrations), (182, 1));
    let lamp = system.outputs().next().unwrap().0;
    assert_eq!(endless.duty, [(lamp, curtilage_events::duty::Ratio::new(1, 1))]);
}

/// Holding and pressing come to the same: told is the story with the fewest inputs.
#[test]
fn of_equal_stories_the_simplest_is_told() {
    let again = Registration::Level(Again::AfterLockout);
    let door = |contact| Zone { registration: again, ..Zone::level(contact, 10 * S) };
    let (system, zone) = lamp(Contact::settling(0), door, 3 * S);
    let most = most(&system, zone, MIN);
    assert_eq!((most.exactly(), most.story.inputs.len()), (Some(6), 1));
}

/// Told of a held door is every lamp that it keeps on, also another zone's.
#[test]
fn the_share_of_every_lamp_is_told() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(0));
    let again = Registration::Level(Again::AfterLockout);
    let zones =
        [(); 2].map(|()| builder.zone(Zone { registration: again, ..Zone::level(door, 6 * S) }));
    let lamps = zones.map(|zone| lights(&mut builder, zone, 5 * S));
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).held(zones[0]));
    let share = curtilage_events::duty::Ratio::new(5, 6);
    assert_eq!(endless.duty, lamps.map(|lamp| (lamp, share)));
}

/// A zone that is never armed, and one of no registrations, have none and light nothing.
#[test]
fn what_cannot_register_has_a_most_of_nothing() {
    let never = |zone: Zone| Zone { armed: Windows::Never, ..zone };
    let none = |zone: Zone| Zone { limit: Some(0), ..zone };
    for change in [&never as &dyn Fn(Zone) -> Zone, &none] {
        let door = |contact| change(Zone::edge(contact, 2 * S));
        let (system, zone) = lamp(Contact::settling(0), door, 3 * S);
        let mut explorer = Explorer::new(&system, Bounds::default());
        assert_eq!(explorer.most_registrations(zone, HOUR).unwrap().exactly(), Some(0));
        let lamp = system.outputs().next().unwrap().0;
        assert_eq!(explorer.longest_on(lamp, HOUR).unwrap().exactly(), Some(0));
    }
}

/// One registration an arming, armed every other hour: a stretch of an hour and a millisecond
/// that begins with the last of one does not meet the next, one of two does.
#[test]
fn the_armings_that_a_stretch_meets() {
    let armed = Windows::weekly(&[(0, 60), (120, 180), (240, 300)]);
    let door = |contact| Zone { armed, limit: Some(1), ..Zone::edge(contact, 2 * S) };
    let (system, zone) = lamp(Contact::settling(0), door, 3 * S);
    let ask = |length| most(&system, zone, length).at_most;
    assert_eq!((ask(HOUR), ask(HOUR + 1), ask(HOUR + 2)), (1, 1, 2));
    assert_eq!((ask(3 * HOUR + 1), ask(3 * HOUR + 2)), (2, 3));
}

/// What the last arming lit still counts after it: half an hour of one, and half an hour of the
/// next, in an hour and a half that begins where the first ends.
#[test]
fn an_on_time_outlasts_its_arming() {
    let armed = Windows::weekly(&[(0, 60), (120, 180), (240, 300)]);
    let door = |contact| Zone { armed, limit: Some(1), ..Zone::edge(contact, 2 * S) };
    let (system, _) = lamp(Contact::settling(0), door, 30 * MIN);
    let lamp = system.outputs().next().unwrap().0;
    let most = Explorer::new(&system, Bounds::default()).longest_on(lamp, 90 * MIN).unwrap();
    assert_eq!(most.at_most, 60 * MIN);
}

/// Armed for an hour, of which the first 10 min are for leaving: one registration in 10 s in the 50 min that
/// are left, as many seconds of light, and nothing where leaving takes the hour.
#[test]
fn what_comes_while_somebody_leaves_does_not_count() {
    for (exit, entry, count) in
        [(0, 0, 360), (10 * MIN, 0, 300), (10 * MIN, 10 * S, 299), (HOUR, 0, 0)]
    {
        let armed = Windows::weekly(&[(480, 540)]);
        let door = |contact| Zone { armed, exit, entry, ..Zone::edge(contact, 10 * S) };
        let (system, zone) = lamp(Contact::settling(100), door, 10 * S);
        let found = most(&system, zone, HOUR);
        assert_eq!(found.exactly(), Some(count), "{exit} {entry}");
        let trace = play(&system, &found.story, Limits::until(found.from + HOUR));
        let registered = trace.events.iter().filter(|event| event.at >= found.from);
        let registered = registered.filter(|event| event.what == What::Registered { zone });
        assert_eq!(registered.count(), usize::try_from(count).unwrap());
        let lamp = system.outputs().next().unwrap().0;
        let found = Explorer::new(&system, Bounds::default()).longest_on(lamp, 2 * HOUR).unwrap();
        assert_eq!(found.exactly(), Some(count * 10 * S), "{exit} {entry}");
    }
}

/// Its light comes on at eight, two hours after arming: a leaving time of three is over at nine.
#[test]
fn an_exit_time_goes_on_while_other_hours_begin() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(0));
    let armed = Windows::weekly(&[(360, 600)]);
    let zone = builder.zone(Zone { armed, exit: 3 * HOUR, ..Zone::edge(door, 10 * S) });
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold: 10 * S, on_time: None };
    let during = Windows::weekly(&[(480, 600)]);
    builder.response(Response { during, ..Response::to(zone, vec![on]) });
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    assert_eq!(explorer.most_registrations(zone, 2 * HOUR).unwrap().exactly(), Some(360));
    assert_eq!(explorer.longest_on(output, 2 * HOUR).unwrap().exactly(), Some(HOUR));
}

/// Hours of its light that are over before the leaving time is: what is pressed in them does not count, and five
/// minutes are left of the arming.
#[test]
fn what_comes_in_hours_that_an_exit_time_outlasts_does_not_count() {
    for begins in [0, 360] {
        let mut builder = Builder::new();
        let door = builder.contact(Contact::settling(0));
        let armed = Windows::weekly(&[(begins, begins + 240)]);
        let zone = builder.zone(Zone { armed, exit: 235 * MIN, ..Zone::edge(door, 10 * S) });
        let output = builder.output(Output::automatic(OnTime::HOLD));
        let on = Effect::On { output, hold: 10 * S, on_time: None };
        let during = Windows::weekly(&[(begins + 120, begins + 150)]);
        builder.response(Response { during, ..Response::to(zone, vec![on]) });
        let system = builder.build().unwrap();
        assert_eq!(most(&system, zone, 30 * MIN).exactly(), Some(30), "{begins}");
    }
}

/// Five armings of a minute lie in ten minutes, and a lockout of ten leaves one registration, from one
/// arming to the next; a millisecond more leaves two.
#[test]
fn a_lockout_goes_on_from_one_arming_to_the_next() {
    let armed = Windows::weekly(&[(0, 1), (2, 3), (4, 5), (6, 7), (8, 9), (10, 11)]);
    let door = |contact| Zone { armed, ..Zone::edge(contact, 10 * MIN) };
    let (system, zone) = lamp(Contact::settling(0), door, S);
    let ask = |length| most(&system, zone, length).exactly();
    assert_eq!((ask(10 * MIN), ask(10 * MIN + 1)), (Some(1), Some(2)));
}

/// Armed for an hour, not for the next, armed for a third: in a hundred minutes no more than in one of the
/// hours, one in 10 s.
#[test]
fn what_lies_between_two_armings_is_no_time_to_register() {
    let armed = Windows::weekly(&[(0, 60), (120, 180)]);
    let door = |contact| Zone { armed, ..Zone::edge(contact, 10 * S) };
    let (system, zone) = lamp(Contact::settling(0), door, S);
    assert_eq!(most(&system, zone, 100 * MIN).exactly(), Some(360));
}

/// A detector that stays active for 2 to 3 s is active for that long in the story too, also where
/// it is armed far from the beginning of the week, and where its like was asked about before.
#[test]
fn a_story_keeps_to_the_times_of_its_sensor() {
    let mut builder = Builder::new();
    let all =
        [Windows::Always, Windows::weekly(&[(3_000, 3_600)]), Windows::weekly(&[(6_000, 6_600)])];
    let zones = all.clone().map(|armed| {
        let (shortest, longest) = (2 * S, Some(3 * S));
        let pir = builder.contact(Contact { shortest, longest, ..Contact::settling(500) });
        let zone = builder.zone(Zone { armed, ..Zone::level(pir, 5 * S) });
        let output = lights(&mut builder, zone, MIN);
        builder.feedback(Feedback { output, contact: pir, delay: 100, inverted: false });
        zone
    });
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    for (zone, armed) in zones.into_iter().zip(all) {
        let story = yes(explorer.at_rest(zone)).story;
        let [press, release] = story.inputs.as_slice() else { panic!("{story:?}") };
        assert!(story.from <= press.at, "{story:?}");
        assert!(armed.contains(story.from) && armed.contains(press.at), "{story:?}");
        assert!((2 * S..=3 * S).contains(&(release.at - press.at)), "{story:?}");
    }
}
