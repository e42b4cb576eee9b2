//! The commissioning sheet and its walk, of small sites.

mod seen;

use super::{groups, walk};
use crate::testing::{site, with_text};

fn zone(name: &str, input: usize, more: &str) -> String {
    format!(
        "zone {name} is window-reed {{\n    purpose intrusion\n    wired to panel.in{input} over 8 m of six-core-0.22\n    ends in 2.2 kohm +-1 %, across 4.7 kohm +-1 %\n{more}}}\n"
    )
}

fn response(name: &str, causes: &str, during: &str) -> String {
    let during = if during.is_empty() { String::new() } else { format!("    during {during}\n") };
    format!("response {name} to {causes} {{\n{during}    tell owner\n}}\n")
}

/// The steps of the walk, each with what it sets off, then its notes.
fn walked(text: &str) -> (Vec<(String, String)>, Vec<String>) {
    with_text(text, |facts| {
        let table = walk::table(facts);
        let cell =
            |row: &[crate::Cell], at: usize| row.get(at).map_or("", |one| &one.text).to_owned();
        let rows = table.rows.iter().map(|row| (cell(row, 2), cell(row, 3))).collect();
        (rows, table.notes.iter().map(|note| note.text.clone()).collect())
    })
}

/// What the steps of the walk expect.
fn walked_expectations(text: &str) -> Vec<String> {
    with_text(text, |facts| {
        let rows = walk::table(facts).rows;
        rows.iter().filter_map(|row| row.get(4).map(|cell| cell.text.clone())).collect()
    })
}

/// What the tests of one thing and kind say: what to do, and what to expect or why nothing is.
fn tests(text: &str, thing: &str, kind: &str) -> Vec<(String, String)> {
    with_text(text, |facts| {
        let all = groups(facts).into_iter().flat_map(|group| group.tests);
        let own = all.filter(|test| test.thing == thing && test.kind == kind);
        let expect = |expect| match expect {
            Ok(text) => text,
            Err(why) => format!("(!) {why}"),
        };
        own.map(|test| (test.action, expect(test.expect))).collect()
    })
}

#[track_caller]
fn says(text: &str, thing: &str, kind: &str, wanted: &[(&str, &str)]) {
    let found = tests(text, thing, kind);
    let found: Vec<(&str, &str)> = found.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    assert_eq!(found, wanted);
}

#[test]
fn one_activation_does_not_set_off_what_answers_by_day_and_by_night() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            response("day", "door", "selling"),
            response("late", "door", ""),
            response("night", "door", "shut"),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    let wanted = [
        ("activate door, during selling", "day (only during selling), late"),
        ("activate door, during shut", "night (only during shut)"),
    ];
    assert_eq!(steps, wanted.map(|(action, sets)| (action.to_owned(), sets.to_owned())));
    assert_eq!(notes[0], "2 activations set off 3 of 3 responses");
    assert!(notes[1].starts_with("no walk needs fewer in an ordinary week"), "{notes:?}");
}

#[test]
fn what_no_hour_sets_off_is_not_on_the_walk() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            zone("gate", 2, "    armed never\n"),
            zone("hatch", 3, "    armed shut\n"),
            response("one", "door", ""),
            response("two", "gate", ""),
            response("three", "hatch", "selling"),
            response("four", "door", "never"),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    assert_eq!(steps, [("activate door".to_owned(), "one".to_owned())]);
    let unarmed = "what sets it off is not armed while it answers";
    assert_eq!(notes[0], "1 activation set off 1 of 4 responses");
    assert_eq!(
        notes[2..],
        [
            format!("nothing sets off two: {unarmed}"),
            format!("nothing sets off three: {unarmed}"),
            "nothing sets off four: it answers at no time".to_owned(),
        ]
    );
    says(
        &text,
        "three",
        "response",
        &[(
            "set it off by hatch; it answers only during selling",
            &format!("(!) nothing sets it off: {unarmed}"),
        )],
    );
    says(
        &text,
        "gate",
        "function",
        &[("activate it", "(!) it does not register: it is never armed")],
    );
}

