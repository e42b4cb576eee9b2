//! Everything a system can say, at random: no story refutes a "no", and every "yes" plays.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::explorer::{Answer, Bounds, Explorer, Reason};
use curtilage_events::player::{Ended, Input, Limits, Story, TimedInput, What, play};
use curtilage_events::system::{
    Again, Builder, Causes, Confirm, Contact, ContactId, Effect, Feedback, LockoutEnd, Mode,
    OnTime, Output, OutputId, Registration, Response, Span, System, Windows, Zone, ZoneId,
};
use proptest::prelude::*;
use proptest::test_runner::{RngAlgorithm, TestRng, TestRunner};
use std::cell::Cell;

/// Draws numbers from a list, so that one list makes one system.
struct Draw<'a>(std::iter::Cycle<std::slice::Iter<'a, u32>>);

impl Draw<'_> {
    fn below(&mut self, most: u32) -> u32 {
        self.0.next().unwrap() % most
    }

    fn ms(&mut self, most: u32) -> i64 {
        i64::from(self.below(most))
    }

    /// Once in so many times.
    fn rarely(&mut self, once: u32) -> bool {
        self.below(once) == 0
    }

    fn span(&mut self) -> OnTime {
        let span = [Span::Hold, Span::LockoutThenHold, Span::LongerOfBoth][self.below(3) as usize];
        OnTime { span, retriggered: self.rarely(2) }
    }
}

fn system(numbers: &[u32]) -> (System, Vec<ContactId>, Vec<ZoneId>) {
    let mut draw = Draw(numbers.iter().cycle());
    let mut builder = Builder::new();
    let contacts: Vec<ContactId> = (0..2)
        .map(|_| {
            let settle = draw.ms(3);
            builder.contact(Contact { settle_off: draw.ms(3), ..Contact::settling(settle) })
        })
        .collect();
    let outputs: Vec<OutputId> = (0..2)
        .map(|_| {
            let mode = if draw.rarely(8) { Mode::ForcedOn } else { Mode::Automatic };
            builder.output(Output { on_time: draw.span(), mode })
        })
        .collect();
    let zones: Vec<ZoneId> = (0..2)
        .map(|place: usize| {
            let gap = draw.ms(3);
            let again =
                if draw.rarely(3) { Again::AfterLockout } else { Again::AfterOnTime { gap } };
            let edge = draw.rarely(2);
            let zone = Zone {
                registration: if edge { Registration::Edge } else { Registration::Level(again) },
                lockout_end: if draw.rarely(3) { LockoutEnd::Rejects } else { LockoutEnd::Accepts },
                lockout_restarts: draw.rarely(4),
                limit: draw.rarely(6).then_some(2),
                entry: if draw.rarely(3) { draw.ms(4) } else { 0 },
                armed: if draw.rarely(12) { Windows::Never } else { Windows::Always },
                ..Zone::edge(contacts[place], draw.ms(4) + i64::from(!edge))
            };
            builder.zone(zone)
        })
        .collect();
    // The second confirms a third on the first one's contact.
    let mut zones = zones;
    if draw.rarely(2) {
        let confirmed = Some(Confirm { by: zones[1], within: draw.ms(6) });
        zones.push(builder.zone(Zone { confirmed, ..Zone::level(contacts[0], 1 + draw.ms(3)) }));
    }
    for number in 0..2 + draw.below(2) {
        let zone = zones[number as usize % zones.len()];
        let causes = match draw.below(4) {
            0 => Causes::All { zones: zones.clone(), within: draw.ms(6) },
            1 => Causes::Any(zones.clone()),
            _ => Causes::Any(vec![zone]),
        };
        let output = outputs[draw.below(2) as usize];
        let effect = match draw.below(8) {
            0 => Effect::Off { output, hold: draw.ms(4) },
            1 => Effect::Latch { output },
            _ => Effect::On { output, hold: 1 + draw.ms(4), on_time: None },
        };
        let delay = if draw.rarely(3) { draw.ms(4) } else { 0 };
        builder.response(Response { causes, delay, ..Response::to(zone, vec![effect]) });
    }
    for _ in 0..draw.below(3) {
        builder.feedback(Feedback {
            output: outputs[draw.below(2) as usize],
            contact: contacts[draw.below(2) as usize],
            delay: draw.ms(4),
            inverted: draw.rarely(4),
        });
    }
    (builder.build().unwrap(), contacts, zones)
}

