//! The explorer against Spin and Z3 on the question "does it re-operate for ever?".
//!
//! Source: `verify/reop.pml` (Spin 6.5.2, LTL `held` and `released`) run for each row below; the
//! rows with lockout 2 and hold 3, without inverted feedback, agree with `verify/z3_reop.py`. One
//! tick there is a millisecond here. Each contact has a rule of its own; the output is on while any
//! of them is; feedback reaches contact 0 one tick late.
#![allow(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use curtilage_events::explorer::{Answer, Bounds, Explorer, Proof};
use curtilage_events::player::{Limits, What, play};
use curtilage_events::system::{
    Builder, Contact, Effect, Feedback, OnTime, Output, Response, System, Zone,
};

/// Feedback of the model: `-DFB=0`, 1 and 2.
#[derive(Clone, Copy, Debug)]
enum Fb {
    No,
    Plain,
    Inverted,
}
use Fb::{Inverted, No, Plain};

/// `-DNZ -DL -DH -DSUM -DTRIG -DFB`, then whether Spin found a witness for `held` and `released`.
type Row = (usize, i64, i64, bool, bool, Fb, bool, bool);

const ROWS: [Row; 24] = [
    (1, 2, 3, true, false, No, false, false),
    (1, 2, 3, true, false, Plain, false, false),
    (1, 2, 3, true, false, Inverted, false, true),
    (1, 2, 3, true, true, No, true, false),
    (1, 2, 3, true, true, Plain, true, true),
    (1, 2, 3, true, true, Inverted, true, true),
    (1, 3, 2, true, false, No, false, false),
    (1, 3, 2, true, false, Plain, false, false),
    (1, 3, 2, true, false, Inverted, false, true),
    (1, 3, 2, true, true, No, true, false),
    (1, 3, 2, true, true, Plain, true, true),
    (1, 3, 2, true, true, Inverted, true, true),
    (1, 4, 2, false, false, No, false, false),
    (1, 4, 2, false, false, Plain, false, false),
    (1, 4, 2, false, false, Inverted, false, false),
    (1, 4, 2, false, true, No, true, false),
    (1, 4, 2, false, true, Plain, true, false),
    (1, 4, 2, false, true, Inverted, true, true),
    (2, 2, 2, true, false, No, false, false),
    (2, 2, 2, true, false, Plain, false, false),
    (2, 2, 2, true, false, Inverted, false, true),
    (2, 2, 2, true, true, No, true, false),
    (2, 2, 2, true, true, Plain, true, true),
    (2, 2, 2, true, true, Inverted, true, true),
];

fn site((contacts, lockout, hold, sum, level, feedback, _, _): Row, scale: i64) -> System {
    let (lockout, hold) = (lockout * scale, hold * scale);
    let mut builder = Builder::new();
    let on_time = if sum { OnTime::LOCKOUT_THEN_HOLD } else { OnTime::HOLD_RETRIGGERED };
    let output = builder.output(Output::automatic(on_time));
    let mut ids = Vec::new();
    for _ in 0..contacts {
        let contact = builder.contact(Contact::settling(0));
        ids.push(contact);
        let zone = if level { Zone::level } else { Zone::edge };
        let zone = builder.zone(zone(contact, lockout));
        let on = Effect::On { output, hold, on_time: None };
        builder.response(Response::to(zone, vec![on]));
    }
    let inverted = matches!(feedback, Inverted);
    if !matches!(feedback, No) {
        builder.feedback(Feedback { output, contact: ids[0], delay: scale, inverted });
    }
    builder.build().unwrap()
}

/// Whether any zone registers for ever; every yes is played.
fn verdict(site: &System, held: bool) -> bool {
    let mut explorer = Explorer::new(site, Bounds::default());
    let first = site.contacts().next().unwrap().0;
    let mut any = false;
    for (zone, _) in site.zones() {
        let answer = if held { explorer.held_by(zone, first) } else { explorer.at_rest(zone) };
        match answer {
            Answer::Yes(endless) => {
                any = true;
                let until = endless.from + 7 * endless.period;
                let trace = play(site, &endless.story, Limits::until(until));
                let count = |from: i64| {
                    let within = |at: i64| at > from && at <= from + endless.period;
                    let mine = trace.events.iter().filter(|event| within(event.at));
                    mine.filter(|event| event.what == What::Registered { zone }).count() as u64
                };
                for number in 0..6 {
                    let from = endless.from + number * endless.period;
                    assert!(endless.registrations > 0);
                    assert_eq!(count(from), endless.registrations);
                }
            }
            Answer::No(_) => {}
            Answer::NotKnown { reason, .. } => panic!("not known: {reason:?}"),
        }
    }
    any
}

/// Rows that Spin and Z3 have judged just now, where `CURTILAGE_FRESH` names a folder
/// (tests/oracles/fresh_verdicts.py); without it the committed ones again.
#[test]
fn all_fresh_verdicts() {
    let fresh = std::env::var("CURTILAGE_FRESH").ok();
    let rows: Vec<Row> = match &fresh {
        None => ROWS.to_vec(),
        Some(folder) => {
            let text = std::fs::read_to_string(format!("{folder}/verdicts.json")).unwrap();
            let rows: Vec<serde_json::Value> = serde_json::from_str(&text).unwrap();
            rows.iter().map(row_of).collect()
        }
    };
    println!("{} verdicts, fresh: {}", 2 * rows.len(), fresh.is_some());
    assert!(rows.len() >= 10);
    check(&rows);
}

fn row_of(row: &serde_json::Value) -> Row {
    let number = |name: &str| row[name].as_i64().unwrap();
    let flag = |name: &str| row[name].as_bool().unwrap();
    let feedback = [No, Plain, Inverted][usize::try_from(number("feedback")).unwrap()];
    let contacts = usize::try_from(number("contacts")).unwrap();
    let (lockout, hold) = (number("lockout"), number("hold"));
    let (held, released) = (flag("held"), flag("released"));
    (contacts, lockout, hold, flag("sum"), flag("level"), feedback, held, released)
}

#[test]
fn all_spin_verdicts() {
    check(&ROWS);
}

fn check(rows: &[Row]) {
    let mut wrong = Vec::new();
    for &row in rows {
        for (held, want) in [(true, row.6), (false, row.7)] {
            if verdict(&site(row, 1), held) != want {
                wrong.push((row, held));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// The same with ticks of a minute: long timers cost nothing, the state counts stay small.
#[test]
fn long_timers_cost_nothing() {
    let row = ROWS[19];
    let count = |scale| {
        let site = site(row, scale);
        let mut explorer = Explorer::new(&site, Bounds::default());
        let zone = site.zones().next().unwrap().0;
        let answer = explorer.at_rest(zone);
        assert!(matches!(answer, Answer::No(Proof::Searched { .. })), "{answer:?}");
        explorer.states()
    };
    // The rough search rounds a little differently at each scale.
    for scale in [1_000, 60_000, 86_400_000] {
        assert!(count(scale) < 1_000, "{}", count(scale));
    }
}