#[test]
fn what_answers_on_dates_alone_is_not_said_to_be_impossible() {
    let text = site(
        &[
            "schedule fair {\n    also 2027-05-01 09:00 to 18:00\n}\n".to_owned(),
            zone("door", 1, "    armed always\n"),
            response("one", "door", "fair"),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    assert_eq!(steps, []);
    assert!(notes[2].starts_with("nothing sets off one in an ordinary week"), "{notes:?}");
    says(
        &text,
        "one",
        "response",
        &[("set it off by door; it answers only during fair", "tell owner")],
    );
}

#[test]
fn what_confirms_has_to_be_armed_too() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n    confirmed by gate within 1 min\n"),
            zone("gate", 2, "    armed shut\n"),
            response("one", "door", ""),
            response("two", "door", "selling"),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    let action = "activate door, and activate gate, within 1 min, during shut";
    assert_eq!(steps[0], (action.to_owned(), "one".to_owned()));
    // At the end of the hours the second may confirm the first.
    let action = "activate door, and activate gate, within 1 min, during shut and selling";
    assert_eq!(steps[1], (action.to_owned(), "two (only during selling)".to_owned()));
    assert_eq!(notes[0], "4 activations set off 2 of 2 responses");
    assert_eq!(notes[1], "fewer may do, where hours change between two activations");
}

#[test]
fn a_schedule_counts_as_it_begins_and_not_as_it_ends() {
    let text = site(
        &[
            response("opens", "start of selling", "selling"),
            response("closes", "end of selling", "selling"),
            response("shuts", "end of selling", "shut"),
            response("odd", "start of selling", "shut"),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    let wanted = [
        ("wait for selling to begin, during selling", "opens (only during selling)"),
        ("wait for selling to end, during shut", "shuts (only during shut)"),
    ];
    assert_eq!(steps, wanted.map(|(action, sets)| (action.to_owned(), sets.to_owned())));
    let why = "what sets it off does not happen while it answers";
    let wanted = ["closes", "odd"].map(|name| format!("nothing sets off {name}: {why}"));
    assert_eq!(notes[2..], wanted);
}

#[test]
fn several_causes_may_lie_on_both_sides_of_an_end_of_hours() {
    let text = site(
        &[
            zone("door", 1, "    armed selling\n"),
            zone("gate", 2, "    armed shut\n"),
            "response both to all of door, gate within 10 s {\n    tell owner\n}\n".to_owned(),
        ]
        .concat(),
    );
    let (steps, notes) = walked(&text);
    let action = "activate door, and activate gate, within 10 s, during selling and shut";
    assert_eq!(steps, [(action.to_owned(), "both".to_owned())]);
    assert_eq!(notes[0], "2 activations set off 1 of 1 response");
}

#[test]
fn a_camera_is_turned_to_a_preset() {
    let text = site(&[
        "controller head is recorder-4-in-2-out {\n    fed from main over 2 m of pair-1.0\n}\n",
        "camera dome is camera-turning on head.channel1 {\n    preset gate\n    preset yard\n}\n",
        &zone("door", 1, "    armed always\n"),
        "response one to door {\n    move dome to yard\n}\n",
    ]
    .concat());
    says(&text, "one", "response", &[("set it off by door", "move dome to yard")]);
}

#[test]
fn a_tamper_contact_with_an_input_of_its_own_has_a_test() {
    let text = site(&zone("door", 1, "    tamper to panel.in2\n    armed always\n"));
    says(
        &text,
        "door, tamper contact",
        "fault",
        &[("open its cover, and close it again", "panel.in2 tells tamper, until it is closed")],
    );
}

/// A listener behind a recorder whose inputs tell two states.
fn listener(more: &str) -> String {
    let recorder =
        "controller head is recorder-16-in-4-out {\n    fed from main over 2 m of pair-1.0\n}\n";
    let zone = "zone glass is glass-listener {\n    purpose intrusion\n    wired to head.in1 over 8 m of six-core-0.22\n    fed from main over 8 m of pair-0.75\n    armed always\n";
    format!("{recorder}{zone}{more}}}\n")
}

#[test]
fn a_tampering_that_no_input_tells_is_not_on_the_walk() {
    let named = response("meddling", "tamper of glass", "");
    let (steps, notes) = walked(&site(&[&listener(""), named.as_str()].concat()));
    assert!(steps.is_empty(), "{steps:?}");
    let wanted = "nothing sets off meddling: no input tells the tampering that it waits for";
    assert!(notes.iter().any(|note| note == wanted), "{notes:?}");
    let text =
        site(&[&listener(""), response("both", "tamper of glass, glass", "").as_str()].concat());
    says(&text, "both", "response", &[("set it off by glass", "tell owner")]);
}

#[test]
fn a_tampering_is_tried_by_what_the_input_tells() {
    let named = response("meddling", "tamper of glass", "");
    let own = listener("    tamper to head.in2 over 8 m of six-core-0.22\n");
    let (steps, _) = walked(&site(&[own.as_str(), &named].concat()));
    assert_eq!(steps, [("open the cover of glass".to_owned(), "meddling".to_owned())]);
    let wires = zone("door", 1, "    armed always\n");
    let named = response("meddling", "tamper of door", "");
    let (steps, _) = walked(&site(&[wires, named].concat()));
    assert_eq!(steps, [("take a wire of door off its terminal".to_owned(), "meddling".to_owned())]);
}

#[test]
fn an_entry_time_is_two_tests() {
    let text = site(&zone("door", 1, "    armed shut\n    entry 20 s\n"));
    says(
        &text,
        "door",
        "limit",
        &[
            ("come in by it while armed, and disarm within 20 s", "no alarm, then or later"),
            (
                "come in by it while armed, and do not disarm",
                "no alarm within 20 s; an alarm after it",
            ),
        ],
    );
}

#[test]
fn a_full_battery_is_asked_for_where_there_is_one() {
    let without = site("supply bell is boxed-supply-12v-5a {\n}\n");
    let action = |name: &str| tests(&without, name, "voltage").swap_remove(0).0;
    assert_eq!(action("bell"), "on mains; measure volts at its output");
    assert_eq!(action("main"), "on mains, battery full; measure volts at its output");
}

#[test]
fn a_window_of_the_sheet_allows_for_the_meter() {
    let text = site(&zone("door", 1, "    armed always\n"));
    let expect = tests(&text, "door, at rest", "loop").swap_remove(0).1;
    // 1 % and half an ohm beyond 1.484 kohm to 1.515 kohm.
    assert!(expect.starts_with("1.5 kohm, within 1.469 kohm to 1.53 kohm"), "{expect}");
}

/// What a test calls within is within for the judgement too, to the last digit that is printed.
#[test]
fn both_ends_of_a_window_of_the_sheet_are_taken() {
    use curtilage_facts::{Interval, metered};
    use curtilage_units::Dimension::{Resistance, Voltage};
    for (low, high) in [(4.9, 5.1), (11.4, 12.6), (9.855, 13.69), (0.0, 3.251)] {
        let (allowed, shown) = (Interval::new(low, high).unwrap(), Voltage);
        let text = crate::words::window(allowed, shown);
        let ends: Vec<f64> =
            text.split(" to ").map(|end| end.trim_end_matches(" V").parse().unwrap()).collect();
        let metered = metered(allowed, shown);
        assert!(metered.lo() <= ends[0] && ends[1] <= metered.hi(), "{text} {metered:?}");
    }
    let ohms = crate::words::window(Interval::new(4653.0, 4749.0).unwrap(), Resistance);
    assert_eq!(ohms, "4.607 kohm to 4.797 kohm");
}