/// Presses at random, then one contact or none stays active; zones that still register long after.
fn goes_on(
    system: &System,
    contacts: &[ContactId],
    gaps: &[i64],
    holder: Option<usize>,
) -> Option<Vec<ZoneId>> {
    let mut inputs = Vec::new();
    let mut at = 0;
    let mut active = vec![false; contacts.len()];
    for (number, gap) in gaps.iter().enumerate() {
        let place = (number + usize::try_from(*gap).unwrap()) % contacts.len();
        active[place] = !active[place];
        inputs.push(TimedInput { at, input: Input::Contact(contacts[place], active[place]) });
        at += gap / 2;
    }
    for (place, contact) in contacts.iter().enumerate() {
        let input = Input::Contact(*contact, Some(place) == holder);
        inputs.push(TimedInput { at, input });
    }
    let trace = play(system, &Story { from: 0, inputs }, Limits::until(at + 1_500));
    if trace.ended != Ended::Played {
        return None;
    }
    // All times are below 20 ms: what lasts for a second lasts for ever.
    let late = trace.events.iter().filter(|event| event.at > at + 1_000);
    Some(
        late.filter_map(|event| match event.what {
            What::Registered { zone } => Some(zone),
            _ => None,
        })
        .collect(),
    )
}

#[test]
fn no_story_refutes_a_no() {
    let counts = Cell::new([0u32; 4]);
    let count = |place: usize| {
        let mut all = counts.get();
        all[place] += 1;
        counts.set(all);
    };
    let mut runner = TestRunner::new_with_rng(
        ProptestConfig { cases: 70, failure_persistence: None, ..ProptestConfig::default() },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    );
    let numbers = prop::collection::vec(any::<u32>(), 61);
    let stories = prop::collection::vec(prop::collection::vec(2i64..14, 0..12), 25);
    runner
        .run(&(numbers, stories), |(numbers, stories)| {
            let (system, contacts, zones) = system(&numbers);
            let bounds = Bounds { states: 1_000, ..Bounds::default() };
            let mut explorer = Explorer::new(&system, bounds);
            for holder in [None, Some(0), Some(1)] {
                let answers: Vec<_> = zones
                    .iter()
                    .map(|&zone| match holder {
                        None => explorer.at_rest(zone),
                        Some(place) => explorer.held_by(zone, contacts[place]),
                    })
                    .collect();
                for (zone, answer) in zones.iter().zip(&answers) {
                    match answer {
                        Answer::Yes(endless) => {
                            count(0);
                            let until = endless.from + 3 * endless.period + 1;
                            let trace = play(&system, &endless.story, Limits::until(until));
                            let end = endless.from + 2 * endless.period;
                            let last = |event: &&curtilage_events::player::Event| {
                                event.at > end && event.what == What::Registered { zone: *zone }
                            };
                            let number = trace.events.iter().filter(last).count();
                            prop_assert_eq!(number as u64, endless.registrations);
                        }
                        Answer::No(_) => count(1),
                        Answer::NotKnown { reason: Reason::NeverSettles(story), .. } => {
                            count(2);
                            let trace = play(&system, story, Limits::until(story.from + 10_000));
                            prop_assert!(matches!(trace.ended, Ended::NeverSettles(_)));
                        }
                        Answer::NotKnown { .. } => count(3),
                    }
                }
                for gaps in &stories {
                    let Some(late) = goes_on(&system, &contacts, gaps, holder) else { continue };
                    for (zone, answer) in zones.iter().zip(&answers) {
                        let limited = matches!(answer, Answer::No(_)) && late.contains(zone);
                        prop_assert!(!limited, "{:?} {:?} {:?} {:?}", system, holder, gaps, answer);
                    }
                }
            }
            Ok(())
        })
        .unwrap();
    let [yes, no, unsettled, open] = counts.get();
    println!("{yes} yes, {no} no, {unsettled} never settle, {open} not known");
    assert!(yes > 30 && no > 200 && open < 100);
}
