//! Offsets to LSP positions and back, in the unit that client and server agreed on.

use crate::document::Document;
use curtilage_model::Source;
use curtilage_text::{LineIndex, Position as At, Span};
use lsp_types::{Position, PositionEncodingKind, Range};

/// The unit of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Encoding {
    Utf8,
    Utf16,
    Utf32,
}

impl Encoding {
    /// The unit to use with a client that offers these: bytes when it can, since they cost nothing;
    /// UTF-16 when it says nothing.
    pub(crate) fn agreed(offered: Option<&[PositionEncodingKind]>) -> Self {
        let offers = |kind: &PositionEncodingKind| offered.is_some_and(|all| all.contains(kind));
        if offers(&PositionEncodingKind::UTF8) {
            Self::Utf8
        } else if offers(&PositionEncodingKind::UTF32) && !offers(&PositionEncodingKind::UTF16) {
            Self::Utf32
        } else {
            Self::Utf16
        }
    }

    pub(crate) fn kind(self) -> PositionEncodingKind {
        match self {
            Self::Utf8 => PositionEncodingKind::UTF8,
            Self::Utf16 => PositionEncodingKind::UTF16,
            Self::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    /// How many units a character takes.
    fn units(self, character: char) -> u32 {
        let units = match self {
            Self::Utf8 => character.len_utf8(),
            Self::Utf16 => character.len_utf16(),
            Self::Utf32 => 1,
        };
        u32::try_from(units).unwrap_or(1)
    }

    /// How many units a text takes.
    pub(crate) fn length(self, text: &str) -> u32 {
        if self == Self::Utf8 || text.is_ascii() {
            return u32::try_from(text.len()).unwrap_or(u32::MAX);
        }
        text.chars().map(|character| self.units(character)).sum()
    }
}

/// A text with its lines, as positions count them.
#[derive(Clone, Copy)]
pub(crate) struct Lines<'a> {
    pub(crate) text: &'a str,
    pub(crate) index: &'a LineIndex,
    pub(crate) encoding: Encoding,
}

impl<'a> Lines<'a> {
    /// Those of a file, which the client may have open. A byte order mark, of which reading makes
    /// blanks, is a character of an open text when the client sends it, and counts as that one.
    pub(crate) fn of(source: &'a Source, open: Option<&'a Document>, encoding: Encoding) -> Self {
        let marked = open.filter(|open| open.text.starts_with('\u{feff}'));
        match marked.filter(|open| open.text.len() == source.text.len()) {
            Some(open) => open.lines(encoding),
            None => Self { text: &source.text, index: source.lines(), encoding },
        }
    }

    pub(crate) fn position(&self, offset: u32) -> Position {
        let At { line, column } = match self.encoding {
            Encoding::Utf8 => self.index.position(offset),
            Encoding::Utf16 => self.index.position_utf16(self.text, offset),
            Encoding::Utf32 => self.index.position_chars(self.text, offset),
        };
        Position { line, character: column }
    }

    pub(crate) fn range(&self, span: Span) -> Range {
        Range { start: self.position(span.start), end: self.position(span.end) }
    }

    /// The offset of a position. A column past the end of its line is the line's end, a line past
    /// the end of the text is the text's end, the middle of a character is its start.
    pub(crate) fn offset(&self, position: Position) -> u32 {
        let length = u32::try_from(self.text.len()).unwrap_or(u32::MAX);
        let Some(start) = self.index.start(position.line) else { return length };
        let next = position.line.checked_add(1).and_then(|line| self.index.start(line));
        let line = Span::new(start, next.unwrap_or(length)).of(self.text);
        let line = line.trim_end_matches(['\n', '\r']);
        let mut units = 0;
        for (at, character) in line.char_indices() {
            let after = units + self.encoding.units(character);
            if after > position.character {
                return start + u32::try_from(at).unwrap_or(0);
            }
            units = after;
        }
        start + u32::try_from(line.len()).unwrap_or(0)
    }

    /// The span of a range; the ends are put in order.
    pub(crate) fn span(&self, range: Range) -> Span {
        Span::new(self.offset(range.start), self.offset(range.end))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// LSP 3.17, "Text Documents": in `a𐐀b` the character b is at 3 in UTF-16, at 5 in UTF-8, and
    /// at 2 in UTF-32.
    #[test]
    fn each_unit_goes_there_and_back() {
        let text = "one\r\na\u{10400}b\n";
        let index = LineIndex::new(text);
        for (encoding, column) in [(Encoding::Utf8, 5), (Encoding::Utf16, 3), (Encoding::Utf32, 2)]
        {
            let lines = Lines { text, index: &index, encoding };
            let position = Position::new(1, column);
            assert_eq!(lines.offset(position), 10, "{encoding:?}");
            assert_eq!(lines.position(10), position, "{encoding:?}");
        }
    }

    #[test]
    fn what_lies_outside_is_brought_inside() {
        let text = "one\r\na\u{10400}b";
        let index = LineIndex::new(text);
        let lines = Lines { text, index: &index, encoding: Encoding::Utf16 };
        assert_eq!(lines.offset(Position::new(0, 99)), 3, "before the line end");
        assert_eq!(lines.offset(Position::new(9, 0)), 11, "after the last line");
        assert_eq!(lines.offset(Position::new(1, 2)), 6, "inside a surrogate pair");
        assert_eq!(lines.offset(Position::new(u32::MAX, u32::MAX)), 11);
    }

    #[test]
    fn the_unit_is_agreed_on() {
        let (utf8, utf16, utf32) =
            (PositionEncodingKind::UTF8, PositionEncodingKind::UTF16, PositionEncodingKind::UTF32);
        assert_eq!(Encoding::agreed(None), Encoding::Utf16);
        assert_eq!(Encoding::agreed(Some(&[utf16.clone(), utf8])), Encoding::Utf8);
        assert_eq!(Encoding::agreed(Some(std::slice::from_ref(&utf32))), Encoding::Utf32);
        assert_eq!(Encoding::agreed(Some(&[utf32, utf16])), Encoding::Utf16);
    }
}
