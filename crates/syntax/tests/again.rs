//! A text that is read again after an edit is read as a fresh one: tokens, items, places, faults.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "a test"
)]

use curtilage_syntax::{Parsed, parse, parse_again};
use curtilage_text::{decode, odd_breaks};
use proptest::prelude::*;
use std::path::Path;

fn sites(folder: &Path, out: &mut Vec<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sites(&path, out);
        } else if path.extension().is_some_and(|ending| ending == "site") {
            out.push(decode(std::fs::read(path).unwrap()).text);
        }
    }
}

fn examples() -> Vec<String> {
    let mut out = Vec::new();
    sites(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples"), &mut out);
    out.sort();
    out
}

fn fresh(text: &str) -> Parsed {
    parse(text, &odd_breaks(text))
}

/// What one types, pastes or deletes.
const PIECES: &[&str] = &[
    "",
    "",
    "x",
    " ",
    "\n",
    "\r",
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
    "\u{2028}",
    "é",
    "§",
    "zone",
    "\nzone b is c {\n}\n",
    "schedule s {\n}\n",
    "\nuse \"a.site\"\n",
    "lockout 5 s\n",
    "site s { }",
    ", \n",
    "} zone x is y {",
    "\n\n\n",
];

/// Makes an edit; what is at `at` and of `length`, moved to where letters begin.
fn edit(text: &mut String, at: usize, length: usize, piece: &str) {
    let boundary = |text: &str, mut at: usize| {
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = boundary(text, at % (text.len() + 1));
    let end = boundary(text, (start + length).min(text.len())).max(start);
    text.replace_range(start..end, piece);
}

/// How many of some edits, one after the other, were read without the whole text.
fn follow(mut text: String, edits: &[(usize, usize, usize)]) -> usize {
    let (mut before, mut parsed, mut taken) = (text.clone(), fresh(&text), 0);
    for (at, length, piece) in edits {
        edit(&mut text, *at, *length, PIECES[piece % PIECES.len()]);
        let now = fresh(&text);
        if let Some(again) = parse_again(&before, &parsed, &text) {
            assert_eq!(format!("{again:?}"), format!("{now:?}"), "from {before:?}\nto {text:?}");
            assert_eq!(again.tokens(&text), now.tokens(&text));
            let at = u32::try_from(*at % (text.len() + 1)).unwrap();
            let one = again.statement_before(&text, at).cloned();
            assert_eq!(again.statements(&text), now.statements(&text));
            assert_eq!(one.as_ref(), now.statement_before(&text, at), "{text:?}");
            (parsed, taken) = (again, taken + 1);
        } else {
            parsed = now;
        }
        before.clone_from(&text);
    }
    taken
}

#[test]
fn edits_of_the_examples_are_followed() {
    let (mut random, mut taken, mut all) = (5_u64, 0, 0);
    let mut next = || {
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(random >> 33).unwrap()
    };
    for text in examples() {
        // Edits of one place are what one does; some go far.
        for _ in 0..4 {
            let place = next();
            let edits: Vec<_> = (0..6)
                .map(|_| {
                    let far = next() % 5 == 0;
                    let at = if far { next() } else { place + next() % 8 };
                    (at, if next() % 3 == 0 { next() % 30 } else { next() % 2 }, next())
                })
                .collect();
            taken += follow(text.clone(), &edits);
            all += edits.len();
        }
    }
    assert!(taken * 3 > all, "only {taken} of {all} edits were followed");
}

#[test]
fn a_letter_typed_and_deleted_is_followed_everywhere() {
    let text = &examples()[3];
    let parsed = fresh(text);
    for at in (0..text.len()).step_by(7).filter(|at| text.is_char_boundary(*at)) {
        let mut typed = text.clone();
        typed.insert(at, 'x');
        let Some(again) = parse_again(text, &parsed, &typed) else { continue };
        assert_eq!(format!("{again:?}"), format!("{:?}", fresh(&typed)), "{typed}");
        let back = parse_again(&typed, &again, text).unwrap();
        assert_eq!(format!("{back:?}"), format!("{parsed:?}"));
    }
}

/// What an edit leaves open goes on in the next item, so all is read.
#[test]
fn what_is_left_open_is_not_followed() {
    let text = "schedule a {\n    Mon 08:00 to 09:00\n}\nuse \"b.site\"\nuse \"c.site\"\n";
    let parsed = fresh(text);
    let with = |from: &str, to: &str| parse_again(text, &parsed, &text.replace(from, to));
    assert!(with("09:00", "10:00").is_some());
    assert!(with("}\n", "\n").is_none(), "a block");
    assert!(with("\"b.site\"\n", "\"b.site\",\n").is_none(), "a comma");
    assert!(with("\"b.site\"\n", "(\"b.site\", \n").is_none(), "a comma in a group");
    assert!(with("09:00\n", "09:00 }\n").is_none(), "a brace too many");
}

/// What a line leaves open is told on that line, however the lines around it change.
#[test]
fn what_an_item_lacks_is_told_at_its_own_end() {
    let text = "schedule a(is b\nschedule c $ is d\n  schedule e(is f # g\n\tschedule h $ is i\n";
    for (from, to) in [
        ("is b", "is bb"),
        ("$ is d", "is d"),
        ("is d", "$ is d"),
        ("is f", "is ff"),
        ("$ is i", "is i"),
        ("is i", "is ii"),
    ] {
        let typed = text.replace(from, to);
        let again = parse_again(text, &fresh(text), &typed).expect("items are whole");
        assert_eq!(format!("{again:?}"), format!("{:?}", fresh(&typed)), "{typed}");
        let back = parse_again(&typed, &again, text).expect("items are whole");
        assert_eq!(format!("{back:?}"), format!("{:?}", fresh(text)), "{text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_edits_are_followed(
        lines in proptest::collection::vec(
            prop_oneof![
                Just("zone a is b {"), Just("    area c"), Just("}"), Just(""), Just("# note"),
                Just("use \"p.site\""), Just("} use \"q.site\""), Just("{"), Just("relay r is s {"),
                Just("odd word"), Just("allow x until 2026-01-01 because \"y\""), Just("  , "), Just("\r"),
                Just("schedule s(is t"), Just("  zone u $ is \"v {"), Just("site w { }"), Just("\t$ ( # x"),
            ],
            0..14,
        ),
        edits in proptest::collection::vec((0..400_usize, 0..12_usize, 0..100_usize), 1..6),
    ) {
        follow(lines.join("\n"), &edits);
    }
}
