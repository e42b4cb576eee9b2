//! One walk over the tokens, led by the statements, that writes the text anew.

use crate::gap::{Cursor, Gap};
use crate::style::{INDENT, LEAST, Layout};
use curtilage_syntax::{Block, Kind, Parsed, Statement};

/// The formatted text of a file without hindering faults.
pub(crate) fn print(source: &str, parsed: &Parsed) -> String {
    let mut printer = Printer {
        source,
        cursor: Cursor::new(source, parsed.tokens(source)),
        out: String::with_capacity(source.len() + source.len() / 8),
        level: 0,
    };
    let gap = printer.cursor.gap();
    let (gap, before) = printer.statements(parsed.statements(source), Layout::Plain, gap);
    printer.comments(&gap, before, false);
    if !printer.out.is_empty() {
        printer.out.push('\n');
    }
    printer.out
}

/// What stands before a gap between statements.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Before {
    /// The start of the file or of a block.
    Start,
    Line,
    Block,
}

/// What was written lies in `out`; the last line has no line end yet.
struct Printer<'a> {
    source: &'a str,
    cursor: Cursor<'a>,
    out: String,
    level: usize,
}

impl<'a> Printer<'a> {
    /// Writes statements; `gap` stands before the first. Gives the gap after the last.
    fn statements(
        &mut self,
        list: &[Statement],
        layout: Layout,
        mut gap: Gap<'a>,
    ) -> (Gap<'a>, Before) {
        let mut before = Before::Start;
        for statement in list {
            let blank_wanted = before == Before::Block && statement.block.is_some();
            let blank = self.comments(&gap, before, blank_wanted);
            self.line(blank, 0);
            gap = self.statement(statement, layout);
            before = if statement.block.is_some() { Before::Block } else { Before::Line };
        }
        (gap, before)
    }

    /// Writes the comments of a gap between statements, with the blank lines before them. Gives
    /// whether a blank line stands between them and what follows.
    fn comments(&mut self, gap: &Gap<'_>, before: Before, blank_wanted: bool) -> bool {
        let mut add = blank_wanted && !gap.has_blank_line();
        let mut start = before == Before::Start;
        for comment in &gap.comments {
            if comment.lines == 0 && !self.out.is_empty() {
                self.out.push_str("  ");
            } else {
                self.line(!start && (add || comment.lines > 1), 0);
                (start, add) = (false, false);
            }
            self.out.push_str(comment.text);
        }
        !start && (add || gap.lines > 1)
    }

    /// Writes a statement and its block; gives the gap after it.
    fn statement(&mut self, statement: &Statement, layout: Layout) -> Gap<'a> {
        let pad = layout.pad(self.source, statement);
        let end = statement.line().end;
        let begin = self.out.len();
        let mut last = self.cursor.kind();
        let text = self.cursor.take();
        self.out.push_str(text);
        loop {
            let gap = self.cursor.gap();
            let start = self.cursor.start();
            if start >= end {
                return match &statement.block {
                    Some(block) => self.block(statement, block, gap),
                    None => gap,
                };
            }
            let kind = self.cursor.kind();
            if !gap.is_inline() {
                self.continued(&gap, layout.continued());
            } else if let Some(pad) = pad.filter(|pad| pad.start == start) {
                self.pad(begin, pad.column);
            } else if is_spaced(last, kind) {
                self.out.push(' ');
            }
            let text = self.cursor.take();
            self.out.push_str(text);
            last = kind;
        }
    }

    /// Writes the block of `head`; `gap` stands before its brace. Gives the gap after the block.
    fn block(&mut self, head: &Statement, block: &Block, mut gap: Gap<'a>) -> Gap<'a> {
        self.out.push(' ');
        let open = self.cursor.take();
        self.out.push_str(open);
        gap.join(self.cursor.gap());
        self.level += 1;
        let layout = Layout::of_block(self.source, head);
        let (gap, before) = self.statements(&block.statements, layout, gap);
        self.comments(&gap, before, false);
        self.level -= 1;
        self.line(false, 0);
        let close = self.cursor.take();
        self.out.push_str(close);
        self.cursor.gap()
    }

    /// Goes on in a new line after a comma.
    fn continued(&mut self, gap: &Gap<'_>, indent: usize) {
        for comment in &gap.comments {
            if comment.lines == 0 {
                self.out.push_str("  ");
            } else {
                self.line(false, indent);
            }
            self.out.push_str(comment.text);
        }
        self.line(false, indent);
    }

    /// Pads the line that began at `begin` to `column`.
    fn pad(&mut self, begin: usize, column: usize) {
        let head = self.out.get(begin..).unwrap_or_default();
        let width = if head.contains('\n') { column } else { head.chars().count() };
        self.blanks(column.saturating_sub(width).max(LEAST));
    }

    /// Begins a line, after a blank one if wanted. At the file's start there is nothing to end.
    fn line(&mut self, blank: bool, indent: usize) {
        if self.out.is_empty() {
            return;
        }
        self.out.push_str(if blank { "\n\n" } else { "\n" });
        self.blanks(self.level * INDENT + indent);
    }

    fn blanks(&mut self, count: usize) {
        self.out.extend(std::iter::repeat_n(' ', count));
    }
}

/// Whether a blank stands between two tokens of a line.
fn is_spaced(left: Option<Kind>, right: Option<Kind>) -> bool {
    !matches!(
        (left, right),
        (_, Some(Kind::Comma | Kind::GroupClose))
            | (Some(Kind::GroupOpen), _)
            | (Some(Kind::PlusMinus), Some(Kind::Number))
    )
}
