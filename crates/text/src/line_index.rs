//! Line and column of a byte offset, in bytes or in UTF-16 code units, and back.
//!
//! Line ends are LF, CR LF and CR, as LSP 3.17 counts them. Lines and columns start at zero.

use crate::Span;

/// A line and a column, both from zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from zero.
    pub line: u32,
    /// Column in the unit that the caller asked for, from zero.
    pub column: u32,
}

/// How many bytes a byte order mark has.
const MARK: u32 = 3;

/// The line starts of one text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineIndex {
    starts: Vec<u32>,
}

impl LineIndex {
    /// Finds the line starts of `source` in one pass.
    #[must_use]
    pub fn new(source: &str) -> Self {
        let mut starts = vec![0];
        find_starts(source, 0, source.len(), &mut starts);
        Self { starts }
    }

    /// The same for a text that stands behind a byte order mark, which is replaced by as many blanks:
    /// the mark is of the file and not of its first line, as editors count.
    #[must_use]
    pub fn behind_mark(source: &str) -> Self {
        let mut index = Self::new(source);
        if let Some(first) = index.starts.first_mut() {
            *first = MARK;
        }
        index
    }

    /// Follows an edit: the bytes of `removed` were replaced by so many others, which made `source`.
    /// Gives what [`LineIndex::new`] would.
    pub fn follow(&mut self, source: &str, removed: Span, inserted: u32) {
        // Whether a line starts at an offset depends on the bytes before and at it. So starts before
        // the edit stay, those behind it move, and those from its start to its end are found anew.
        let first = self.starts.partition_point(|start| *start < removed.start).max(1);
        let last = self.starts.partition_point(|start| *start <= removed.end);
        let (from, to) = (removed.start as usize, (removed.start + inserted) as usize);
        let mut found = Vec::new();
        find_starts(source, from.saturating_sub(1), to, &mut found);
        for start in self.starts.iter_mut().skip(last) {
            *start = *start - removed.end + removed.start + inserted;
        }
        self.starts.splice(first..last.max(first), found);
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
        let column = offset.saturating_sub(start);
        Position { line: u32::try_from(line).unwrap_or(u32::MAX), column }
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

/// Adds the line starts behind the line ends at `from..to`.
fn find_starts(source: &str, from: usize, to: usize, starts: &mut Vec<u32>) {
    let bytes = source.as_bytes();
    let part = bytes.get(from..to.min(bytes.len())).unwrap_or_default();
    let mut line_ends = |from: usize, part: &[u8]| {
        for (at, byte) in part.iter().enumerate() {
            let next = from + at + 1;
            if *byte == b'\n' || (*byte == b'\r' && bytes.get(next) != Some(&b'\n')) {
                starts.push(u32::try_from(next).unwrap_or(u32::MAX));
            }
        }
    };
    let (words, rest) = part.as_chunks();
    for (at, word) in words.iter().enumerate() {
        if may_end_a_line(u64::from_le_bytes(*word)) {
            line_ends(from + at * word.len(), word);
        }
    }
    line_ends(from + part.len() - rest.len(), rest);
}

/// Whether one of eight bytes is LF or CR; it may say so of eight others with a control character.
fn may_end_a_line(bytes: u64) -> bool {
    const EACH: u64 = u64::from_le_bytes([1; 8]);
    // A byte below 14 borrows from the highest bit of its own, which it has not set itself.
    let below = bytes.wrapping_sub(EACH * (b'\r' as u64 + 1)) & !bytes;
    below & (EACH << 7) != 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_of_no_line() {
        let text = "   zone é\nend";
        let index = LineIndex::behind_mark(text);
        let columns = [0, 2, 3, 4, 10].map(|offset| index.position_utf16(text, offset).column);
        assert_eq!(columns, [0, 0, 0, 1, 6]);
        assert_eq!(index.position_chars(text, 10).column, 6);
        assert_eq!(index.position(11), Position { line: 1, column: 0 });
        let back = index.offset_utf16(text, Position { line: 0, column: 1 });
        assert_eq!(back, 4);
        assert_eq!(LineIndex::behind_mark("   ").position(1), Position { line: 0, column: 0 });
    }

    /// Every edit of every short text of these letters, against a fresh count.
    #[test]
    fn an_edit_is_followed_as_if_counted_anew() {
        let texts: Vec<String> = (0..256u32)
            .map(|n| (0..4).map(|i| ['a', '\n', '\r', 'b'][(n >> (2 * i)) as usize & 3]).collect())
            .collect();
        for text in &texts {
            for start in 0..=4u32 {
                for end in start..=4 {
                    for with in ["", "\n", "\r", "x\r", "\nx", "\r\n", "a\nb\rc"] {
                        let mut index = LineIndex::new(text);
                        let mut after = text.clone();
                        after.replace_range(start as usize..end as usize, with);
                        let inserted = u32::try_from(with.len()).unwrap();
                        index.follow(&after, Span::new(start, end), inserted);
                        let wanted = LineIndex::new(&after);
                        assert_eq!(index, wanted, "{text:?} {start}..{end} {with:?}");
                    }
                }
            }
        }
    }

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
