//! Text from a file, made safe to print: a site file must not move the cursor or turn the line.

use std::borrow::Cow;

/// The text with each control character and each bidirectional control (UAX #9) replaced by a
/// visible sign of as many bytes, so that byte offsets into it still hold. Line ends and tabs stay; a
/// carriage return alone, which lets a line be written over, does not.
pub(crate) fn plain(text: &str) -> Cow<'_, str> {
    let shown = plain_source(text);
    let bytes = shown.as_bytes();
    let alone = |at: usize| bytes.get(at + 1) != Some(&b'\n');
    if !shown.match_indices('\r').any(|(at, _)| alone(at)) {
        return shown;
    }
    let sign = |(at, character)| if character == '\r' && alone(at) { '?' } else { character };
    shown.char_indices().map(sign).collect::<String>().into()
}

/// The same for a source that is cut into lines afterwards, also at a carriage return alone.
pub(crate) fn plain_source(text: &str) -> Cow<'_, str> {
    let stays = |character: char| match character {
        '\n' | '\r' | '\t' => true,
        '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            false
        }
        other => !other.is_control(),
    };
    if text.chars().all(stays) {
        return text.into();
    }
    let sign = |character: char| match character.len_utf8() {
        _ if stays(character) => character,
        1 => '?',
        2 => '\u{bf}',
        _ => '\u{fffd}',
    };
    text.chars().map(sign).collect::<String>().into()
}

#[cfg(test)]
mod tests {
    use super::{plain, plain_source};

    #[test]
    fn what_could_move_the_cursor_is_shown_and_offsets_hold() {
        let text = "a\u{1b}[2Jb\u{202e}c\u{85}d\te";
        let shown = plain(text);
        assert_eq!(shown, "a?[2Jb\u{fffd}c\u{bf}d\te");
        assert_eq!(shown.len(), text.len());
    }

    #[test]
    fn a_line_is_not_written_over() {
        assert_eq!(plain("a\rb\r\nc\r"), "a?b\r\nc?");
        assert_eq!(plain("a\r\u{7}b"), "a??b");
        assert_eq!(plain_source("a\rb"), "a\rb");
    }
}
