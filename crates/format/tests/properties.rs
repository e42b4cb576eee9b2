//! Texts at random: formatting ends, never panics, and keeps what a text says.

mod says;

use curtilage_format::{FormatError, format};
use proptest::prelude::*;
use says::{says, well_formed};

/// Words and signs of the language, and some that are wrong.
const SOUP: &[&str] = &[
    "zone",
    "part",
    "site",
    "schedule",
    "rehearsal",
    "measured",
    "policy",
    "response",
    "recording",
    "relay",
    "camera",
    "use",
    "is",
    "to",
    "over",
    "of",
    "lockout",
    "purpose",
    "wired",
    "ends",
    "expect",
    "except",
    "also",
    "registers",
    "confirmed",
    "sensor",
    "Mon",
    "head.in1",
    "door-reed",
    "dock-door",
    "\"The title\"",
    "\"a # b\"",
    "18",
    "-5",
    "2.2",
    "1e3",
    "m",
    "kohm",
    "s",
    "min",
    "%",
    "mm²",
    "°C",
    "Ω",
    "µF",
    "+-",
    "±",
    "+/-",
    "2026-12-25",
    "12-25",
    "07:30",
    "10:00:00.200",
    ",",
    ",",
    "(",
    ")",
    "{",
    "}",
    "{",
    "}",
    "\n",
    "\n",
    "\n",
    "\r\n",
    "\r",
    " ",
    "  ",
    "\t",
    "\u{a0}",
    "# a comment\n",
    "#\n",
    "# { \"\n",
    "=",
    "\"open",
    "é",
    "\u{2028}",
];

/// Words that begin no item, and values.
const ATOMS: &[&str] = &[
    "lockout",
    "is",
    "sensor",
    "expect",
    "except",
    "Mon",
    "head.in1",
    "\"A # {\"",
    "18",
    "-5",
    "m",
    "kohm",
    "%",
    "mm²",
    "+-",
    "±",
    "2026-12-25",
    "12-25",
    "07:30",
];

const HEADS: &[&str] = &[
    "zone",
    "part",
    "site",
    "schedule",
    "rehearsal",
    "measured",
    "policy",
    "response",
    "cable",
    "camera",
    "unknown",
    "\"text\"",
    "12",
];

/// What may stand between two tokens of a line.
const BLANKS: &[&str] = &[" ", "  ", "\t", " \t ", "\u{a0}"];

/// What may stand between two statements, before braces and after commas.
const GAPS: &[&str] =
    &["\n", "\r\n", "\r", "\n\n", " \n \n\n", " # end\n", "\n  # own\n", "# a\n# b\n\n# c\n\t"];

fn pick(list: &'static [&'static str]) -> impl Strategy<Value = String> {
    proptest::sample::select(list).prop_map(str::to_owned)
}

/// Values of a line; a comma may end a physical line.
fn line() -> impl Strategy<Value = String> {
    let comma = (pick(BLANKS), prop_oneof![pick(BLANKS), pick(GAPS)], pick(ATOMS))
        .prop_map(|(before, after, atom)| format!("{before},{after}{atom}"));
    let group = (pick(BLANKS), pick(ATOMS), pick(ATOMS), pick(BLANKS))
        .prop_map(|(a, one, two, b)| format!("{a}({a}{one} {two}{b})"));
    let plain = (pick(BLANKS), pick(ATOMS)).prop_map(|(blank, atom)| blank + &atom);
    let rest = prop_oneof![4 => plain, 1 => comma, 1 => group];
    (pick(ATOMS), prop::collection::vec(rest, 0..6))
        .prop_map(|(first, rest)| first + &rest.concat())
}

/// A block with its braces; `inner` are its statements with the gaps after them.
fn block(inner: impl Strategy<Value = String>) -> impl Strategy<Value = String> {
    let gap = || prop_oneof![pick(BLANKS), pick(GAPS)];
    let inner = prop::collection::vec((inner, pick(GAPS)), 0..5);
    (gap(), gap(), inner).prop_map(|(before, after, inner)| {
        let inner: String = inner.into_iter().map(|(text, gap)| text + &gap).collect();
        format!("{before}{{{after}{inner}}}")
    })
}

/// A file whose braces are in order, whatever its words mean.
fn file() -> impl Strategy<Value = String> {
    let inner = (line(), prop::option::weighted(0.1, block(line())))
        .prop_map(|(line, block)| line + &block.unwrap_or_default());
    let item = (pick(HEADS), pick(BLANKS), line(), prop::option::of(block(inner)))
        .prop_map(|(head, blank, line, block)| head + &blank + &line + &block.unwrap_or_default());
    let start = prop_oneof![Just(String::new()), pick(GAPS)];
    let items = prop::collection::vec((item, pick(GAPS)), 0..5);
    (start, items).prop_map(|(start, items)| {
        items.into_iter().fold(start, |text, (item, gap)| text + &item + &gap)
    })
}

#[track_caller]
fn keeps(source: &str, text: &str) {
    assert_eq!(says(text), says(source));
    well_formed(text);
    assert_eq!(format(text).as_deref(), Ok(text), "a second time");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_soup_of_tokens_is_kept_or_refused(
        pieces in prop::collection::vec((pick(SOUP), prop::bool::weighted(0.7)), 0..40),
    ) {
        let soup: String =
            pieces.into_iter().map(|(text, blank)| text + if blank { " " } else { "" }).collect();
        if let Ok(text) = format(&soup) {
            keeps(&soup, &text);
        }
    }

    #[test]
    fn any_text_is_kept_or_refused(source in "\\PC*|(.|\\n)*") {
        if let Ok(text) = format(&source) {
            keeps(source.trim_start_matches('\u{feff}'), &text);
        }
    }

    #[test]
    fn a_file_in_order_is_always_formatted(source in file()) {
        match format(&source) {
            Ok(text) => keeps(&source, &text),
            Err(FormatError::HasFaults(faults)) => panic!("{faults:?} in {source:?}"),
            Err(FormatError::WouldChange) => panic!("would change {source:?}"),
        }
    }
}
