//! Every snippet, with its examples and with each of its choices, is text that parses.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests"
)]

mod support;

use curtilage_ide::{self as ide, Completion, CompletionKind, View};
use curtilage_syntax::parse;
use support::Case;

/// The texts that a snippet can become, as LSP 3.17 reads it ("Snippet Syntax"): each choice once,
/// the first of the others.
fn expanded(snippet: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut rest = snippet.chars().peekable();
    while let Some(character) = rest.next() {
        let choices = match character {
            '\\' => vec![rest.next().unwrap().to_string()],
            '$' if rest.next_if_eq(&'0').is_some() => continue,
            '$' => {
                assert_eq!(rest.next(), Some('{'), "{snippet}");
                while rest.next_if(char::is_ascii_digit).is_some() {}
                let choice = rest.next() == Some('|');
                let mut list = vec![String::new()];
                loop {
                    match rest.next().unwrap() {
                        '\\' => list.last_mut().unwrap().push(rest.next().unwrap()),
                        '|' if choice => assert_eq!(rest.next(), Some('}'), "{snippet}"),
                        '}' if !choice => {}
                        ',' if choice => {
                            list.push(String::new());
                            continue;
                        }
                        other => {
                            list.last_mut().unwrap().push(other);
                            continue;
                        }
                    }
                    break;
                }
                list
            }
            other => vec![other.to_string()],
        };
        let mut next = Vec::new();
        for (index, choice) in choices.iter().enumerate() {
            let heads = if index == 0 { out.as_slice() } else { &out[..1] };
            next.extend(heads.iter().map(|head| format!("{head}{choice}")));
        }
        out = next;
    }
    out
}

/// The texts that a client can make of a completion; the first is that of a client without stops.
fn texts(item: &Completion) -> Vec<String> {
    let mut out = vec![item.insert.plain().to_owned()];
    let stops = expanded(item.insert.with_stops().unwrap());
    assert_eq!(out[0], stops[0], "both ways are one text");
    out.extend(stops);
    out
}

#[track_caller]
fn parses(text: &str) {
    let faults = parse(text, &[]).faults;
    assert!(faults.is_empty(), "{text}\n{faults:#?}");
}

#[test]
fn whole_things_parse() {
    for info in ["base", ""] {
        let case = Case::new(info, "$0\n");
        case.with(|facts, _| {
            let list = ide::complete(View::new(facts, case.file), 0);
            let lessons = list.iter().filter(|item| item.kind == CompletionKind::Snippet);
            let mut seen = 0;
            for lesson in lessons {
                seen += 1;
                texts(lesson).iter().for_each(|text| parses(text));
            }
            assert!(seen > 14, "{seen} lessons");
        });
    }
}

/// One of each kind of block.
const BLOCKS: [&str; 22] = [
    "site other {\n    $0\n}",
    "schedule other {\n    $0\n}",
    "part other is sensor {\n    $0\n}",
    "part other is controller {\n    $0\n}",
    "part other is supply {\n    $0\n}",
    "part other is battery {\n    $0\n}",
    "part other is load {\n    $0\n}",
    "part other is relay {\n    $0\n}",
    "part other is cable {\n    $0\n}",
    "part other is camera {\n    $0\n}",
    "part other is store {\n    $0\n}",
    "supply other is boxed-supply-12v-5a {\n    $0\n}",
    "controller other is recorder-4-in-2-out {\n    $0\n}",
    "relay other is relay-12v-16a {\n    $0\n}",
    "cable other is pair-1.0 {\n    $0\n}",
    "zone other is door-reed {\n    $0\n}",
    "output other drives horn-12v {\n    $0\n}",
    "camera other on head.channel2 {\n    $0\n}",
    "recording head {\n    $0\n}",
    "response to mill-door {\n    $0\n}",
    "rehearsal \"other\" {\n    $0\n}",
    "policy other {\n    $0\n}",
];

#[test]
fn statements_parse() {
    let mut seen = 0;
    for block in BLOCKS {
        let case = Case::new("base", block);
        case.with(|facts, _| {
            let list = ide::complete(View::new(facts, case.file), case.cursor());
            let statements = list.iter().filter(|item| item.kind == CompletionKind::Statement);
            for statement in statements {
                seen += 1;
                for line in texts(statement) {
                    parses(&block.replace("$0", &line));
                }
            }
        });
    }
    assert!(seen > 100, "{seen} statements");
}
