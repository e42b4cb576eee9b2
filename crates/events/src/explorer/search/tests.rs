//! A search by itself: its bounds to the last one that is allowed, what it plays, and the way back
//! to a candidate.

use super::tail::{Link, way_back, way_to};
use super::*;
use crate::explorer::bounds::Slot;
use crate::system::{Builder, Contact, Effect, Feedback, OnTime, Output, Response, Zone};

const EXACTLY: Option<u32> = None;

/// A detector that a lamp wakes: the lamp settles nothing, so no story goes on for ever.
fn woken() -> (System, ZoneId) {
    let mut builder = Builder::new();
    let pir = builder.contact(Contact::settling(2));
    let zone = builder.zone(Zone::edge(pir, 5));
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold: 20, on_time: None };
    builder.response(Response::to(zone, vec![on]));
    builder.feedback(Feedback { output, contact: pir, delay: 3, inverted: false });
    (builder.build().unwrap(), zone)
}

fn ask(rough: Option<u32>, bounds: Bounds) -> Searched {
    let (system, zone) = woken();
    let regimes = vec![vec![true]];
    search(Task { system: &system, regimes: &regimes, place: None, zone, bounds, rough })
}

/// As many sets of states as there are may be allowed; with one fewer the question stays open, and
/// the search stops.
#[test]
fn as_many_sets_of_states_as_are_allowed() {
    for rough in [Some(1), EXACTLY] {
        let with = |states| ask(rough, Bounds { states, ..Bounds::default() });
        let all = with(40_000);
        assert_eq!(all.open, None);
        assert!(all.states > 5);
        for states in [all.states, all.states + 1] {
            assert_eq!((with(states).open, with(states).states), (None, all.states));
        }
        for states in [2, all.states / 2, all.states - 1] {
            let cut = with(states);
            assert_eq!(cut.open, Some(Reason::TooManyStates { contacts: 1, zones: 1 }));
            assert!(states < cut.states && cut.states <= all.states);
        }
    }
}

/// Lockout, on-time, settle time and a change of the lamp on its way: four timers at once.
#[test]
fn as_many_timers_as_are_allowed() {
    for rough in [Some(1), EXACTLY] {
        for timers in 0..7 {
            let open = ask(rough, Bounds { timers, ..Bounds::default() }).open;
            assert_eq!(open, (timers < 4).then_some(Reason::TooManyTimers), "{timers}");
        }
    }
}

/// Six contacts that settle at once have 64 states and 64 times 64 ways between them: a search is
/// over, too, after twenty times as many ways as it may have sets.
#[test]
fn as_many_steps_as_are_allowed() {
    let mut builder = Builder::new();
    let contacts: Vec<_> = (0..6).map(|_| builder.contact(Contact::settling(0))).collect();
    let zones: Vec<_> =
        contacts.iter().map(|&contact| builder.zone(Zone::edge(contact, 0))).collect();
    let system = builder.build().unwrap();
    let (zone, regimes) = (zones[0], vec![vec![true]]);
    for (states, enough) in [(70, false), (204, false), (205, true)] {
        let bounds = Bounds { states, ..Bounds::default() };
        let place = None;
        let task = Task { system: &system, regimes: &regimes, place, zone, bounds, rough: EXACTLY };
        let searched = search(task);
        let reason = Reason::TooManyStates { contacts: 6, zones: 6 };
        assert_eq!(searched.open, (!enough).then_some(reason), "{states}");
        assert!(searched.states <= 64);
    }
}

#[test]
fn as_many_contacts_as_are_allowed() {
    for contacts in 0..3 {
        let open = ask(EXACTLY, Bounds { contacts, ..Bounds::default() }).open;
        assert_eq!(open, (contacts < 1).then_some(Reason::TooManyContacts(1)));
    }
}

/// A story that goes on for ever in which the zone does not take part is none of it.
#[test]
fn only_what_registers_for_ever_plays() {
    let mut builder = Builder::new();
    let contact = builder.contact(Contact::settling(0));
    let busy = builder.zone(Zone::edge(contact, 1));
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let on = Effect::On { output, hold: 5, on_time: None };
    builder.response(Response::to(busy, vec![on]));
    // On the break side: the contact is active while the output is off.
    builder.feedback(Feedback { output, contact, delay: 0, inverted: true });
    let door = builder.contact(Contact::settling(0));
    let idle = builder.zone(Zone::edge(door, 1));
    let system = builder.build().unwrap();
    let regimes = vec![vec![true]];
    let place = Regime { gates: vec![true], from: 0, until: None };
    for (zone, goes_on) in [(busy, true), (idle, false)] {
        let (place, bounds) = (Some(&place), Bounds::default());
        let task = Task { system: &system, regimes: &regimes, place, zone, bounds, rough: EXACTLY };
        assert_eq!(search(task).found.contains_key(&None), goes_on);
        let task = Task { system: &system, regimes: &regimes, place, zone, bounds, rough: EXACTLY };
        let mut search = Search::of(task);
        search.begin();
        // What is found ends the doubt about its own holder, and about nobody else.
        let doubts = vec![(None, Reason::NotPlayed), (Some(door), Reason::NotPlayed)];
        search.result.unplayed.clone_from(&doubts);
        let mut why = None;
        assert_eq!(search.plays(None, &[0], &[], &mut why), goes_on);
        assert_eq!(why, None);
        assert_eq!(search.result.unplayed, doubts[usize::from(goes_on)..]);
    }
}

/// The legs from a candidate to a link that was met after it, in order.
#[test]
fn the_way_back_to_a_candidate() {
    let link = |length: Ms, before| {
        let leg = Leg { over: vec![], slots: vec![Slot::Set(length)] };
        let (spot, regime, cost) = (0, 0, 0);
        let node =
            Node { spot, times: Times::none(), cost, regime, parent: None, leg, inputs: vec![] };
        Link { node, before }
    };
    let links = [link(1, Err(7)), link(2, Err(9)), link(3, Ok(1)), link(4, Ok(2)), link(5, Ok(0))];
    for (to, want) in [(0, (7, vec![])), (1, (9, vec![])), (3, (9, vec![3, 4])), (4, (7, vec![5]))]
    {
        let (candidate, legs) = way_to(&links, to);
        let set = |leg: &Leg| match leg.slots[0] {
            Slot::Set(length) => length,
            Slot::Kept(_) => 0,
        };
        assert_eq!((candidate, legs.iter().map(set).collect::<Vec<_>>()), want);
    }
}

/// The legs of the shortest way from a link to another, also back to where it came from.
#[test]
fn the_way_round_a_cycle() {
    let step = |from, to, length: Ms| {
        (from, to, false, Leg { over: vec![], slots: vec![Slot::Set(length)] })
    };
    let steps = [step(0, 1, 1), step(1, 2, 2), step(2, 3, 3), step(0, 3, 4), step(3, 0, 5)];
    for (from, to, want) in [
        (0, 3, Some(vec![4])),
        (1, 0, Some(vec![2, 3, 5])),
        (3, 2, Some(vec![5, 1, 2])),
        (2, 2, Some(vec![])),
        (0, 4, None),
    ] {
        let set = |leg: Leg| match leg.slots[0] {
            Slot::Set(length) => length,
            Slot::Kept(_) => 0,
        };
        let way = way_back(5, &steps, from, to);
        assert_eq!(way.map(|legs| legs.into_iter().map(set).collect::<Vec<_>>()), want);
    }
}
