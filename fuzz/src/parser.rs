//! Parsing never fails, every place lies within the text, statements lie within each other, and
//! the straight way reads what the grammar of record reads.

use curtilage_syntax::{Statement, both_ways, parse};
use curtilage_text::{Span, decode};

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
    statements(text, &parsed.statements, whole);
    if let Some((straight, recorded, faults)) = both_ways(text) {
        assert_eq!(straight, recorded, "the straight way reads something else");
        assert_eq!(faults, [], "the straight way takes what the grammar complains of");
    }
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
