//! Line and column of a byte offset, in bytes or in UTF-16 code units, and back.
//!
//! Line ends are LF, CR LF and CR, as LSP 3.17 counts them. Lines and columns start at zero.

/// A line and a column, both from zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from zero.
    pub line: u32,
    /// Column in the unit that the caller asked for, from zero.
    pub column: u32,
}

/// The line starts of one text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineIndex {
    starts: Vec<u32>,
}

impl LineIndex {
    /// Finds the line starts of `source` in one pass.
    #[must_use]
    pub fn new(source: &str) -> Self {
        let bytes = source.as_bytes();
        let mut starts = vec![0];
        for (at, byte) in bytes.iter().enumerate() {
            let ends_line = match byte {
                b'\n' => true,
                b'\r' => bytes.get(at + 1) != Some(&b'\n'),
                _ => false,
            };
            if ends_line {
                starts.push(u32::try_from(at + 1).unwrap_or(u32::MAX));
            }
        }
        Self { starts }
    }

    /// How many lines there are; an empty text has one.
    #[must_use]
    pub fn lines(&self) -> usize {
        self.starts.len()
    }

    /// The offset at which a line starts, if there is such a line.
    #[must_use]
    pub fn start(&self, line: u32) -> Option<u32> {
        self.starts.get(line as usize).copied()
    }

    /// Line and column in UTF-8 bytes.
    #[must_use]
    pub fn position(&self, offset: u32) -> Position {
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or(0);
        Position { line: u32::try_from(line).unwrap_or(u32::MAX), column: offset - start }
    }

    /// Line and column in UTF-16 code units.
    #[must_use]
    pub fn position_utf16(&self, source: &str, offset: u32) -> Position {
        let at = self.position(offset);
        let start = (offset - at.column) as usize;
        let column = source.get(start..offset as usize).map_or(at.column, |text| {
            u32::try_from(text.encode_utf16().count()).unwrap_or(u32::MAX)
        });
        Position { line: at.line, column }
    }

    /// Line and column in characters (Unicode scalar values), for people and for SARIF.
    #[must_use]
    pub fn position_chars(&self, source: &str, offset: u32) -> Position {
        let at = self.position(offset);
        let start = (offset - at.column) as usize;
        let column = source
            .get(start..offset as usize)
            .map_or(at.column, |text| u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
        Position { line: at.line, column }
    }

    /// The byte offset of a UTF-16 position; a column past the line's end is clamped to it.
    #[must_use]
    pub fn offset_utf16(&self, source: &str, position: Position) -> u32 {
        let line = position.line as usize;
        let length = u32::try_from(source.len()).unwrap_or(u32::MAX);
        let Some(start) = self.starts.get(line).copied() else { return length };
        let end = self.starts.get(line + 1).copied().unwrap_or(length);
        let text = source.get(start as usize..end as usize).unwrap_or_default();
        let text = text.trim_end_matches(['\n', '\r']);
        let mut units = 0;
        for (at, character) in text.char_indices() {
            if units >= position.column {
                return start + u32::try_from(at).unwrap_or(0);
            }
            units += u32::try_from(character.len_utf16()).unwrap_or(2);
        }
        start + u32::try_from(text.len()).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_three_line_ends_start_a_line() {
        let index = LineIndex::new("a\nb\r\nc\rd");
        assert_eq!(index.lines(), 4);
        assert_eq!(index.position(7), Position { line: 3, column: 0 });
        assert_eq!(index.position(6), Position { line: 2, column: 1 });
    }

    /// LSP 3.17, "Text Documents": in `a𐐀b` the UTF-16 offsets are 0, 1 and 3.
    #[test]
    fn utf16_columns_follow_lsp() {
        let source = "a\u{10400}b";
        let index = LineIndex::new(source);
        assert_eq!(index.position_utf16(source, 5).column, 3);
        assert_eq!(index.offset_utf16(source, Position { line: 0, column: 3 }), 5);
        assert_eq!(index.offset_utf16(source, Position { line: 0, column: 99 }), 6);
        assert_eq!(index.position_chars(source, 5).column, 2);
    }
}
