//! A cursor over the tokens that takes what stands between two of them in one piece.

use curtilage_syntax::{Kind, Tokens};

/// Blanks at a comment's end.
const BLANKS: [char; 3] = [' ', '\t', '\u{a0}'];

/// A comment and how many line ends stand before it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Comment<'a> {
    /// From `#`, without blanks at the end.
    pub(crate) text: &'a str,
    /// Line ends between it and what comes before; none when it ends a line of its own.
    pub(crate) lines: usize,
}

/// What stands between two tokens that count.
#[derive(Debug, Default)]
pub(crate) struct Gap<'a> {
    pub(crate) comments: Vec<Comment<'a>>,
    /// Line ends after the last comment.
    pub(crate) lines: usize,
}

impl Gap<'_> {
    /// Whether the line goes on.
    pub(crate) fn is_inline(&self) -> bool {
        self.lines == 0 && self.comments.is_empty()
    }

    /// Whether it holds a blank line.
    pub(crate) fn has_blank_line(&self) -> bool {
        self.lines > 1 || self.comments.iter().any(|comment| comment.lines > 1)
    }

    /// This gap and a later one as one. Only one comment can end a line: of two, the later one
    /// takes the next line.
    pub(crate) fn join(&mut self, later: Self) {
        let parted = !self.comments.is_empty();
        let first = self.comments.len();
        self.comments.extend(later.comments);
        if let Some(comment) = self.comments.get_mut(first).filter(|_| parted) {
            comment.lines = comment.lines.max(1);
        }
        self.lines = later.lines;
    }
}

/// Where the walk over the tokens is.
pub(crate) struct Cursor<'a> {
    source: &'a str,
    tokens: &'a Tokens,
    next: u32,
}

impl<'a> Cursor<'a> {
    pub(crate) fn new(source: &'a str, tokens: &'a Tokens) -> Self {
        Self { source, tokens, next: 0 }
    }

    /// The kind of the next token.
    pub(crate) fn kind(&self) -> Option<Kind> {
        self.tokens.kind(self.next)
    }

    /// The offset of the next token.
    pub(crate) fn start(&self) -> u32 {
        self.kind().map_or(u32::MAX, |_| self.tokens.span(self.next).start)
    }

    /// Takes the next token and gives its text.
    pub(crate) fn take(&mut self) -> &'a str {
        let text = self.tokens.span(self.next).of(self.source);
        self.next = self.next.saturating_add(1);
        text
    }

    /// Takes blanks, comments and line ends.
    pub(crate) fn gap(&mut self) -> Gap<'a> {
        let mut gap = Gap::default();
        loop {
            match self.kind() {
                Some(Kind::Space) => {
                    self.take();
                }
                Some(Kind::Newline) => {
                    self.take();
                    gap.lines += 1;
                }
                Some(Kind::Comment) => {
                    let text = comment(self.take());
                    gap.comments.push(Comment { text, lines: gap.lines });
                    gap.lines = 0;
                }
                _ => return gap,
            }
        }
    }
}

/// The text of a comment as it is printed and compared.
pub(crate) fn comment(text: &str) -> &str {
    text.trim_end_matches(BLANKS)
}
