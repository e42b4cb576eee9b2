//! The columns. Each kind of block has one, fixed by the words of the language and not by the
//! lines of the file: two blanks after its longest word, of those that do not stand alone. A word
//! that does not fit (one not yet known, say) is followed by two blanks.

use curtilage_syntax::{Atom, AtomKind, Statement};

/// Blanks for each level of blocks.
pub(crate) const INDENT: usize = 4;
/// The least distance between the head of a line and what follows in the column.
pub(crate) const LEAST: usize = 2;
/// How far a continued line outside all blocks is set in: more than a block's line.
const CONTINUED: usize = 8;

/// How the lines of a block are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Layout {
    /// Outside all blocks: single blanks.
    Plain,
    /// The first word is padded to the column.
    Words(usize),
    /// Days or dates are padded to the column in which the times stand.
    Schedule(usize),
    /// A moment is padded to `moment`, `expect` to `word`.
    Rehearsal { word: usize, moment: usize },
}

/// Where a statement is padded: before the atom at `start`, to `column`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Pad {
    pub(crate) start: u32,
    pub(crate) column: usize,
}

impl Layout {
    /// The layout of the block that `head` opens.
    pub(crate) fn of_block(source: &str, head: &Statement) -> Self {
        let mut words = head.atoms.iter().map(|atom| atom.span.of(source));
        match words.next().unwrap_or_default() {
            // The columns leave room for the usual forms: `Mon to Fri`, `Mon 10:00:00`.
            "schedule" => Self::Schedule(12),
            "rehearsal" => Self::Rehearsal { word: 8, moment: 14 },
            "part" => {
                let kind = words.skip_while(|word| *word != "is").nth(1);
                Self::Words(part(kind.unwrap_or_default()))
            }
            word => Self::Words(item(word)),
        }
    }

    /// How far a continued line is set in, from the statement's own indent: to the column, so that
    /// the entries of a list stand one below the other.
    pub(crate) fn continued(self) -> usize {
        match self {
            Self::Plain => CONTINUED,
            Self::Words(column) | Self::Schedule(column) => column,
            Self::Rehearsal { word, .. } => word,
        }
    }

    /// Where a statement in this layout is padded.
    pub(crate) fn pad(self, source: &str, statement: &Statement) -> Option<Pad> {
        let atoms = statement.atoms.as_slice();
        let is_word = |atom: &Atom| atom.kind == AtomKind::Word;
        let first_is = |words: &[&str]| {
            atoms.first().is_some_and(|first| words.contains(&first.span.of(source)))
        };
        let clock = || atoms.iter().position(|atom| atom.kind == AtomKind::Clock);
        let (before, column) = match self {
            Self::Plain => return None,
            Self::Words(column) => {
                (atoms.first().filter(|first| is_word(first)).map(|_| 1)?, column)
            }
            Self::Schedule(column) => match clock() {
                Some(clock) => (clock, column),
                None if first_is(&["except", "also"]) => (1, column),
                None => return None,
            },
            Self::Rehearsal { word, .. } if first_is(&["expect"]) => (1, word),
            Self::Rehearsal { moment, .. } => (clock()? + 1, moment),
        };
        let atom = atoms.get(before).filter(|atom| before > 0 && atom.kind != AtomKind::Comma)?;
        Some(Pad { start: atom.span.start, column })
    }
}

/// The column of an item's block.
fn item(word: &str) -> usize {
    match word {
        "controller" => 6,
        "cable" => 7,
        "recording" | "response" => 8,
        "supply" | "relay" | "output" => 9,
        "site" | "camera" => 10,
        "zone" => 11,
        "policy" => 13,
        // Terminals: `desk-beacons`, `till-box.in1`.
        "measured" => 14,
        _ => 10,
    }
}

/// The column of a part's block.
fn part(kind: &str) -> usize {
    match kind {
        "store" => 7,
        "supply" | "battery" => 9,
        "controller" | "camera" | "relay" => 10,
        "sensor" | "load" => 11,
        "cable" => 12,
        _ => 10,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use curtilage_syntax::{Vocabulary, parse, vocabulary};

    /// A head for each kind of block of the vocabulary.
    fn head(block: &str) -> String {
        let thing = block.trim_start_matches("an ").trim_start_matches("a ");
        match thing {
            "recording plan" => "recording x {".to_owned(),
            "readings" => "measured 2026-11-02 {".to_owned(),
            _ => thing.strip_suffix(" part").map_or_else(
                || format!("{thing} x {{"),
                |kind| format!("part x \"T\" is {kind} {{"),
            ),
        }
    }

    /// When this fails the language has a new word or block: set the column here. That moves the
    /// lines of every such block in every file, so say it in the change log.
    #[test]
    fn each_column_stands_two_blanks_after_the_longest_word_of_its_block() {
        let words = vocabulary();
        for block in words.iter().map(|entry| entry.block).filter(|block| *block != "a file") {
            let followed = |entry: &&Vocabulary| !entry.pattern.is_empty();
            let own = words.iter().filter(|entry| entry.block == block).filter(followed);
            let longest = own.map(|entry| entry.word.len()).max().unwrap();
            let source = head(block) + "\n}\n";
            let layout = Layout::of_block(&source, &parse(&source, &[]).statements(&source)[0]);
            let column = match layout {
                Layout::Words(column) if block != "readings" => column,
                Layout::Rehearsal { word, .. } => word,
                _ => continue,
            };
            assert_eq!(column, longest + LEAST, "{block}");
        }
    }
}
