//! The tokens that most texts are made of, read byte by byte. The rules of `token` are the ones that
//! count: what is not plain ASCII, or may begin no token, is left to them, and tests hold the two to
//! the same tokens.

use crate::token::Kind;

/// The kind of the token that begins at an offset, and where it ends; none where the rules have to
/// say, and at the end of the text.
#[inline]
pub(crate) fn token(bytes: &[u8], at: usize) -> Option<(Kind, usize)> {
    let first = *bytes.get(at)?;
    let one = |kind| Some((kind, at + 1));
    match first {
        b'a'..=b'z' | b'A'..=b'Z' | b'%' => word(bytes, at + 1).map(|end| (Kind::Word, end)),
        b'0'..=b'9' => Some(number(bytes, at)),
        b'\n' => one(Kind::Newline),
        b',' => one(Kind::Comma),
        b'{' => one(Kind::Open),
        b'}' => one(Kind::Close),
        b'(' => one(Kind::GroupOpen),
        b')' => one(Kind::GroupClose),
        _ => other(bytes, at, first),
    }
}

/// The same for what is less frequent.
fn other(bytes: &[u8], at: usize, first: u8) -> Option<(Kind, usize)> {
    let second = bytes.get(at + 1);
    match first {
        b' ' | b'\t' => {
            let end = run(bytes, at + 1, BLANK);
            // A no-break space would be of the same token.
            (bytes.get(end) != Some(&0xc2)).then_some((Kind::Space, end))
        }
        b'\r' => Some((Kind::Newline, at + if second == Some(&b'\n') { 2 } else { 1 })),
        b'-' => {
            let end = run(bytes, at + 1, DIGIT);
            (end > at + 1).then(|| (Kind::Number, fraction(bytes, end)))
        }
        b'#' => Some((Kind::Comment, run(bytes, at + 1, IN_LINE))),
        b'"' => Some(text(bytes, at + 1)),
        b'+' if second == Some(&b'-') => Some((Kind::PlusMinus, at + 2)),
        b'+' if second == Some(&b'/') && bytes.get(at + 2) == Some(&b'-') => {
            Some((Kind::PlusMinus, at + 3))
        }
        _ => None,
    }
}

/// Where plain blanks end that begin at an offset.
#[inline]
pub(crate) fn blanks(bytes: &[u8], at: usize) -> usize {
    run(bytes, at, BLANK)
}

/// What a byte may be part of, as bits.
#[expect(clippy::indexing_slicing, reason = "a byte is below 256; when it is compiled")]
const CLASSES: [u8; 256] = {
    let mut classes = [0; 256];
    let mut byte = 0_u8;
    loop {
        let digit = byte.is_ascii_digit();
        classes[byte as usize] = if matches!(byte, b' ' | b'\t') { BLANK } else { 0 }
            | if digit { DIGIT } else { 0 }
            | if byte.is_ascii_alphanumeric() || byte == b'_' { WORD } else { 0 }
            | if matches!(byte, b'\r' | b'\n') { 0 } else { IN_LINE }
            | if matches!(byte, b'-' | b'.' | b'/' | b'^') { JOINS } else { 0 }
            | if byte.is_ascii() { 0 } else { WIDE };
        if byte == u8::MAX {
            break classes;
        }
        byte += 1;
    }
};
const BLANK: u8 = 1;
const DIGIT: u8 = 2;
const WORD: u8 = 4;
const IN_LINE: u8 = 8;
const JOINS: u8 = 16;
const WIDE: u8 = 32;

#[inline]
#[expect(clippy::indexing_slicing, reason = "a byte is below 256")]
fn is(byte: u8, class: u8) -> bool {
    CLASSES[byte as usize] & class != 0
}

/// Where the bytes of a class end that begin at an offset.
#[inline]
fn run(bytes: &[u8], mut at: usize, class: u8) -> usize {
    while let Some(byte) = bytes.get(at)
        && is(*byte, class)
    {
        at += 1;
    }
    at
}

/// Where a word ends, with its hyphens, dots and slashes.
#[inline]
fn word(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at = run(bytes, at, WORD);
        match bytes.get(at) {
            Some(byte) if is(*byte, JOINS | WIDE) => {}
            _ => return Some(at),
        }
        match bytes.get(at..) {
            Some([joint, byte, ..]) if is(*joint, JOINS) && is(*byte, WORD) => at += 2,
            Some([joint, byte, ..]) if is(*joint, JOINS) && byte.is_ascii() => return Some(at),
            Some([joint]) if is(*joint, JOINS) => return Some(at),
            _ => return None,
        }
    }
}

