//! The explorer on sites as they are built: what it finds, and how little it looks at.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::duty::{self, Ratio};
use curtilage_events::explorer::{Answer, Bounds, Endless, Explorer, Proof, Reason};
use curtilage_events::player::{Ended, Limits, What, play};
use curtilage_events::system::{
    Builder, Causes, Confirm, Contact, Effect, Feedback, Mode, OnTime, Output, Response, System,
    Windows, Zone, ZoneId,
};
use curtilage_events::{DAY, HOUR, Ms};

const S: Ms = 1_000;
const MIN: Ms = 60 * S;

/// Registrations in each of five periods are as told.
fn shows(system: &System, zone: ZoneId, endless: &Endless) {
    let last = endless.from + 5 * endless.period;
    assert!(endless.until.is_none_or(|until| endless.from + endless.period <= until));
    let periods = match endless.until {
        Some(until) => ((until - 1 - endless.from) / endless.period).min(5),
        None => 5,
    };
    assert!(periods > 0);
    let trace = play(system, &endless.story, Limits::until(last + 1));
    for number in 0..periods {
        let from = endless.from + number * endless.period;
        let within = |at: Ms| at > from && at <= from + endless.period;
        let mine = trace.events.iter().filter(|event| within(event.at));
        let count = mine.filter(|event| event.what == What::Registered { zone }).count() as u64;
        assert_eq!(count, endless.registrations);
    }
}

fn yes<T: std::fmt::Debug>(answer: Answer<T>) -> T {
    match answer {
        Answer::Yes(what) => what,
        other => panic!("{other:?}"),
    }
}

/// A door left open on a level input: 3 min 2 s between registrations, the siren without a pause.
#[test]
fn a_door_left_open() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(300));
    let siren = builder.output(Output::automatic(OnTime::LOCKOUT_THEN_HOLD));
    let zone = builder.zone(Zone::level(door, 2 * S));
    let on = Effect::On { output: siren, hold: 3 * MIN, on_time: None };
    builder.response(Response::to(zone, vec![on, Effect::Note { note: 1 }]));
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    let endless = yes(explorer.held(zone));
    shows(&system, zone, &endless);
    assert_eq!((endless.held, endless.story.inputs.len()), (Some(door), 1));
    assert_eq!((endless.period, endless.registrations), (182 * S, 1));
    assert_eq!(endless.per_hour(), Ratio::new(3_600, 182));
    assert_eq!(endless.duty, [(siren, Ratio::new(1, 1))]);
    let closed = duty::held(&system, zone).unwrap();
    assert_eq!(
        (closed.period, closed.per_hour, closed.on.clone()),
        (endless.period, endless.per_hour(), endless.duty)
    );
    assert_eq!(explorer.at_rest(zone), Answer::No(Proof::NoFeedback));
    // 19.78 an hour in the long run, 20 in the worst hour by holding; more by pressing.
    let most = explorer.most_registrations(zone, HOUR).unwrap();
    assert_eq!(most.exactly(), Some(1_800));
    assert_eq!(explorer.longest_on(siren, DAY).unwrap().exactly(), Some(DAY));
}

/// The fixes of an endless registration, in order of least change.
#[test]
fn edge_limit_and_a_sensor_that_lets_go() {
    let ask = |change: &dyn Fn(Zone) -> Zone, longest: Option<Ms>| {
        let mut builder = Builder::new();
        let door = builder.contact(Contact { longest, ..Contact::settling(300) });
        let zone = builder.zone(change(Zone::level(door, 2 * S)));
        let siren = builder.output(Output::automatic(OnTime::HOLD));
        let on = Effect::On { output: siren, hold: 3 * MIN, on_time: None };
        builder.response(Response::to(zone, vec![on]));
        let system = builder.build().unwrap();
        Explorer::new(&system, Bounds::default()).held(zone)
    };
    let edge = |zone: Zone| Zone::edge(zone.contact, zone.lockout);
    assert_eq!(ask(&edge, None), Answer::No(Proof::NeedsChange));
    let limit = |zone: Zone| Zone { limit: Some(3), ..zone };
    assert_eq!(ask(&limit, None), Answer::No(Proof::Limit));
    let never = |zone: Zone| Zone { armed: Windows::Never, ..zone };
    assert_eq!(ask(&never, None), Answer::No(Proof::NeverArmed));
    assert_eq!(ask(&|zone| zone, Some(3 * S)), Answer::No(Proof::CannotStay));
    assert!(matches!(ask(&|zone| zone, None), Answer::Yes(_)));
}

