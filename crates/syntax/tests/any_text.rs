//! Whatever the bytes, reading ends, the tokens are the text, and every place lies within it.

#![allow(clippy::unwrap_used, reason = "a test")]

use curtilage_syntax::{Statement, parse};
use curtilage_text::decode;
use proptest::prelude::*;

/// Pieces of the language in any order: more telling than random letters.
fn soup() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "zone",
        "site",
        "part",
        "is",
        "sensor",
        "{",
        "}",
        "\n",
        "\n",
        " ",
        "  ",
        "# words\n",
        ",",
        "(",
        ")",
        "wired",
        "to",
        "head.in1",
        "over",
        "18 m",
        "18m",
        "of",
        "six-core-0.22",
        "ends",
        "in",
        "across",
        "2.2 kohm",
        "+-",
        "1 %",
        "±",
        "Ω",
        "armed",
        "always",
        "Mon",
        "Fri",
        "07:30",
        "24:00",
        "99:99",
        "2026-12-25",
        "2026-02-30",
        "12-25",
        "every",
        "except",
        "holidays",
        "\"title\"",
        "\"open",
        "response",
        "close",
        "for",
        "3 min",
        "1 h 30 min",
        "-5",
        "to",
        "40 degC",
        "schedule",
        "plus",
        "not",
        "\r\n",
        "\r",
        "\u{2028}",
        "é",
        "1e999 V",
        "relay",
        "relay1 changeover",
        "1 A at 30 V dc",
        "use",
        "allow",
        "until",
        "because",
    ]);
    prop::collection::vec(piece, 0..80).prop_map(|pieces| pieces.join(" "))
}

fn inside(statement: &Statement, length: u32) {
    assert!(statement.span.end <= length);
    for atom in &statement.atoms {
        assert!(statement.span.start <= atom.span.start && atom.span.end <= statement.span.end);
    }
    for inner in statement.block.iter().flat_map(|block| &block.statements) {
        assert!(statement.span.start < inner.span.start && inner.span.end <= statement.span.end);
        inside(inner, length);
    }
}

fn holds(bytes: Vec<u8>) {
    let length = u32::try_from(bytes.len()).unwrap();
    let decoded = decode(bytes);
    let parsed = parse(&decoded.text, &decoded.faults);
    let tokens = parsed.tokens(&decoded.text);
    let whole: String = (0u32..)
        .zip(tokens.list())
        .map(|(index, _)| tokens.span(index).of(&decoded.text))
        .collect();
    assert_eq!(whole, decoded.text, "the tokens are the text");
    for fault in &parsed.faults {
        assert!(fault.span.end <= length, "{fault:?} lies outside");
    }
    for statement in parsed.statements(&decoded.text) {
        inside(statement, length);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_soup_of_words_can_be_read(text in soup()) {
        holds(text.into_bytes());
    }

    #[test]
    fn any_bytes_can_be_read(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        holds(bytes);
    }

    /// A fault in one statement never reaches the next item.
    #[test]
    fn a_fault_stays_in_its_item(text in soup()) {
        let broken = format!("zone a is b {{\n    {}\n}}\n", text.replace(['{', '}', '"'], " "));
        let whole = format!("{broken}\nzone last is door-reed {{\n    purpose  panic\n}}\n");
        let parsed = parse(&whole, &[]);
        let start = u32::try_from(broken.len()).unwrap();
        let late: Vec<_> = parsed.faults.iter().filter(|fault| fault.span.start > start).collect();
        prop_assert!(late.is_empty(), "{late:?}");
    }
}

/// Deep nesting, long chains and long lists end, and quickly enough for a test.
#[test]
fn extremes_end() {
    for text in [
        "{".repeat(100_000),
        "(".repeat(100_000),
        "zone a is b {\n ends ".to_owned() + &"(".repeat(5_000) + &")".repeat(5_000),
        "a {\n".repeat(50_000),
        "zone a is b {\n".repeat(50_000),
        format!("schedule a is {}", "b plus ".repeat(50_000)),
        format!("schedule a is {}b", "not ".repeat(50_000)),
        "response to ".to_owned() + &"a,\n".repeat(50_000),
        "\"".repeat(10_000),
        "-".repeat(10_000),
    ] {
        holds(text.into_bytes());
    }
}