/// Where a number ends of which the first digits end at an offset, with what stands behind its point
/// and its exponent.
fn fraction(bytes: &[u8], digits: usize) -> usize {
    let mut end = digits;
    if bytes.get(end) == Some(&b'.') {
        let part = run(bytes, end + 1, DIGIT);
        end = if part > end + 1 { part } else { end };
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let power = run(bytes, end + 1 + sign, DIGIT);
        end = if power > end + 1 + sign { power } else { end };
    }
    end
}

/// What begins with a digit: a date, a day of any year, a time of day, or a number.
#[inline]
fn number(bytes: &[u8], at: usize) -> (Kind, usize) {
    let end = run(bytes, at, DIGIT);
    match bytes.get(end) {
        Some(b'-' | b':') => moment(bytes, at, end),
        Some(b'.' | b'e' | b'E') => (Kind::Number, fraction(bytes, end)),
        _ => (Kind::Number, end),
    }
}

/// The same where a hyphen or a colon stands behind the first digits.
fn moment(bytes: &[u8], at: usize, digits: usize) -> (Kind, usize) {
    let two = |from: usize| matches!(bytes.get(from..), Some([a, b, ..]) if a.is_ascii_digit() && b.is_ascii_digit());
    let mut end = digits + 3;
    match (bytes.get(digits), digits - at) {
        (Some(b'-'), 4) if two(digits + 1) && bytes.get(end) == Some(&b'-') && two(end + 1) => {
            (Kind::Date, end + 3)
        }
        (Some(b'-'), 2) if two(digits + 1) => (Kind::MonthDay, end),
        (Some(b':'), 1 | 2) if two(digits + 1) => {
            if bytes.get(end) == Some(&b':') && two(end + 1) {
                end += 3;
                if bytes.get(end) == Some(&b'.') {
                    let part = (run(bytes, end + 1, DIGIT) - end - 1).min(3);
                    end += if part > 0 { 1 + part } else { 0 };
                }
            }
            (Kind::Clock, end)
        }
        _ => (Kind::Number, digits),
    }
}

/// A text in quotes, of which the first byte is given, or one that its line does not close.
fn text(bytes: &[u8], mut at: usize) -> (Kind, usize) {
    loop {
        match bytes.get(at..).unwrap_or_default() {
            [b'"', ..] => return (Kind::Text, at + 1),
            [b'\\', b'"' | b'\\', ..] => at += 2,
            [] | [b'\\' | b'\r' | b'\n', ..] => return (Kind::OpenText, at),
            _ => at += 1,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::token::Tokens;
    use proptest::prelude::*;

    fn agrees(source: &str) {
        assert_eq!(Tokens::new(source), Tokens::by_the_rules(source), "{source:?}");
    }

    #[test]
    fn every_short_text_of_telling_characters_is_read_by_the_rules() {
        let letters =
            ["1", "-", ":", ".", "e", "a", "\"", "\\", "+", "/", "#", "°", " ", "\r", "\n"];
        let mut texts = vec![String::new()];
        for _ in 0..5 {
            texts = texts
                .iter()
                .flat_map(|text| letters.iter().map(move |letter| format!("{text}{letter}")))
                .collect();
            texts.iter().for_each(|text| agrees(text));
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_by_the_rules(source in ".{0,40}") {
            agrees(&source);
        }

        #[test]
        fn any_pieces_are_read_by_the_rules(
            pieces in proptest::collection::vec(
                prop_oneof![
                    Just("2026-12-25"), Just("12-25"), Just("07:30"), Just("10:00:00.200"), Just("1.5"),
                    Just("-3"), Just("2e3"), Just("E-4"), Just("zone"), Just("head.in1"), Just("mm²"),
                    Just("_"), Just("%"), Just("±"), Just("+-"), Just("+/-"), Just("\u{a0}"), Just(" "),
                    Just("\t"), Just("\r\n"), Just("\r"), Just("\n"), Just("#"), Just("\""), Just("\\\""),
                    Just("\\"), Just("{"), Just("}"), Just("("), Just(")"), Just(","), Just("·"),
                    Just("é"), Just("-"), Just("."), Just("/"), Just("^"), Just(":"), Just("0"), Just("00"),
                ],
                0..12,
            )
        ) {
            agrees(&pieces.concat());
        }
    }
}
