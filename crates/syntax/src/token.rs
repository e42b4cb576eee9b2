//! The tokens, trivia included: together they are the source, byte for byte.
//!
//! Words keep their hyphens, dots and slashes (`dock-door`, `head.in1`, `Europe/Lisbon`); what a
//! word means is decided by the phrase in which it stands.

use crate::scan;
use curtilage_text::Span;
use logos::Logos;

/// What a token is.
#[derive(Logos, Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Blanks and tabs.
    #[regex(r"[ \t\u{a0}]+")]
    Space,
    /// A line end: LF or CR LF; a lone CR is told as a fault and read as one.
    #[regex(r"\r\n|\n|\r")]
    Newline,
    /// From `#` to the line's end.
    #[regex(r"#[^\r\n]*", allow_greedy = true)]
    Comment,
    /// A word, a unit, or a dotted path.
    #[regex(r"[\p{XID_Start}°%][\p{XID_Continue}²°]*([-./^][\p{XID_Continue}²]+)*")]
    Word,
    /// A decimal number, with sign and exponent.
    #[regex(r"-?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]+)?")]
    Number,
    /// A date, `2026-12-25` (RFC 3339 full-date).
    #[regex(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")]
    Date,
    /// A day of any year, `12-25`.
    #[regex(r"[0-9]{2}-[0-9]{2}")]
    MonthDay,
    /// A time of day, `07:30`, `10:00:00` or `10:00:00.200`; `24:00` ends a day.
    #[regex(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,3})?)?")]
    Clock,
    /// A title or a path in quotes, on one line; `\"` and `\\` stand for themselves.
    #[regex(r#""([^"\\\r\n]|\\["\\])*""#)]
    Text,
    /// A quote that is not closed on its line.
    #[regex(r#""([^"\\\r\n]|\\["\\])*"#, priority = 1)]
    OpenText,
    /// `,`
    #[token(",")]
    Comma,
    /// `{`
    #[token("{")]
    Open,
    /// `}`
    #[token("}")]
    Close,
    /// `(`
    #[token("(")]
    GroupOpen,
    /// `)`
    #[token(")")]
    GroupClose,
    /// `±`, `+-` or `+/-`
    #[regex(r"±|\+-|\+/-")]
    PlusMinus,
    /// A character that starts no token.
    Stray,
}

impl Kind {
    /// Whether the token carries no meaning: blanks and comments. Line ends do carry one.
    #[must_use]
    pub fn is_trivia(self) -> bool {
        matches!(self, Self::Space | Self::Comment)
    }
}

/// One token; it ends where the next one starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Offset of its first byte.
    pub start: u32,
}

/// All tokens of a text, in order, without a gap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tokens {
    list: Vec<Token>,
    length: u32,
}

/// The tokens of a text, one after the other.
#[derive(Clone, Copy)]
pub(crate) struct Split<'a> {
    source: &'a str,
    at: usize,
}

impl<'a> Split<'a> {
    pub(crate) fn new(source: &'a str) -> Self {
        Self { source, at: 0 }
    }

    /// The next token that carries a meaning.
    #[inline]
    pub(crate) fn next_word(&mut self) -> Option<(Kind, Span)> {
        loop {
            // Plain blanks, half of all tokens, are passed over without being made one.
            self.at = scan::blanks(self.source.as_bytes(), self.at);
            let (kind, span) = self.next()?;
            if !kind.is_trivia() {
                return Some((kind, span));
            }
        }
    }
}

impl Iterator for Split<'_> {
    type Item = (Kind, Span);

    #[inline]
    fn next(&mut self) -> Option<(Kind, Span)> {
        let start = self.at;
        let (kind, end) = match scan::token(self.source.as_bytes(), start) {
            Some(token) => token,
            None => by_rule(self.source, start)?,
        };
        self.at = end;
        Some((kind, Span { start: offset(start), end: offset(end) }))
    }
}

/// No text is longer than a span can say.
#[inline]
pub(crate) fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// The token that begins at an offset and where it ends, by the rules of [`Kind`]; none where the text
/// ends.
#[cold]
fn by_rule(source: &str, at: usize) -> Option<(Kind, usize)> {
    let rest = source.get(at..).filter(|rest| !rest.is_empty())?;
    let mut lexer = Kind::lexer(rest);
    let kind = lexer.next().and_then(Result::ok).unwrap_or(Kind::Stray);
    Some((kind, at + lexer.span().len().max(1)))
}

impl Tokens {
    /// Splits `source` into tokens. Never fails: what starts no token is [`Kind::Stray`].
    #[must_use]
    pub fn new(source: &str) -> Self {
        let mut list = Vec::with_capacity(source.len() / 4);
        list.extend(Split::new(source).map(|(kind, span)| Token { kind, start: span.start }));
        Self { list, length: offset(source.len()) }
    }

    /// The same by the rules of [`Kind`] alone: for tests that hold the quick way against them.
    #[doc(hidden)]
    #[must_use]
    pub fn by_the_rules(source: &str) -> Self {
        let lexed = Kind::lexer(source).spanned();
        let token = |(kind, range): (Result<Kind, ()>, std::ops::Range<usize>)| Token {
            kind: kind.unwrap_or(Kind::Stray),
            start: offset(range.start),
        };
        let list = lexed.map(token).collect();
        Self { list, length: offset(source.len()) }
    }

    /// The tokens.
    #[must_use]
    pub fn list(&self) -> &[Token] {
        &self.list
    }

    /// The span of the token at `index`; empty at the end of the text when there is none.
    #[must_use]
    pub fn span(&self, index: u32) -> Span {
        let at = |index: u32| self.list.get(index as usize).map_or(self.length, |t| t.start);
        Span::new(at(index), at(index.saturating_add(1)))
    }

    /// The kind of the token at `index`.
    #[must_use]
    pub fn kind(&self, index: u32) -> Option<Kind> {
        self.list.get(index as usize).map(|token| token.kind)
    }
}
