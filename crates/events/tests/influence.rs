//! What can influence what, as edges worked out by hand.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use curtilage_events::explorer::{Answer, Proof};
use curtilage_events::graph::Graph;
use curtilage_events::system::{
    Again, Builder, Contact, Effect, Feedback, Mode, OnTime, Output, Registration, Response,
    System, Zone,
};

/// Two contacts (0, 1), three zones (2, 3, 4), three responses (5, 6, 7), two outputs (8, 9).
///
/// The first response switches an output on that the second switches off and that moves the second
/// contact. The third zone waits until its on-time is over; its output is forced.
fn system() -> System {
    let mut builder = Builder::new();
    let first = builder.contact(Contact::settling(0));
    let second = builder.contact(Contact::settling(0));
    let on = builder.zone(Zone::edge(first, 0));
    let off = builder.zone(Zone::edge(second, 0));
    let waits = Registration::Level(Again::AfterOnTime { gap: 0 });
    let held = builder.zone(Zone { registration: waits, ..Zone::level(second, 0) });
    let output = builder.output(Output::automatic(OnTime::HOLD));
    let forced =
        builder.output(Output { mode: Mode::ForcedOff, ..Output::automatic(OnTime::HOLD) });
    let switch = |output| Effect::On { output, hold: 5, on_time: None };
    builder.response(Response::to(on, vec![switch(output)]));
    builder.response(Response::to(off, vec![Effect::Off { output, hold: 0 }]));
    builder.response(Response::to(held, vec![switch(forced)]));
    builder.feedback(Feedback { output, contact: second, delay: 0, inverted: false });
    builder.build().unwrap()
}

fn edges(graph: &Graph) -> Vec<(usize, usize)> {
    (0..graph.len())
        .flat_map(|from| graph.targets(from).iter().map(move |&to| (from, to)))
        .collect()
}

const WIRED: [(usize, usize); 9] =
    [(0, 2), (1, 3), (1, 4), (2, 5), (3, 6), (4, 7), (5, 8), (6, 8), (8, 1)];

#[test]
fn a_change_takes_the_wires() {
    let graph = system().wiring();
    assert!(!graph.is_empty() && Graph::new(0).is_empty());
    assert_eq!(edges(&graph), WIRED);
}

/// A response that switches off cuts the on-time of another; a zone that waits for its on-time
/// hangs on its response.
#[test]
fn and_an_on_time_has_influence_too() {
    let mut wanted = WIRED.to_vec();
    wanted.extend([(6, 5), (7, 4)]);
    wanted.sort_unstable();
    assert_eq!(edges(&system().influence()), wanted);
}

#[test]
fn an_answer_holds_what_can_happen() {
    assert_eq!(Answer::Yes(7).yes(), Some(7));
    assert_eq!(Answer::<u8>::No(Proof::NeverHeard).yes(), None);
}
