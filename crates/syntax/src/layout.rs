//! The token pass before parsing: drops blanks and comments, joins lines that a comma continues,
//! marks the words that open an item, and refuses to nest too deep.
//!
//! No statement inside a block has a block of its own. So a line inside a block that opens one, and
//! starts with an item's word, shows that the brace before it is missing: its first word becomes
//! [`Mark::Item`], and the grammar ends the open block there.

use crate::fault::{Fault, FaultKind};
use crate::form::same;
use crate::token::{Kind, Split};
use crate::tree::ITEM_WORDS;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// Groups deeper than this are refused, so that the parser's recursion is bounded.
const MAX_DEPTH: usize = 64;

/// What the grammar sees of a token.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    Word,
    /// A word after a number that is a unit.
    Unit,
    /// A unit of time: only a time is written in several.
    TimeUnit,
    /// A word at a line's start that begins an item, wherever it stands.
    Item,
    Number,
    Date,
    MonthDay,
    Clock,
    Text,
    Comma,
    Open,
    Close,
    GroupOpen,
    GroupClose,
    PlusMinus,
    LineEnd,
}

/// The marks, each with the place of its token.
#[derive(Debug, Default)]
pub(crate) struct Layout {
    pub(crate) marks: Vec<Mark>,
    pub(crate) spans: Vec<Span>,
}

impl Layout {
    /// Reads the tokens of `source`; faults of single tokens are added to `faults`.
    pub(crate) fn new(source: &str, faults: &mut Vec<Fault>) -> Self {
        let likely = source.len() / 7 + 8;
        let out = Self { marks: Vec::with_capacity(likely), spans: Vec::with_capacity(likely) };
        let mut pass = Pass {
            tokens: Split::new(source),
            source,
            out,
            line_start: true,
            after_comma: false,
            after_number: false,
            groups: Vec::new(),
            braces: 0,
        };
        while let Some((kind, span)) = pass.tokens.next_word() {
            pass.token(kind, span, faults);
        }
        let end = Span::at(u32::try_from(source.len()).unwrap_or(u32::MAX));
        pass.close_groups(faults);
        pass.out.push(Mark::LineEnd, end);
        pass.out
    }

    fn push(&mut self, mark: Mark, span: Span) {
        self.marks.push(mark);
        self.spans.push(span);
    }
}

struct Pass<'a> {
    source: &'a str,
    /// What is still to be read.
    tokens: Split<'a>,
    out: Layout,
    line_start: bool,
    after_comma: bool,
    after_number: bool,
    /// Where the open groups of this line begin.
    groups: Vec<Span>,
    braces: usize,
}