/// A light that wakes the detector that lights the light.
fn light(hold: Ms, blind: Ms, level: bool, confirmed: bool) -> (System, ZoneId) {
    let mut builder = Builder::new();
    let pir = builder.contact(Contact {
        shortest: 2 * S,
        longest: Some(3 * S),
        ..Contact::settling(500)
    });
    let lamp = builder.output(Output::automatic(OnTime::HOLD));
    let zone =
        Zone { lockout: blind, ..if level { Zone::level(pir, 0) } else { Zone::edge(pir, 0) } };
    let zone = builder.zone(zone);
    if confirmed {
        let door = builder.contact(Contact::settling(300));
        let other = builder.zone(Zone::edge(door, 2 * S));
        builder.response(Response {
            causes: Causes::All { zones: vec![zone, other], within: 30 * S },
            ..Response::to(zone, vec![Effect::On { output: lamp, hold, on_time: None }])
        });
    } else {
        let on = Effect::On { output: lamp, hold, on_time: None };
        builder.response(Response::to(zone, vec![on]));
    }
    builder.feedback(Feedback { output: lamp, contact: pir, delay: 100, inverted: false });
    (builder.build().unwrap(), zone)
}

#[test]
fn a_light_that_wakes_its_detector() {
    let (system, zone) = light(MIN, 5 * S, true, false);
    let mut explorer = Explorer::new(&system, Bounds::default());
    let endless = yes(explorer.at_rest(zone));
    shows(&system, zone, &endless);
    // Somebody walks by once: active, and at rest again.
    assert_eq!((endless.held, endless.story.inputs.len()), (None, 2));
    assert_eq!((endless.period, endless.registrations), (MIN, 1));
    assert_eq!(explorer.loops().len(), 1);
    println!("light, level: {} states", explorer.states());
    for (system, zone) in [light(MIN, 5 * S, false, false), light(5 * S, MIN, true, false)] {
        let mut explorer = Explorer::new(&system, Bounds::default());
        let answer = explorer.at_rest(zone);
        println!("light, mended: {answer:?}");
        assert!(matches!(answer, Answer::No(Proof::Searched { .. })), "{answer:?}");
    }
    let (system, zone) = light(MIN, 5 * S, true, true);
    let mut explorer = Explorer::new(&system, Bounds::default());
    let answer = explorer.at_rest(zone);
    println!("light, confirmed: {answer:?}");
    assert!(matches!(answer, Answer::No(Proof::Searched { .. })), "{answer:?}");
}

/// An output on the break side keeps a level zone active with nobody there.
#[test]
fn an_inverted_output_needs_no_story() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let zone = builder.zone(Zone::edge(contact, S));
    let on = Effect::On { output, hold: 5 * S, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    builder.feedback(Feedback { output, contact, delay: 0, inverted: true });
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).at_rest(zone));
    shows(&system, zone, &endless);
    assert_eq!((endless.story.inputs.len(), endless.period), (0, 5 * S));
}

/// A forced output that holds a contact is no loop, but it is a reason.
#[test]
fn a_forced_output_holds_a_contact() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let forced = builder.output(Output { on_time: OnTime::HOLD, mode: Mode::ForcedOn });
    let siren = builder.output(Output::automatic(OnTime::HOLD));
    let zone = builder.zone(Zone::level(contact, S));
    let on = Effect::On { output: siren, hold: 5 * S, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    builder.feedback(Feedback { output: forced, contact, delay: S, inverted: false });
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    assert_eq!(explorer.loops(), []);
    let endless = yes(explorer.at_rest(zone));
    shows(&system, zone, &endless);
    assert_eq!(explorer.longest_on(forced, DAY).unwrap().exactly(), Some(DAY));
}

