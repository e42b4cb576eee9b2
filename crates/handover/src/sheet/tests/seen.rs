//! What the tests and the walk say that is seen, held against what a rehearsal of the same shows.

use super::{response, says, tests, walked_expectations, zone};
use crate::testing::{site, with_text};

fn output(name: &str, relay: usize, more: &str) -> String {
    format!(
        "output {name} drives strobe-12v {{\n    through panel.relay{relay}\n    fed from main over 2 m of pair-1.5\n{more}}}\n"
    )
}

fn does(name: &str, causes: &str, effects: &str) -> String {
    format!("response {name} to {causes} {{\n{effects}}}\n")
}

#[test]
fn what_is_forced_stays_so() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            output("off", 1, "    mode forced off\n"),
            output("on", 2, "    mode forced on\n"),
            does("one", "door", "    close off for 1 min\n    close on for 1 min\n"),
        ]
        .concat(),
    );
    let seen = "off stays off: it is forced off; on stays on: it is forced on";
    says(&text, "door", "function", &[("activate it at any time", &format!("registers; {seen}"))]);
    says(&text, "one", "response", &[("set it off by door", seen)]);
    assert_eq!(walked_expectations(&text), [seen]);
}

#[test]
fn a_limit_that_is_built_in_ends_what_is_asked_for() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            output("lamp", 1, "    runs at most 30 s\n"),
            does("one", "door", "    close lamp for 1 min\n"),
        ]
        .concat(),
    );
    let wanted = ("activate it at any time", "registers; lamp on for 30 s");
    says(&text, "door", "function", &[wanted]);
    says(&text, "one", "response", &[("set it off by door", "lamp on for 30 s")]);
    assert_eq!(walked_expectations(&text), ["lamp on for 30 s"]);
}

#[test]
fn an_entry_time_stands_before_all_that_follows() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n    entry 20 s\n"),
            output("lamp", 1, ""),
            does("one", "door", "    after 10 s\n    close lamp for 1 min\n"),
            response("two", "door", ""),
        ]
        .concat(),
    );
    let wanted = "registers after 20 s; after 30 s: lamp on for 1 min; after 20 s: tell owner";
    says(&text, "door", "function", &[("activate it at any time", wanted)]);
    says(&text, "one", "response", &[("set it off by door", "after 30 s: lamp on for 1 min")]);
    assert_eq!(
        walked_expectations(&text),
        ["after 30 s: lamp on for 1 min; after 20 s: tell owner"]
    );
}

/// Zones on a recorder that makes the on-time of the lockout and then the hold.
fn recorder(more: &str) -> String {
    let zone = |name: &str, input: usize, lockout: &str| {
        format!(
            "zone {name} is window-reed {{\n    purpose intrusion\n    wired to box.in{input} over 8 m of six-core-0.22\n    input rests closed\n    armed always\n    lockout {lockout}\n}}\n"
        )
    };
    let output = |name: &str, relay: usize| {
        format!(
            "output {name} drives strobe-12v {{\n    through box.relay{relay}\n    fed from main over 2 m of pair-1.5\n}}\n"
        )
    };
    site(
        &[
            "controller box is recorder-4-in-2-out {\n    fed from main over 2 m of pair-1.0\n}\n"
                .to_owned(),
            zone("door", 1, "10 s"),
            zone("gate", 2, "4 s"),
            output("lamp", 1),
            output("other", 2),
            more.to_owned(),
        ]
        .concat(),
    )
}

#[test]
fn the_lockout_of_the_zone_that_comes_last_counts() {
    let text = recorder(
        &[
            does("one", "all of gate, door within 1 min", "    close lamp for 1 min\n"),
            does("two", "door", "    close other for 1 min\n"),
        ]
        .concat(),
    );
    let action = "all of gate, door, in this order, within 1 min";
    says(&text, "one", "response", &[(action, "lamp on for 1 min 10 s")]);
    assert_eq!(walked_expectations(&text), ["lamp on for 1 min 10 s; other on for 1 min 10 s"]);
}

#[test]
fn an_output_that_two_responses_drive_has_one_line() {
    let text = recorder(
        &[
            does("one", "door, gate", "    close lamp for 1 min\n"),
            does("two", "door", "    close lamp for 2 min\n"),
        ]
        .concat(),
    );
    let wanted = ("activate it at any time", "registers; lamp on for 2 min 10 s");
    says(&text, "door", "function", &[wanted]);
    // The gate shows this response alone.
    says(&text, "one", "response", &[("set it off by gate", "lamp on for 1 min 4 s")]);
    says(&text, "two", "response", &[("set it off by door", "lamp on for 2 min 10 s")]);
    assert_eq!(walked_expectations(&text), ["lamp on for 2 min 10 s"]);
}

