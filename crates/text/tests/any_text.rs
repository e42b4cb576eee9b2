//! Whatever the bytes: decoding keeps every offset, and an offset is a position and back.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_text::{LineIndex, Position, Span, decode};
use proptest::prelude::*;

/// Text with every kind of line end, and letters of one to four bytes.
fn text() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "a",
        "zone",
        " ",
        "\n",
        "\r\n",
        "\r",
        "é",
        "€",
        "\u{10400}",
        "\u{2028}",
        "\u{85}",
        "\t",
        "\u{b}",
    ]);
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

/// Where lines start, letter by letter.
fn starts(text: &str) -> Vec<usize> {
    let mut out = vec![0];
    let mut rest = text.char_indices().peekable();
    while let Some((at, letter)) = rest.next() {
        let before_feed = rest.peek().is_some_and(|(_, next)| *next == '\n');
        if letter == '\n' || (letter == '\r' && !before_feed) {
            out.push(at + 1);
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn decoding_moves_no_byte(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let decoded = decode(bytes.clone());
        prop_assert_eq!(decoded.text.len(), bytes.len());
        // A letter that was not replaced stands where it stood.
        for (at, letter) in decoded.text.char_indices() {
            let mut own = [0; 4];
            let own = letter.encode_utf8(&mut own).as_bytes();
            let same = bytes[at..].starts_with(own);
            let bom = at < 3 && bytes.starts_with("\u{feff}".as_bytes());
            let told = decoded.faults.iter().any(|fault| fault.span.touches(at as u32));
            prop_assert!(same || bom || (letter == '\u{1a}' && told), "{at}: {letter:?}");
        }
        prop_assert!(decoded.faults.is_sorted_by_key(|fault| fault.span.start));
        // What is decoded is text; a second time nothing is wrong with its bytes.
        let again = decode(decoded.text.clone().into_bytes());
        prop_assert_eq!(again.text, decoded.text);
    }

    #[test]
    fn every_offset_is_a_position_and_back(text in text()) {
        let index = LineIndex::new(&text);
        let starts = starts(&text);
        prop_assert_eq!(index.lines(), starts.len());
        let ends = text.char_indices().map(|(at, _)| at).chain([text.len()]);
        for at in ends {
            let line = starts.iter().filter(|start| **start <= at).count() - 1;
            let before = &text[starts[line]..at];
            let offset = u32::try_from(at).unwrap();
            let wanted = |column: usize| Position { line: line as u32, column: column as u32 };
            prop_assert_eq!(index.position(offset), wanted(before.len()));
            let utf16 = index.position_utf16(&text, offset);
            prop_assert_eq!(utf16, wanted(before.encode_utf16().count()));
            prop_assert_eq!(index.position_chars(&text, offset), wanted(before.chars().count()));
            // The end of a line is where its line end begins.
            let inside = before.trim_end_matches(['\r', '\n']).len();
            let back = u32::try_from(starts[line] + inside).unwrap();
            prop_assert_eq!(index.offset_utf16(&text, utf16), back);
        }
    }

    #[test]
    fn any_position_is_a_place_in_the_text(text in text(), line: u32, column: u32) {
        let index = LineIndex::new(&text);
        for (line, column) in [(line, column), (line % 16, column % 16)] {
            let offset = index.offset_utf16(&text, Position { line, column });
            prop_assert!(text.is_char_boundary(offset as usize));
        }
    }

    #[test]
    fn an_edit_is_followed_as_if_counted_anew(
        text in text(),
        edits in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>(), text()), 1..6),
    ) {
        let (mut text, mut index) = (text.clone(), LineIndex::new(&text));
        for (from, to, with) in edits {
            let places: Vec<usize> =
                text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
            let (from, to) = (*from.get(&places), *to.get(&places));
            let (from, to) = (from.min(to), from.max(to));
            text.replace_range(from..to, &with);
            let removed = Span::new(from as u32, to as u32);
            index.follow(&text, removed, u32::try_from(with.len()).unwrap());
            prop_assert_eq!(&index, &LineIndex::new(&text));
        }
    }
}