/// Armed at night only: the story is at night, and "for ever" is until morning.
#[test]
fn armed_at_night() {
    let nights: Vec<(u32, u32)> =
        (0..7).map(|day| (day * 1_440 + 1_080, day * 1_440 + 1_890)).collect();
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(300));
    let siren = builder.output(Output::automatic(OnTime::HOLD));
    let zone = Zone { armed: Windows::weekly(&nights), ..Zone::level(door, 2 * S) };
    let zone = builder.zone(zone);
    let on = Effect::On { output: siren, hold: 3 * MIN, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    let endless = yes(explorer.held(zone));
    shows(&system, zone, &endless);
    assert_eq!(endless.until.unwrap() - endless.story.from, 810 * MIN);
    // 13.5 hours of night, and three minutes that run over.
    let most = explorer.longest_on(siren, DAY).unwrap();
    assert_eq!(most.at_most, 813 * MIN);
    assert!(most.at_least >= 810 * MIN, "{most:?}");
    let limited = Zone { limit: Some(3), ..system.zones().next().unwrap().1.clone() };
    let mut builder = Builder::new();
    builder.contact(Contact::settling(300));
    let siren = builder.output(Output::automatic(OnTime::HOLD));
    let zone = builder.zone(limited);
    let on = Effect::On { output: siren, hold: 3 * MIN, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    let system = builder.build().unwrap();
    let mut explorer = Explorer::new(&system, Bounds::default());
    assert_eq!(explorer.most_registrations(zone, HOUR).unwrap().exactly(), Some(3));
    assert_eq!(explorer.longest_on(siren, DAY).unwrap().at_most, 2 * 9 * MIN);
}

/// Pairs of zones: each lights a lamp that reaches the other one.
fn pairs(number: usize, level: bool) -> (System, Vec<ZoneId>) {
    let mut builder = Builder::new();
    let mut zones = Vec::new();
    for _ in 0..number {
        let mut pair = Vec::new();
        for _ in 0..2 {
            let contact = builder.contact(Contact::settling(300));
            let lamp = builder.output(Output::automatic(OnTime::HOLD));
            let zone = if level { Zone::level } else { Zone::edge };
            let zone = builder.zone(zone(contact, 5 * S));
            let on = Effect::On { output: lamp, hold: 40 * S, on_time: None };
            builder.response(Response::to(zone, vec![on]));
            pair.push((contact, lamp));
            zones.push(zone);
        }
        for (from, to) in [(0, 1), (1, 0)] {
            let (output, contact) = (pair[from].1, pair[to].0);
            builder.feedback(Feedback { output, contact, delay: 200, inverted: false });
        }
    }
    (builder.build().unwrap(), zones)
}

#[test]
fn sixty_four_zones_in_pairs() {
    for level in [false, true] {
        let (system, zones) = pairs(32, level);
        let mut explorer = Explorer::new(&system, Bounds::default());
        for &zone in &zones {
            for answer in [explorer.at_rest(zone), explorer.held(zone)] {
                match answer {
                    Answer::Yes(endless) => {
                        assert!(level);
                        shows(&system, zone, &endless);
                    }
                    Answer::No(proof) => {
                        assert!(!level);
                        assert!(matches!(proof, Proof::Searched { .. }));
                    }
                    Answer::NotKnown { reason, states } => panic!("{reason:?} after {states}"),
                }
            }
        }
        println!("64 zones in pairs, level {level}: {} states", explorer.states());
        assert!(explorer.states() < 60_000);
    }
}

/// A dozen zones, an entry door, a panic button, a light loop: everything asked of all of it.
fn museum() -> (System, Vec<ZoneId>) {
    let nights: Vec<(u32, u32)> =
        (0..7).map(|day| (day * 1_440 + 1_080, day * 1_440 + 1_920)).collect();
    let night = Windows::weekly(&nights);
    let mut builder = Builder::new();
    let siren = builder.output(Output::automatic(OnTime::LOCKOUT_THEN_HOLD));
    let lamp = builder.output(Output::automatic(OnTime::HOLD_RETRIGGERED));
    let mut zones = Vec::new();
    for number in 0..10 {
        let contact = builder.contact(Contact::settling(300));
        let plain = if number % 2 == 0 { Zone::level } else { Zone::edge };
        let limit = (number % 3 == 0).then_some(3);
        let entry = if number == 1 { 30 * S } else { 0 };
        let zone = Zone { armed: night.clone(), limit, entry, ..plain(contact, 2 * S) };
        zones.push(builder.zone(zone));
    }
    let by = zones[4];
    let contact = builder.contact(Contact::settling(300));
    let confirmed = Some(Confirm { by, within: 30 * S });
    zones.push(builder.zone(Zone {
        confirmed,
        armed: night.clone(),
        ..Zone::edge(contact, 2 * S)
    }));
    let pir = builder.contact(Contact {
        shortest: 2 * S,
        longest: Some(3 * S),
        ..Contact::settling(300)
    });
    let light = builder.zone(Zone::level(pir, 5 * S));
    zones.push(light);
    let on = Effect::On { output: siren, hold: 3 * MIN, on_time: None };
    let causes = Causes::Any(zones[..11].to_vec());
    builder.response(Response {
        causes,
        ..Response::to(zones[0], vec![on, Effect::Note { note: 1 }])
    });
    let on = Effect::On { output: lamp, hold: MIN, on_time: None };
    builder.response(Response { during: night, ..Response::to(light, vec![on]) });
    builder.feedback(Feedback { output: lamp, contact: pir, delay: 100, inverted: false });
    (builder.build().unwrap(), zones)
}

#[test]
fn everything_asked_of_a_museum() {
    let (system, zones) = museum();
    let mut explorer = Explorer::new(&system, Bounds::default());
    let mut found = 0;
    for &zone in &zones {
        for answer in [explorer.at_rest(zone), explorer.held(zone)] {
            match answer {
                Answer::Yes(endless) => {
                    found += 1;
                    shows(&system, zone, &endless);
                }
                Answer::No(_) => {}
                Answer::NotKnown { reason, states } => panic!("{reason:?} after {states}"),
            }
        }
        let most = explorer.most_registrations(zone, HOUR).unwrap();
        assert!(most.at_least > 0 && most.at_least <= most.at_most);
    }
    for (output, _) in system.outputs() {
        let most = explorer.longest_on(output, DAY).unwrap();
        assert!(most.at_least > 0 && most.at_least <= most.at_most);
    }
    println!("museum: {found} yes, {} states", explorer.states());
    // Level zones without limit: numbers 2, 4 and 8 held; the light at rest.
    assert_eq!(found, 4);
}

/// A mended light loop that works at night only: the proof also covers the changes of schedule.
#[test]
fn no_loop_by_night_or_by_day_or_between() {
    let mut answers = Vec::new();
    for hold in [5 * S, 10 * MIN] {
        let mut builder = Builder::new();
        let pir = builder.contact(Contact::settling(500));
        let lamp = builder.output(Output::automatic(OnTime::HOLD));
        let zone = builder.zone(Zone { lockout: MIN, ..Zone::level(pir, 0) });
        let during = Windows::weekly(&[(0, 600), (1_440, 1_445)]);
        let on = Effect::On { output: lamp, hold, on_time: None };
        builder.response(Response { during, ..Response::to(zone, vec![on]) });
        builder.feedback(Feedback { output: lamp, contact: pir, delay: 100, inverted: false });
        let system = builder.build().unwrap();
        let answer = Explorer::new(&system, Bounds::default()).at_rest(zone);
        if let Answer::Yes(endless) = &answer {
            shows(&system, zone, endless);
        }
        answers.push(answer);
    }
    assert!(matches!(answers[0], Answer::No(Proof::Searched { .. })), "{:?}", answers[0]);
    let endless = yes(answers.remove(1));
    assert_eq!(endless.until.unwrap() - endless.story.from, 600 * MIN);
}

/// A night of ten minutes is too short for a loop of twenty.
#[test]
fn armed_too_short_to_repeat() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact::settling(0));
    let siren = builder.output(Output::automatic(OnTime::HOLD));
    let zone = Zone { armed: Windows::weekly(&[(0, 10)]), ..Zone::level(door, 2 * S) };
    let zone = builder.zone(zone);
    let on = Effect::On { output: siren, hold: 20 * MIN, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    let system = builder.build().unwrap();
    let answer = Explorer::new(&system, Bounds::default()).held(zone);
    assert!(matches!(answer, Answer::NotKnown { reason: Reason::ArmedTooShort, .. }), "{answer:?}");
}

