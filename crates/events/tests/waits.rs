//! A held contact may ask again in every millisecond, of which the player passes over those that change
//! nothing. Random stories are held to the same stories with nothing passed over.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use curtilage_events::player::{
    Ended, Input, Limits, Story, TimedInput, What, play, play_by_the_millisecond,
};
use curtilage_events::system::{
    Again, Builder, Confirm, Contact, ContactId, Effect, Feedback, OnTime, Output, Registration,
    Response, System, Windows, Zone, ZoneId,
};
use proptest::prelude::*;

const END: i64 = 300;

#[derive(Debug, Clone)]
struct ZoneOf {
    contact: usize,
    registration: Registration,
    lockout: i64,
    confirmed: Option<(usize, i64)>,
    limit: Option<u32>,
    entry: i64,
    exit: i64,
    armed: Option<(i64, i64)>,
    hold: Option<i64>,
}

fn zone() -> impl Strategy<Value = ZoneOf> {
    let registration = prop_oneof![
        Just(Registration::Edge),
        Just(Registration::Level(Again::AfterLockout)),
        (0..4i64).prop_map(|gap| Registration::Level(Again::AfterOnTime { gap })),
    ];
    let often = |one: i64, other: std::ops::Range<i64>| prop_oneof![3 => Just(one), 1 => other];
    let confirmed = prop_oneof![
        1 => Just(None),
        3 => (0..3usize, prop_oneof![Just(0), Just(1), 2..90i64]).prop_map(Some),
    ];
    let armed = prop::option::of((0..60i64, 100..END));
    let limit = prop::option::of(1..4u32);
    let hold = prop::option::of(1..40i64);
    (
        (0..3usize, registration, often(0, 1..9), confirmed),
        (limit, often(0, 1..30), often(0, 1..30), armed, hold),
    )
        .prop_map(|((contact, registration, lockout, confirmed), rest)| {
            let (limit, entry, exit, armed, hold) = rest;
            ZoneOf { contact, registration, lockout, confirmed, limit, entry, exit, armed, hold }
        })
}

/// The system, and its three contacts.
fn built(zones: &[ZoneOf], settle: i64, back: Option<(usize, i64)>) -> (System, Vec<ContactId>) {
    let mut builder = Builder::new();
    let contacts: Vec<ContactId> =
        (0..3).map(|at| builder.contact(Contact::settling(settle * at))).collect();
    let output = builder.output(Output::automatic(OnTime::HOLD));
    // A zone may be confirmed by one that is added later: its number is known before.
    let mut numbers = Builder::new();
    let dummy = numbers.contact(Contact::settling(0));
    let ids: Vec<ZoneId> = zones.iter().map(|_| numbers.zone(Zone::edge(dummy, 0))).collect();
    for (one, &id) in zones.iter().zip(&ids) {
        let by = one.confirmed.and_then(|(by, within)| Some((*ids.get(by)?, within)));
        let by = by.filter(|(by, _)| *by != id);
        let armed = one.armed.map_or(Windows::Always, |span| Windows::Spans(vec![span]));
        builder.zone(Zone {
            registration: one.registration,
            confirmed: by.map(|(by, within)| Confirm { by, within }),
            limit: one.limit,
            entry: one.entry,
            exit: one.exit,
            armed,
            ..Zone::edge(*contacts.get(one.contact).unwrap(), one.lockout)
        });
        if let Some(hold) = one.hold {
            let on = Effect::On { output, hold, on_time: None };
            builder.response(Response::to(id, vec![on]));
        }
    }
    if let Some((contact, delay)) = back {
        let contact = *contacts.get(contact).unwrap();
        builder.feedback(Feedback { output, contact, delay, inverted: false });
    }
    (builder.build().unwrap(), contacts)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8_000))]
    #[test]
    fn what_is_passed_over_is_as_if_it_were_played(
        zones in prop::collection::vec(zone(), 1..5),
        settle in 0..6i64,
        back in prop::option::weighted(0.2, (0..3usize, 0..20i64)),
        moves in prop::collection::vec((0..3usize, 0..END, prop::bool::weighted(0.7)), 1..12),
    ) {
        let (system, contacts) = built(&zones, settle, back);
        let one = |&(contact, at, active): &(usize, i64, bool)| {
            TimedInput { at, input: Input::Contact(contacts[contact], active) }
        };
        let story = Story { from: 0, inputs: moves.iter().map(one).collect() };
        let every = play_by_the_millisecond(&system, &story, Limits::until(END));
        prop_assert_eq!(play(&system, &story, Limits::until(END)), every);
    }
}

/// A held contact whose zone is never confirmed: three days of it are a few thousand instants.
#[test]
fn a_long_wait_is_not_played_by_the_millisecond() {
    let day = 86_400_000;
    let held = ZoneOf {
        contact: 0,
        registration: Registration::Level(Again::AfterLockout),
        lockout: 0,
        confirmed: None,
        limit: None,
        entry: 0,
        exit: 0,
        armed: None,
        hold: None,
    };
    let by = ZoneOf { contact: 1, registration: Registration::Edge, ..held.clone() };
    let zones = [by, ZoneOf { confirmed: Some((0, 120_000)), limit: Some(1), ..held }];
    let (system, contacts) = built(&zones, 0, None);
    let hold =
        |contact: usize, at| TimedInput { at, input: Input::Contact(contacts[contact], true) };
    let story = Story { from: 0, inputs: vec![hold(0, 0), hold(1, 2 * day)] };
    let limits = Limits { instants: 5_000, ..Limits::until(3 * day) };
    let trace = play(&system, &story, limits);
    assert_eq!(trace.ended, Ended::Played);
    let registered =
        trace.events.iter().filter(|event| matches!(event.what, What::Registered { .. }));
    assert_eq!(registered.map(|event| event.at).collect::<Vec<_>>(), [2 * day, 2 * day]);
}
