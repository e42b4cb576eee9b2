//! The tokens that most texts are made of, read byte by byte. The rules of `token` are the ones that
//! count: what is not plain ASCII, or may begin no token, is left to them, and tests hold the two to
//! the same tokens.

use crate::token::Kind;

/// The kind and the length of the token at the start of `bytes`; none where the rules have to say.
pub(crate) fn token(bytes: &[u8]) -> Option<(Kind, usize)> {
    let (&first, rest) = bytes.split_first()?;
    match first {
        b' ' | b'\t' => {
            let length = 1 + run(rest, BLANK);
            // A no-break space would be of the same token.
            (bytes.get(length) != Some(&0xc2)).then_some((Kind::Space, length))
        }
        b'\n' => Some((Kind::Newline, 1)),
        b'\r' => Some((Kind::Newline, if rest.first() == Some(&b'\n') { 2 } else { 1 })),
        b'a'..=b'z' | b'A'..=b'Z' | b'%' => word(bytes).map(|length| (Kind::Word, length)),
        b'0'..=b'9' => Some(number(bytes)),
        b'-' => {
            let digits = run(rest, DIGIT);
            (digits > 0).then(|| (Kind::Number, 1 + fraction(rest, digits)))
        }
        b'#' => Some((Kind::Comment, 1 + run(rest, IN_LINE))),
        b'"' => Some(text(bytes)),
        b',' => Some((Kind::Comma, 1)),
        b'{' => Some((Kind::Open, 1)),
        b'}' => Some((Kind::Close, 1)),
        b'(' => Some((Kind::GroupOpen, 1)),
        b')' => Some((Kind::GroupClose, 1)),
        b'+' => match rest {
            [b'-', ..] => Some((Kind::PlusMinus, 2)),
            [b'/', b'-', ..] => Some((Kind::PlusMinus, 3)),
            _ => None,
        },
        _ => None,
    }
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
            | if matches!(byte, b'\r' | b'\n') { 0 } else { IN_LINE };
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

#[expect(clippy::indexing_slicing, reason = "a byte is below 256")]
fn is(byte: u8, class: u8) -> bool {
    CLASSES[byte as usize] & class != 0
}

/// How many bytes of a class stand at the start.
#[inline]
fn run(bytes: &[u8], class: u8) -> usize {
    bytes.iter().position(|byte| !is(*byte, class)).unwrap_or(bytes.len())
}

/// The length of a word, with its hyphens, dots and slashes.
fn word(bytes: &[u8]) -> Option<usize> {
    let mut length = 1;
    loop {
        let rest = bytes.get(length..)?;
        let more = run(rest, WORD);
        length += more;
        match rest.get(more..)? {
            [b'-' | b'.' | b'/' | b'^', byte, ..] if is(*byte, WORD) => length += 2,
            [b'-' | b'.' | b'/' | b'^', byte, ..] if !byte.is_ascii() => return None,
            [byte, ..] if !byte.is_ascii() => return None,
            _ => return Some(length),
        }
    }
}

/// The length of a number of so many digits with what stands behind its point and its exponent.
fn fraction(bytes: &[u8], digits: usize) -> usize {
    let digits_from = |from: usize| run(bytes.get(from..).unwrap_or_default(), DIGIT);
    let mut length = digits;
    if bytes.get(length) == Some(&b'.') {
        let part = digits_from(length + 1);
        length += if part > 0 { 1 + part } else { 0 };
    }
    if matches!(bytes.get(length), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(length + 1), Some(b'+' | b'-')));
        let power = digits_from(length + 1 + sign);
        length += if power > 0 { 1 + sign + power } else { 0 };
    }
    length
}

/// What begins with a digit: a date, a day of any year, a time of day, or a number.
fn number(bytes: &[u8]) -> (Kind, usize) {
    let digits = run(bytes, DIGIT);
    let two = |from: usize| matches!(bytes.get(from..), Some([a, b, ..]) if a.is_ascii_digit() && b.is_ascii_digit());
    match bytes.get(digits) {
        Some(b'-') if digits == 4 && two(5) && bytes.get(7) == Some(&b'-') && two(8) => {
            (Kind::Date, 10)
        }
        Some(b'-') if digits == 2 && two(3) => (Kind::MonthDay, 5),
        Some(b':') if digits <= 2 && two(digits + 1) => {
            let mut length = digits + 3;
            if bytes.get(length) == Some(&b':') && two(length + 1) {
                length += 3;
                if bytes.get(length) == Some(&b'.') {
                    let rest = bytes.get(length + 1..).unwrap_or_default();
                    let part = run(rest, DIGIT).min(3);
                    length += if part > 0 { 1 + part } else { 0 };
                }
            }
            (Kind::Clock, length)
        }
        _ => (Kind::Number, fraction(bytes, digits)),
    }
}

/// A text in quotes, or one that its line does not close.
fn text(bytes: &[u8]) -> (Kind, usize) {
    let mut length = 1;
    loop {
        match bytes.get(length..).unwrap_or_default() {
            [b'"', ..] => return (Kind::Text, length + 1),
            [b'\\', b'"' | b'\\', ..] => length += 2,
            [] | [b'\\' | b'\r' | b'\n', ..] => return (Kind::OpenText, length),
            _ => length += 1,
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