#[test]
fn what_confirms_is_seen_as_well() {
    let text = recorder(&[
        "zone hatch is window-reed {\n    purpose intrusion\n    wired to box.in3 over 8 m of six-core-0.22\n    input rests closed\n    armed always\n    confirmed by door within 30 s\n}\n".to_owned(),
        does("one", "hatch", "    close lamp for 3 min\n"),
        does("two", "door", "    close lamp for 4 min\n"),
    ]
    .concat());
    let wanted =
        ("activate it at any time, within 30 s after door", "registers; lamp on for 4 min 10 s");
    says(&text, "hatch", "function", &[wanted]);
    says(
        &text,
        "one",
        "response",
        &[("set it off by hatch, after door", "lamp on for 4 min 10 s")],
    );
}

#[test]
fn a_zone_registers_when_what_confirms_it_counts() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n    entry 20 s\n"),
            zone("hatch", 2, "    armed always\n    confirmed by door within 1 min\n"),
            response("one", "hatch", ""),
        ]
        .concat(),
    );
    let wanted = (
        "activate it at any time, within 1 min after door",
        "registers after 20 s; after 20 s: tell owner",
    );
    says(&text, "hatch", "function", &[wanted]);
}

#[test]
fn the_hours_of_a_response_change_what_an_output_does() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            output("lamp", 1, ""),
            does("one", "door", "    close lamp for 1 min\n"),
            does("two", "door", "    during selling\n    close lamp for 2 min\n"),
            does("three", "door", "    during shut\n    tell owner\n"),
        ]
        .concat(),
    );
    let wanted = "registers; lamp on for 1 min; instead, during selling: lamp on for 2 min; only during shut: tell owner";
    says(&text, "door", "function", &[("activate it at any time", wanted)]);
    let wanted = ("set it off by door; it answers only during selling", "lamp on for 2 min");
    says(&text, "two", "response", &[wanted]);
}

#[test]
fn every_cause_that_nothing_else_shows_has_its_row() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n    tamper to panel.in2\n"),
            zone("gate", 3, "    armed always\n"),
            response("one", "door, gate, loss of main, tamper of door, end of selling", ""),
            response("two", "gate, door", ""),
        ]
        .concat(),
    );
    says(
        &text,
        "one",
        "response",
        &[
            ("set it off by door, or by another of its causes", "tell owner"),
            ("set it off by tamper of door (open the cover of door)", "tell owner"),
            ("set it off by end of selling", "tell owner"),
        ],
    );
    let wanted = [("set it off by gate, or by another of its causes", "tell owner")];
    says(&text, "two", "response", &wanted);
}

#[test]
fn a_loss_says_what_it_sets_off() {
    let lamp = output("lamp", 1, "");
    let text = site(&[lamp.clone(), does("one", "loss of main", "    close lamp\n")].concat());
    let action = "switch its mains off, wait a minute, switch it on again";
    let wanted = "what it feeds goes on; lamp on for good";
    says(&text, "main", "fault", &[(action, wanted)]);
    says(&site(&lamp), "main", "fault", &[(action, "what it feeds goes on")]);
}

#[test]
fn a_zone_that_others_need_is_no_hole() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n    confirmed by gate within 1 min\n"),
            zone("gate", 2, "    armed always\n"),
            zone("hatch", 3, "    armed always\n"),
            zone("shed", 4, "    armed always\n"),
            zone("lone", 5, "    armed always\n"),
            response("one", "door", ""),
            "response both to all of hatch, shed within 10 s {\n    tell owner\n}\n".to_owned(),
        ]
        .concat(),
    );
    let says = |name: &str, wanted: &str| {
        says(&text, name, "function", &[("activate it at any time", wanted)]);
    };
    says("gate", "registers; it only confirms door");
    says("hatch", "registers; answered only together with shed, within 10 s");
    says("lone", "(!) registers; nothing answers it");
    let notes = with_text(&text, |facts| crate::tables::matrix::table(facts).notes);
    let notes: Vec<String> = notes.into_iter().map(|note| note.text).collect();
    assert_eq!(notes, ["nothing answers lone"]);
}

#[test]
fn what_an_output_moves_is_tested_by_the_output() {
    let proof = zone("proof", 1, "    armed always\n    follows lamp\n    lockout 10 s\n");
    let more = [proof, response("one", "proof", "")].concat();
    let text = site(&[output("lamp", 1, ""), more.clone()].concat());
    says(&text, "proof", "function", &[("let lamp run", "registers; tell owner")]);
    says(&text, "one", "response", &[("set it off by proof (let lamp run)", "tell owner")]);
    says(&text, "proof", "limit", &[]);
    let text = site(&[output("lamp", 1, "    mode forced off\n"), more].concat());
    let wanted = "(!) it does not register: lamp is forced off";
    says(&text, "proof", "function", &[("let lamp run", wanted)]);
}

