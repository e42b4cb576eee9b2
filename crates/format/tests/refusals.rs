//! What is refused or mended, beyond the cases that a page can show.

#![allow(clippy::unwrap_used, reason = "a test of texts that it writes itself")]

use curtilage_format::{FormatError, format, format_parsed};
use curtilage_syntax::{FaultKind, parse};
use curtilage_text::decode;

#[test]
fn blocks_nested_too_deep_are_refused() {
    let source = "a {\n".repeat(70) + &"}\n".repeat(70);
    let Err(FormatError::HasFaults(faults)) = format(&source) else { panic!("was formatted") };
    assert!(faults.iter().any(|fault| fault.kind == FaultKind::TooDeep));
}

#[test]
fn bytes_that_are_not_utf8_are_refused_even_in_a_comment() {
    let decoded = decode(b"# caf\xe9\nuse \"a.site\"\n".to_vec());
    let parsed = parse(&decoded.text, &decoded.faults);
    let refused = format_parsed(&decoded.text, &parsed);
    assert!(matches!(refused, Err(FormatError::HasFaults(faults)) if faults.len() == 1));
}

#[test]
fn a_byte_order_mark_and_lone_carriage_returns_are_mended() {
    let source = "\u{feff}use  \"a.site\"\ruse \"b.site\"";
    let mended = Ok("use \"a.site\"\nuse \"b.site\"\n");
    assert_eq!(format(source).as_deref(), mended);
    let decoded = decode(source.as_bytes().to_vec());
    let parsed = parse(&decoded.text, &decoded.faults);
    assert_eq!(format_parsed(&decoded.text, &parsed).as_deref(), mended);
}

/// An item in a block that was not closed is one wherever its brace stands, so that what is told of it is the
/// missing brace and not that formatting would change it.
#[test]
fn an_item_in_an_open_block_is_one_with_its_brace_on_the_next_line() {
    for brace in [" {", "\n{", "  # the brace follows\n\n    {"] {
        let source = format!("part box is controller {{\nrelay k1{brace}\n}}\n}}\n");
        let Err(FormatError::HasFaults(faults)) = format(&source) else { panic!("{source}") };
        let kinds: Vec<_> = faults.into_iter().map(|fault| fault.kind).collect();
        assert!(
            matches!(kinds[..], [FaultKind::MissingBrace { .. }, FaultKind::StrayBrace]),
            "{kinds:?}"
        );
    }
}

#[test]
fn a_refusal_says_why() {
    let one = format("}").unwrap_err().to_string();
    assert_eq!(one, "a syntax fault must be mended before the file can be formatted");
    let two = format("}\n}").unwrap_err().to_string();
    assert_eq!(two, "2 syntax faults must be mended before the file can be formatted");
    let change = FormatError::WouldChange.to_string();
    assert_eq!(change, "formatting would change what the file says, so it is left as it is");
}

#[test]
fn a_long_file_is_formatted_in_one_walk() {
    let zone = "zone a is door-reed { # b\n lockout 5s\n wired to head.in1,\n x\n}\n";
    let source = zone.repeat(5_000);
    let text = format(&source).unwrap();
    assert_eq!(text.lines().count(), 5_000 * 6 - 1);
}