impl Pass<'_> {
    fn token(&mut self, kind: Kind, span: Span, faults: &mut Vec<Fault>) {
        let mark = match kind {
            Kind::Space | Kind::Comment => return,
            Kind::Newline if self.after_comma || self.line_start => return,
            Kind::Newline => Mark::LineEnd,
            Kind::Stray => {
                faults.push(Fault::new(FaultKind::StrayCharacter, span));
                return;
            }
            Kind::OpenText => {
                faults.push(Fault::new(FaultKind::OpenText, span));
                // The brace behind a title that is not closed still opens the block.
                if span.of(self.source).trim_end().ends_with('{') {
                    self.out.push(Mark::Text, span);
                    Mark::Open
                } else {
                    Mark::Text
                }
            }
            Kind::Word if self.line_start && self.begins_item(span) => Mark::Item,
            Kind::Word if self.after_number => {
                match curtilage_units::lookup(span.of(self.source)) {
                    Some(unit) if unit.dimension == Dimension::Time => Mark::TimeUnit,
                    Some(_) => Mark::Unit,
                    None => Mark::Word,
                }
            }
            Kind::Word => Mark::Word,
            Kind::Number => Mark::Number,
            Kind::Date => Mark::Date,
            Kind::MonthDay => Mark::MonthDay,
            Kind::Clock => Mark::Clock,
            Kind::Text => Mark::Text,
            Kind::Comma => Mark::Comma,
            Kind::Open => Mark::Open,
            Kind::Close => Mark::Close,
            Kind::GroupOpen => Mark::GroupOpen,
            Kind::GroupClose => Mark::GroupClose,
            Kind::PlusMinus => Mark::PlusMinus,
        };
        let nests = matches!(
            mark,
            Mark::Item
                | Mark::GroupOpen
                | Mark::GroupClose
                | Mark::LineEnd
                | Mark::Open
                | Mark::Close
        );
        if nests && !self.nest(mark, span, faults) {
            return;
        }
        self.line_start = matches!(mark, Mark::LineEnd | Mark::Open | Mark::Close);
        self.after_comma = mark == Mark::Comma;
        self.after_number = mark == Mark::Number;
        self.out.push(mark, span);
    }

    /// Keeps account of groups and blocks: what the grammar gets is paired within a line and never
    /// nested deeper than [`MAX_DEPTH`]. Returns whether the mark is passed on.
    fn nest(&mut self, mark: Mark, span: Span, faults: &mut Vec<Fault>) -> bool {
        match mark {
            Mark::Item => self.braces = 0,
            Mark::GroupOpen => {
                self.groups.push(span);
                return self.within(self.groups.len(), span, faults);
            }
            Mark::GroupClose => {
                let depth = self.groups.len();
                if self.groups.pop().is_none() {
                    faults.push(Fault::new(FaultKind::StrayGroup, span));
                    return false;
                }
                return depth <= MAX_DEPTH;
            }
            Mark::LineEnd | Mark::Open | Mark::Close => {
                self.close_groups(faults);
                if mark == Mark::Open {
                    if self.out.marks.last() == Some(&Mark::LineEnd) {
                        self.out.marks.pop();
                        self.out.spans.pop();
                    }
                    self.braces += 1;
                    return self.within(self.braces, span, faults);
                }
                if mark == Mark::Close {
                    let depth = self.braces;
                    self.braces = self.braces.saturating_sub(1);
                    return depth <= MAX_DEPTH;
                }
            }
            _ => {}
        }
        true
    }

    fn within(&self, depth: usize, span: Span, faults: &mut Vec<Fault>) -> bool {
        if depth == MAX_DEPTH + 1 {
            faults.push(Fault::new(FaultKind::TooDeep, span));
        }
        depth <= MAX_DEPTH
    }

    /// Ends the groups that a line leaves open, behind its last word.
    fn close_groups(&mut self, faults: &mut Vec<Fault>) {
        if self.groups.is_empty() {
            return;
        }
        let end = self.out.spans.last().map_or(Span::default(), |last| Span::at(last.end));
        while let Some(open) = self.groups.pop() {
            if self.groups.is_empty() {
                faults.push(Fault::new(FaultKind::StrayGroup, open));
            }
            if self.groups.len() < MAX_DEPTH {
                self.out.push(Mark::GroupClose, end);
            }
        }
    }

    /// Whether a word, the first of its line, begins an item: it always does when no block has a
    /// statement of that name, otherwise when its line opens a block, be it with a brace on the next.
    fn begins_item(&self, span: Span) -> bool {
        let word = span.of(self.source);
        let Some(item) = ITEM_WORDS.iter().find(|item| same(item.word, word)) else { return false };
        if !item.also_statement {
            return true;
        }
        let mut ended = false;
        let mut ahead = self.tokens;
        while let Some((kind, _)) = ahead.next_word() {
            match kind {
                Kind::Open => return true,
                Kind::Close => return false,
                Kind::Newline => ended = true,
                _ if ended => return false,
                _ => {}
            }
        }
        false
    }
}

impl Layout {
    /// The place of a mark; behind the last one, where the text ends.
    pub(crate) fn span(&self, mark: usize) -> Span {
        let end = || self.spans.last().map_or(Span::default(), |last| Span::at(last.end));
        self.spans.get(mark).copied().unwrap_or_else(end)
    }

    /// The span from the first to the last token of a range of marks.
    pub(crate) fn span_of(&self, from: usize, to: usize) -> Span {
        let first = self.span(from);
        if to > from {
            Span { start: first.start, end: self.span(to - 1).end }
        } else {
            Span::at(first.start)
        }
    }
}