#[test]
fn a_confirmed_zone_is_tried_with_what_confirms_it() {
    let text = site(
        &[
            zone("door", 1, "    armed shut\n    lockout 10 s\n    repeats at most 1 per arming\n    entry 5 s\n    confirmed by gate within 1 min\n"),
            zone("gate", 2, "    armed shut\n"),
            response("one", "door", ""),
        ]
        .concat(),
    );
    says(
        &text,
        "door",
        "limit",
        &[
            (
                "disarm and arm again; then within 1 min after gate, activate it twice within 10 s",
                "registers once: it is deaf for 10 s",
            ),
            (
                "disarm and arm again; then activate it twice in one arming, each within 1 min after gate; disarm and arm again afterwards",
                "registers once at most",
            ),
            (
                "within 1 min after gate, come in by it while armed, and disarm within 5 s",
                "does not register, then or later",
            ),
            (
                "within 1 min after gate, come in by it while armed, and do not disarm",
                "registers after 5 s, and not before",
            ),
            ("activate it alone, gate not within 1 min", "does not register"),
        ],
    );
}

#[test]
fn a_sensor_is_not_asked_for_what_it_cannot_do() {
    let zone = |sensor: &str, lockout: &str| {
        site(&format!(
            "zone eye is {sensor} {{\n    purpose intrusion\n    wired to panel.in1 over 8 m of six-core-0.22\n    ends across 2.2 kohm +-1 %, in 2.2 kohm +-1 %\n    fed from main over 8 m of pair-0.75\n    armed always\n    settle 300 ms\n    lockout {lockout}\n}}\n"
        ))
    };
    let limits = |sensor: &str, lockout: &str| {
        let all = tests(&zone(sensor, lockout), "eye", "limit");
        all.into_iter().map(|(action, _)| action).collect::<Vec<_>>()
    };
    assert_eq!(limits("pir", "1 s"), Vec::<String>::new());
    assert_eq!(limits("pir", "10 s"), ["activate it twice within 10 s"]);
    assert_eq!(
        limits("window-reed", "1 s"),
        ["activate it twice within 1 s", "activate it for clearly less than 300 ms"]
    );
}

#[test]
fn a_sounder_that_is_forced_is_not_let_run_out() {
    let horn = |mode: &str| {
        let horn = output("horn", 1, mode).replace("strobe-12v", "horn-12v");
        let policy = "policy house {\n    sounder-run at most 15 min\n}\n".to_owned();
        site(&[horn, policy].concat())
    };
    let wanted = ("set it off and let it run out", "silent after at most 15 min");
    says(&horn(""), "horn", "limit", &[wanted]);
    says(&horn("    mode forced off\n"), "horn", "limit", &[]);
    says(&horn("    mode forced on\n"), "horn", "limit", &[]);
}

#[test]
fn what_moves_a_contact_shows_on_both_of_its_sides() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            output("lock", 1, "").replace("relay1\n", "relay1 opening\n"),
            output("lamp", 1, ""),
            does("one", "door", "    close lamp for 1 min\n"),
        ]
        .concat(),
    );
    let seen = "lamp on for 1 min; lock off for 1 min";
    says(&text, "door", "function", &[("activate it at any time", &format!("registers; {seen}"))]);
    says(&text, "one", "response", &[("set it off by door", seen)]);
    assert_eq!(walked_expectations(&text), [seen]);
}

#[test]
fn what_is_forced_moves_nothing_on_the_other_side_of_its_contact() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            output("lock", 1, "").replace("relay1\n", "relay1 opening\n"),
            output("lamp", 1, "    mode forced off\n"),
            does("one", "door", "    close lamp for 1 min\n"),
        ]
        .concat(),
    );
    says(&text, "one", "response", &[("set it off by door", "lamp stays off: it is forced off")]);
}

#[test]
fn a_zone_follows_what_the_other_side_of_its_contact_moves() {
    let text = site(
        &[
            zone("door", 1, "    armed always\n"),
            zone("proof", 2, "    armed always\n    follows lamp\n"),
            output("lock", 1, "").replace("relay1\n", "relay1 opening\n"),
            output("lamp", 1, ""),
            does("one", "door", "    open lock for 1 min\n"),
            response("two", "proof", ""),
        ]
        .concat(),
    );
    let wanted =
        ("activate it at any time", "registers; lock off for 1 min; lamp on for 1 min; tell owner");
    says(&text, "door", "function", &[wanted]);
}

#[test]
fn the_hours_in_which_a_zone_is_armed_are_not_said_again() {
    let text = site(
        &[
            zone("door", 1, "    armed shut\n"),
            output("lamp", 1, ""),
            does("one", "door", "    during shut\n    close lamp for 1 min\n"),
        ]
        .concat(),
    );
    let wanted = ("activate it while it is armed", "registers; lamp on for 1 min");
    says(&text, "door", "function", &[wanted]);
}