/// A contact that is active when the story begins.
#[test]
fn active_from_the_start() {
    let mut builder = Builder::new();
    let door = builder.contact(Contact { starts_active: true, ..Contact::settling(300) });
    let siren = builder.output(Output::automatic(OnTime::HOLD));
    let zone = builder.zone(Zone::level(door, 2 * S));
    let on = Effect::On { output: siren, hold: 20 * S, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    let system = builder.build().unwrap();
    let endless = yes(Explorer::new(&system, Bounds::default()).held(zone));
    shows(&system, zone, &endless);
    assert_eq!((endless.story.inputs.len(), endless.period), (0, 20 * S));
}

/// Two zones that switch an output on and off over its own feedback without delay, once somebody
/// begins: the story that never settles is told.
#[test]
fn a_story_that_never_settles() {
    let mut builder = Builder::new();
    let contacts = [0, 1, 2].map(|_| builder.contact(Contact::settling(0)));
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let helper = builder.output(Output::automatic(OnTime::HOLD));
    let zones = contacts.map(|contact| builder.zone(Zone::edge(contact, 0)));
    let on = |output| vec![Effect::On { output, hold: S, on_time: None }];
    builder.response(Response::to(zones[0], on(output)));
    builder.response(Response::to(zones[1], vec![Effect::Off { output, hold: 0 }]));
    builder.response(Response::to(zones[1], on(helper)));
    builder.response(Response::to(zones[2], vec![Effect::Off { output: helper, hold: 0 }]));
    builder.response(Response::to(zones[2], on(output)));
    for (output, contact) in [(output, 1), (helper, 2)] {
        let contact = contacts[contact];
        builder.feedback(Feedback { output, contact, delay: 0, inverted: false });
    }
    let system = builder.build().unwrap();
    let answer = Explorer::new(&system, Bounds::default()).at_rest(zones[1]);
    let Answer::NotKnown { reason: Reason::NeverSettles(story), .. } = answer else {
        panic!("{answer:?}")
    };
    assert_eq!(story.inputs.len(), 1);
    let trace = play(&system, &story, Limits::until(MIN));
    assert_eq!(trace.ended, Ended::NeverSettles(story.inputs[0].at));
}

/// Past a bound the answer is open, and says what made it so large.
/// Zones that confirm each other, each pair of another pace, so that no answer serves two of them: all
/// questions of such a site take no longer than ten hard ones and a short look at each of the others.
#[test]
fn many_hard_questions_do_not_take_forever() {
    let mut builder = Builder::new();
    // Two that name each other need their names first.
    let mut names = Builder::new();
    let nobody = names.contact(Contact::settling(0));
    let names: Vec<ZoneId> = (0..40).map(|_| names.zone(Zone::edge(nobody, 0))).collect();
    for (place, &by) in (0..).zip(names.chunks(2).flat_map(|pair| [&pair[1], &pair[0]])) {
        let contact = builder.contact(Contact::settling(300 + place / 2));
        let confirmed = Some(Confirm { by, within: 60 * S });
        let zone = builder.zone(Zone { confirmed, ..Zone::level(contact, 0) });
        let lamp = builder.output(Output::automatic(OnTime::HOLD));
        let on = Effect::On { output: lamp, hold: 30 * S, on_time: None };
        builder.response(Response::to(zone, vec![on]));
    }
    let zones = names;
    let system = builder.build().unwrap();
    let bounds = Bounds { states: 400, ..Bounds::default() };
    let mut explorer = Explorer::new(&system, bounds);
    for &zone in &zones {
        let answer = explorer.held(zone);
        assert!(matches!(answer, Answer::NotKnown { .. }), "{answer:?}");
    }
    // Two searches a question, the last one beyond its bound by what one set leads to.
    let most = 11 * 400 + 2 * zones.len() * 60;
    assert!(explorer.states() < most, "{} of {most}", explorer.states());
}

#[test]
fn bounds_are_told() {
    let (system, zones) = pairs(1, false);
    let mut explorer = Explorer::new(&system, Bounds { states: 50, ..Bounds::default() });
    let answer = explorer.at_rest(zones[0]);
    let Answer::NotKnown { reason, states } = answer else { panic!("{answer:?}") };
    assert_eq!(reason, Reason::TooManyStates { contacts: 2, zones: 2 });
    assert!(states > 50 && states < 200);
    let mut explorer = Explorer::new(&system, Bounds { contacts: 1, ..Bounds::default() });
    let answer = explorer.at_rest(zones[0]);
    assert_eq!(answer, Answer::NotKnown { reason: Reason::TooManyContacts(2), states: 0 });
    let mut explorer = Explorer::new(&system, Bounds { timers: 2, ..Bounds::default() });
    let answer = explorer.at_rest(zones[0]);
    assert!(matches!(answer, Answer::NotKnown { reason: Reason::TooManyTimers, .. }), "{answer:?}");
}
