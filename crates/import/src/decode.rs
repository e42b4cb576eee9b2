//! Bytes to text: UTF-8 with or without a mark, UTF-16 either way round, and otherwise the
//! one-byte encoding that office programs of western countries write.

use crate::{Sure, Told};
use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

/// The text. Which encoding it was is told when it is not plain UTF-8.
pub(crate) fn decode(bytes: &[u8], told: &mut Vec<Told>) -> String {
    let marked = |encoding: &'static encoding_rs::Encoding, from: usize| {
        let (text, bad) =
            encoding.decode_without_bom_handling(bytes.get(from..).unwrap_or_default());
        (text.into_owned(), bad)
    };
    let (text, bad, what, sure) = if let Some(rest) = bytes.strip_prefix(b"\xef\xbb\xbf") {
        let text = String::from_utf8_lossy(rest).into_owned();
        let bad = std::str::from_utf8(rest).is_err();
        (text, bad, "UTF-8, by its mark", Sure::Sure)
    } else if bytes.starts_with(b"\xff\xfe") {
        let (text, bad) = marked(UTF_16LE, 2);
        (text, bad, "UTF-16, by its mark", Sure::Sure)
    } else if bytes.starts_with(b"\xfe\xff") {
        let (text, bad) = marked(UTF_16BE, 2);
        (text, bad, "UTF-16, by its mark", Sure::Sure)
    } else if let Some(big) = without_mark(bytes) {
        let (text, bad) = marked(if big { UTF_16BE } else { UTF_16LE }, 0);
        (text, bad, "UTF-16 without a mark, because every other byte is zero", Sure::Likely)
    } else if let Ok(text) = std::str::from_utf8(bytes) {
        return text.to_owned();
    } else {
        let (text, bad) = marked(WINDOWS_1252, 0);
        let what =
            "Windows-1252 (Latin-1), because it is not UTF-8: look at the letters with accents";
        (text, bad, what, Sure::Guess)
    };
    told.push(Told::of_file(sure, format!("the text is {what}")));
    if bad {
        told.push(Told::of_file(Sure::Guess, "some bytes are no text; each stands as \u{fffd}"));
    }
    text
}

/// Whether the text looks like UTF-16: zeros in every other byte of plain letters. The answer is
/// whether the high byte comes first.
fn without_mark(bytes: &[u8]) -> Option<bool> {
    let start = bytes.get(..bytes.len().min(512) & !1)?;
    if start.len() < 8 {
        return None;
    }
    let zeros = |odd: usize| {
        start.iter().enumerate().filter(|(at, byte)| at % 2 == odd && **byte == 0).count()
    };
    let (even, odd, most) = (zeros(0), zeros(1), start.len() / 2 * 3 / 4);
    match (even > most && odd == 0, odd > most && even == 0) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::decode;

    #[test]
    fn whatever_program_wrote_it() {
        let wide = |big: bool, text: &str| -> Vec<u8> {
            let swap = |unit: u16| if big { unit.to_be_bytes() } else { unit.to_le_bytes() };
            text.encode_utf16().flat_map(swap).collect()
        };
        let text = "Name;Tür\nküche;2";
        let cases: [(Vec<u8>, usize); 6] = [
            (text.as_bytes().to_vec(), 0),
            ([b"\xef\xbb\xbf", text.as_bytes()].concat(), 1),
            ([&b"\xff\xfe"[..], &wide(false, text)].concat(), 1),
            ([&b"\xfe\xff"[..], &wide(true, text)].concat(), 1),
            (wide(false, text), 1),
            (text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(), 1),
        ];
        for (bytes, count) in cases {
            let mut told = Vec::new();
            assert_eq!(decode(&bytes, &mut told), text);
            assert_eq!(told.len(), count, "{told:?}");
        }
    }
}
