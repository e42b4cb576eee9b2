//! The tokens are the text, byte for byte, and those of the rules; every offset is a place and back.

use curtilage_syntax::Tokens;
use curtilage_text::{LineIndex, decode};

/// Splits the bytes into tokens.
pub fn holds(data: &[u8]) {
    let text = decode(data.to_vec()).text;
    let tokens = Tokens::new(&text);
    let lines = LineIndex::new(&text);
    assert_eq!(tokens, Tokens::by_the_rules(&text), "the quick way reads something else");
    let mut whole = String::with_capacity(text.len());
    for (index, token) in (0u32..).zip(tokens.list()) {
        let span = tokens.span(index);
        assert!(span.start == token.start && span.start < span.end, "{token:?} is empty");
        whole.push_str(text.get(span.start as usize..span.end as usize).expect("a boundary"));
        assert_eq!(tokens.kind(index), Some(token.kind));
        let place = lines.position_utf16(&text, span.start);
        assert_eq!(lines.offset_utf16(&text, place), span.start, "{place:?}");
    }
    assert_eq!(whole, text, "the tokens are the text");
}
