//! Times the explorer on zones that are coupled in pairs, beside one pair in the same run.
//!
//! `cargo bench -p curtilage-events --bench explorer`
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_types,
    clippy::disallowed_methods,
    reason = "a benchmark reads the clock"
)]

use curtilage_events::explorer::{Bounds, Explorer};
use curtilage_events::system::{
    Builder, Contact, Effect, Feedback, OnTime, Output, Response, System, Zone, ZoneId,
};
use std::hint::black_box;
use std::time::{Duration, Instant};

const RUNS: usize = 9;

/// Pairs of zones, each switching an output that reaches the other's contact half a second later.
/// Where no two pairs are alike, nothing is remembered from one to the next.
fn pairs(number: usize, level: bool, alike: bool) -> (System, Vec<ZoneId>) {
    let mut builder = Builder::new();
    let mut zones = Vec::new();
    for pair in 0..number {
        let longer = if alike { 0 } else { i64::try_from(pair).unwrap() * 1_000 };
        let contacts = [0, 1].map(|_| builder.contact(Contact::settling(300)));
        let outputs = [0, 1].map(|_| builder.output(Output::automatic(OnTime::LOCKOUT_THEN_HOLD)));
        for side in 0..2 {
            let lockout = 5_000 + longer;
            let zone = if level { Zone::level } else { Zone::edge };
            let zone = builder.zone(zone(contacts[side], lockout));
            let on = Effect::On { output: outputs[side], hold: 30_000 + longer, on_time: None };
            builder.response(Response::to(zone, vec![on]));
            zones.push(zone);
            let (output, contact) = (outputs[side], contacts[1 - side]);
            builder.feedback(Feedback { output, contact, delay: 500, inverted: false });
        }
    }
    (builder.build().unwrap(), zones)
}

/// Every question about endless registrations; how many sets of states were looked at.
fn ask((system, zones): &(System, Vec<ZoneId>)) -> usize {
    let mut explorer = Explorer::new(system, Bounds::default());
    for zone in zones {
        black_box(explorer.held(*zone));
        black_box(explorer.at_rest(*zone));
    }
    explorer.states()
}

fn median(mut run: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    times[RUNS / 2]
}

fn main() {
    println!("| zones | pairs | registration | questions | states | median | beside one pair |");
    println!("|---|---|---|---|---|---|---|");
    for (level, alike) in [(false, true), (true, true), (false, false), (true, false)] {
        let name = if level { "level" } else { "edge" };
        let kind = if alike { "alike" } else { "all different" };
        let one = pairs(1, level, alike);
        let single = median(|| {
            black_box(ask(&one));
        });
        for number in [1, 8, 32] {
            let system = pairs(number, level, alike);
            let states = ask(&system);
            let time = median(|| {
                black_box(ask(&system));
            });
            let ratio = time.as_secs_f64() / single.as_secs_f64();
            println!(
                "| {} | {kind} | {name} | {} | {states} | {:.1} ms | {ratio:.1} x |",
                2 * number,
                4 * number,
                time.as_secs_f64() * 1e3,
            );
        }
    }
}
