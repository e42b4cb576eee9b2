//! Every snippet, with its examples and with each of its choices, is text that parses.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests"
)]

mod support;

use curtilage_ide::{self as ide, CompletionKind, View};
use curtilage_syntax::parse;
use support::Case;

/// The texts that a snippet can become: each choice once, the first of the others.
fn expanded(snippet: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut rest = snippet;
    while let Some((before, after)) = rest.split_once("${") {
        let (inside, behind) = after.split_once('}').unwrap();
        let choices: Vec<&str> = match inside.split_once('|') {
            Some((_, choices)) => choices.trim_end_matches('|').split(',').collect(),
            None => vec![inside.split_once(':').unwrap().1],
        };
        let mut next = Vec::new();
        for (index, choice) in choices.iter().enumerate() {
            let heads = if index == 0 { out.as_slice() } else { &out[..1] };
            next.extend(heads.iter().map(|head| format!("{head}{before}{choice}")));
        }
        out = next;
        rest = behind;
    }
    out.into_iter().map(|head| format!("{head}{rest}").replace("$0", "")).collect()
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
                expanded(&lesson.insert).iter().for_each(|text| parses(text));
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
                for line in expanded(&statement.insert) {
                    parses(&block.replace("$0", &line));
                }
            }
        });
    }
    assert!(seen > 100, "{seen} statements");
}
