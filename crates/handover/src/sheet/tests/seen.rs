//! What the tests and the walk say that is seen, held against what a rehearsal of the same shows.

use super::{response, says, site, walked_expectations, zone};

fn output(name: &str, relay: usize, more: &str) -> String {
    format!(
        "output {name} drives floodlight-12v {{\n    through panel.relay{relay}\n    fed from main over 2 m of pair-1.5\n{more}}}\n"
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
            "output {name} drives floodlight-12v {{\n    through box.relay{relay}\n    fed from main over 2 m of pair-1.5\n}}\n"
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
