//! Parsing never fails, every place lies within the text, statements lie within each other, the
//! straight way reads what the grammar of record reads, and after an edit a text is read as afresh.

use crate::site::choice;
use curtilage_syntax::{Parsed, Statement, both_ways, parse, parse_again};
use curtilage_text::{Span, decode, odd_breaks};

/// Parses the bytes.
pub fn holds(data: &[u8]) {
    let decoded = decode(data.to_vec());
    let text = decoded.text.as_str();
    let parsed = parse(text, &decoded.faults);
    let mut last = 0;
    for fault in &parsed.faults {
        within(text, fault.span);
        assert!(last <= fault.span.start, "faults are told in order: {:?}", parsed.faults);
        last = fault.span.start;
    }
    let whole = Span::new(0, u32::try_from(text.len()).expect("short"));
    statements(text, parsed.statements(text), whole);
    if let Some((straight, recorded, faults)) = both_ways(text) {
        assert_eq!(straight, recorded, "the straight way reads something else");
        assert_eq!(faults, [], "the straight way takes what the grammar complains of");
    }
    edited(text, choice(data));
}

/// What people type, paste and delete.
const PIECES: &[&str] = &[
    "",
    "x",
    " ",
    "\n",
    "\r\n",
    "{",
    "}",
    "(",
    ")",
    ",",
    "\"",
    "#",
    "+-",
    "5 m",
    "é",
    "\u{2028}",
    "\nzone b is c {\n}\n",
    "use \"a.site\"\n",
    "} zone x is y {",
    ", \n",
    "\r",
    "1e3 V",
    "schedule s {",
];

/// Makes an edit that hangs on the bytes; what is read again is what is read afresh.
fn edited(text: &str, mut choice: u64) {
    let fresh = |text: &str| parse(text, &odd_breaks(text));
    let mut roll = |below: usize| {
        choice = choice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(choice >> 33).unwrap_or(0) % below
    };
    let (mut before, mut parsed): (String, Parsed) = (text.to_owned(), fresh(text));
    for _ in 0..3 {
        let mut after = before.clone();
        let (at, length) = (roll(after.len() + 1), [0, 0, 1, 5, 40][roll(5)]);
        let start = boundary(&after, at);
        let end = boundary(&after, at + length).max(start);
        after.replace_range(start..end, PIECES[roll(PIECES.len())]);
        let now = fresh(&after);
        if let Some(again) = parse_again(&before, &parsed, &after) {
            assert_eq!(format!("{again:?}"), format!("{now:?}"), "from {before:?}\nto {after:?}");
            assert_eq!(again.statements(&after), now.statements(&after));
        }
        (before, parsed) = (after, now);
    }
}

/// The last place at or before an offset where a letter begins or the text ends.
fn boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn statements(text: &str, list: &[Statement], outer: Span) {
    let mut from = outer.start;
    for statement in list {
        within(text, statement.span);
        assert!(from <= statement.span.start && statement.span.end <= outer.end, "{statement:?}");
        from = statement.span.end;
        for atom in &statement.atoms {
            within(text, atom.span);
            assert!(statement.span.start <= atom.span.start && atom.span.end <= from, "{atom:?}");
        }
        if let Some(block) = &statement.block {
            within(text, block.span);
            statements(text, &block.statements, block.span);
        }
    }
}

fn within(text: &str, span: Span) {
    let range = span.start as usize..span.end as usize;
    assert!(text.get(range).is_some(), "{span:?} is no place in the text");
}
