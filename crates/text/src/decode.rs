//! Bytes to text without losing a place: every bad byte becomes U+001A, so offsets survive.

use crate::Span;

/// What is wrong with a stretch of raw text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextFaultKind {
    /// Bytes that are not UTF-8 (RFC 3629).
    NotUtf8,
    /// A carriage return that no line feed follows.
    LoneCarriageReturn,
    /// U+0085, U+2028 or U+2029: some programs break the line there, this language does not.
    UnusualLineBreak,
}

/// One fault of the raw text, with its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TextFault {
    /// What is wrong.
    pub kind: TextFaultKind,
    /// Where.
    pub span: Span,
}

/// A decoded text and what was wrong with its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decoded {
    /// The text, as many bytes long as the input.
    pub text: String,
    /// The faults, in order of place; a run of bad bytes is one fault.
    pub faults: Vec<TextFault>,
    /// Whether there was a byte order mark at the start.
    pub mark: bool,
}

/// Decodes UTF-8. A byte order mark at the start is replaced by spaces (it means nothing here).
#[must_use]
pub fn decode(bytes: Vec<u8>) -> Decoded {
    let mut faults: Vec<TextFault> = Vec::new();
    let mut text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => replace_bad_bytes(error.as_bytes(), &mut faults),
    };
    let mark = text.starts_with('\u{feff}');
    if mark {
        text.replace_range(..3, "   ");
    }
    faults.extend(odd_breaks(&text));
    faults.sort_by_key(|fault| fault.span.start);
    Decoded { text, faults, mark }
}

fn replace_bad_bytes(bytes: &[u8], faults: &mut Vec<TextFault>) -> String {
    let mut text = String::with_capacity(bytes.len());
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        if chunk.invalid().is_empty() {
            continue;
        }
        let start = offset(text.len());
        text.extend(std::iter::repeat_n('\u{1a}', chunk.invalid().len()));
        let span = Span::new(start, offset(text.len()));
        match faults.last_mut() {
            Some(last) if last.span.end == start => last.span = last.span.to(span),
            _ => faults.push(TextFault { kind: TextFaultKind::NotUtf8, span }),
        }
    }
    text
}

/// The line breaks of a text that some programs see and others do not, in order of place.
#[must_use]
pub fn odd_breaks(text: &str) -> Vec<TextFault> {
    let mut faults = Vec::new();
    // Seldom is there any: many bytes are looked at in one step.
    let odd = |byte: &u8| matches!(byte, b'\r' | 0xc2 | 0xe2);
    let any = |some: &[u8]| some.iter().fold(false, |any, byte| any | odd(byte));
    if !text.as_bytes().chunks(64).any(any) {
        return faults;
    }
    let bytes = text.as_bytes();
    for (at, character) in text.char_indices() {
        let kind = match character {
            '\r' if bytes.get(at + 1) != Some(&b'\n') => TextFaultKind::LoneCarriageReturn,
            '\u{85}' | '\u{2028}' | '\u{2029}' => TextFaultKind::UnusualLineBreak,
            _ => continue,
        };
        let span = Span::new(offset(at), offset(at + character.len_utf8()));
        faults.push(TextFault { kind, span });
    }
    faults
}

fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_of_bad_bytes_is_one_fault_and_keeps_offsets() {
        let decoded = decode(b"a\xff\xfeb\xe2\x82c".to_vec());
        assert_eq!(decoded.text, "a\u{1a}\u{1a}b\u{1a}\u{1a}c");
        let spans: Vec<_> = decoded.faults.iter().map(|fault| fault.span).collect();
        assert_eq!(spans, [Span::new(1, 3), Span::new(4, 6)]);
    }

    #[test]
    fn odd_line_breaks_are_told() {
        let decoded = decode("a\rb\r\nc\u{2028}".into());
        let kinds: Vec<_> = decoded.faults.iter().map(|fault| fault.kind).collect();
        assert_eq!(kinds, [TextFaultKind::LoneCarriageReturn, TextFaultKind::UnusualLineBreak]);
    }
}
