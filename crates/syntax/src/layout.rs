//! The token pass before parsing: drops blanks and comments, joins lines that a comma continues,
//! marks the words that open an item, and refuses to nest too deep.
//!
//! No statement inside a block has a block of its own. So a line inside a block that opens one, and
//! starts with an item's word, shows that the brace before it is missing: its first word becomes
//! [`Mark::Item`], and the grammar ends the open block there.

use crate::fault::{Fault, FaultKind};
use crate::token::{Kind, Split, offset};
use crate::tree::item_word;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// Groups deeper than this are refused, so that the parser's recursion is bounded.
pub(crate) const MAX_DEPTH: usize = 64;

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

/// A mark with the place of its token.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    pub(crate) mark: Mark,
    pub(crate) span: Span,
}

/// The marks of a text.
#[derive(Debug, Default)]
pub(crate) struct Layout {
    pub(crate) list: Vec<Placed>,
}

impl Layout {
    /// Reads the tokens of `source`; faults of single tokens are added to `faults`.
    pub(crate) fn new(source: &str, faults: &mut Vec<Fault>) -> Self {
        let mut pass = Pass {
            source,
            tokens: Split::new(source),
            out: Self::default(),
            last: Mark::LineEnd,
            groups: Vec::new(),
            braces: 0,
        };
        while let Some((kind, span)) = pass.tokens.next_word() {
            pass.token(kind, span, faults);
        }
        pass.close_groups(faults);
        pass.pass_on(Mark::LineEnd, Span::at(offset(source.len())));
        pass.out
    }
}

/// The state of the pass.
struct Pass<'a> {
    source: &'a str,
    /// What is still to be read.
    tokens: Split<'a>,
    out: Layout,
    /// The mark that was passed on last.
    last: Mark,
    /// Where the open groups of this line begin.
    groups: Vec<Span>,
    braces: usize,
}

impl Pass<'_> {
    fn line_is_new(&self) -> bool {
        matches!(self.last, Mark::LineEnd | Mark::Open | Mark::Close)
    }

    fn token(&mut self, kind: Kind, span: Span, faults: &mut Vec<Fault>) {
        let mark = match kind {
            Kind::Word => self.word(span),
            Kind::Number => Mark::Number,
            Kind::Comma => Mark::Comma,
            Kind::Newline | Kind::Open | Kind::Close | Kind::GroupOpen | Kind::GroupClose => {
                return self.nesting(kind, span, faults);
            }
            Kind::Date => Mark::Date,
            Kind::MonthDay => Mark::MonthDay,
            Kind::Clock => Mark::Clock,
            Kind::Text => Mark::Text,
            Kind::PlusMinus => Mark::PlusMinus,
            Kind::OpenText => return self.open_text(span, faults),
            Kind::Stray => return faults.push(Fault::new(FaultKind::StrayCharacter, span)),
            Kind::Space | Kind::Comment => return,
        };
        self.pass_on(mark, span);
    }

    fn push(&mut self, mark: Mark, span: Span) {
        self.out.list.push(Placed { mark, span });
    }

    fn pass_on(&mut self, mark: Mark, span: Span) {
        self.last = mark;
        self.push(mark, span);
    }

    /// What a word is where it stands.
    fn word(&mut self, span: Span) -> Mark {
        if self.line_is_new() && self.begins_item(span) {
            self.braces = 0;
            return Mark::Item;
        }
        if self.last != Mark::Number {
            return Mark::Word;
        }
        match curtilage_units::lookup(span.of(self.source)) {
            Some(unit) if unit.dimension == Dimension::Time => Mark::TimeUnit,
            Some(_) => Mark::Unit,
            None => Mark::Word,
        }
    }

    fn open_text(&mut self, span: Span, faults: &mut Vec<Fault>) {
        faults.push(Fault::new(FaultKind::OpenText, span));
        // The brace behind a title that is not closed still opens the block.
        if span.of(self.source).trim_end().ends_with('{') {
            self.push(Mark::Text, span);
            self.nesting(Kind::Open, span, faults);
        } else {
            self.pass_on(Mark::Text, span);
        }
    }

    /// Keeps account of groups and blocks: what the grammar gets is paired within a line and never
    /// nested deeper than [`MAX_DEPTH`].
    fn nesting(&mut self, kind: Kind, span: Span, faults: &mut Vec<Fault>) {
        let (mark, passes) = match kind {
            Kind::GroupOpen => {
                self.groups.push(span);
                (Mark::GroupOpen, self.within(self.groups.len(), span, faults))
            }
            Kind::GroupClose => {
                let depth = self.groups.len();
                if self.groups.pop().is_none() {
                    return faults.push(Fault::new(FaultKind::StrayGroup, span));
                }
                (Mark::GroupClose, depth <= MAX_DEPTH)
            }
            Kind::Open => {
                self.close_groups(faults);
                self.out.list.pop_if(|last| last.mark == Mark::LineEnd);
                self.braces += 1;
                (Mark::Open, self.within(self.braces, span, faults))
            }
            Kind::Close => {
                self.close_groups(faults);
                let depth = self.braces;
                self.braces = depth.saturating_sub(1);
                (Mark::Close, depth <= MAX_DEPTH)
            }
            _ => {
                // An empty line, or one that goes on.
                if self.last == Mark::Comma || self.line_is_new() {
                    return;
                }
                self.close_groups(faults);
                (Mark::LineEnd, true)
            }
        };
        if passes {
            self.pass_on(mark, span);
        }
    }

    fn within(&self, depth: usize, span: Span, faults: &mut Vec<Fault>) -> bool {
        if depth == MAX_DEPTH + 1 {
            faults.push(Fault::new(FaultKind::TooDeep, span));
        }
        depth <= MAX_DEPTH
    }

    /// Ends the groups that a line leaves open, behind its last word.
    fn close_groups(&mut self, faults: &mut Vec<Fault>) {
        let end = self.out.list.last().map_or(Span::default(), |last| Span::at(last.span.end));
        while let Some(open) = self.groups.pop() {
            if self.groups.is_empty() {
                faults.push(Fault::new(FaultKind::StrayGroup, open));
            }
            if self.groups.len() < MAX_DEPTH {
                self.push(Mark::GroupClose, end);
            }
        }
    }

    /// Whether a word, the first of its line, begins an item: it always does when no block has a
    /// statement of that name, otherwise when its line opens a block, be it with a brace on the next.
    fn begins_item(&self, span: Span) -> bool {
        let Some(item) = item_word(span.bytes_of(self.source)) else { return false };
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
        let end = || self.list.last().map_or(Span::default(), |last| Span::at(last.span.end));
        self.list.get(mark).map_or_else(end, |placed| placed.span)
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

    /// The marks without their places, as the grammar reads them.
    pub(crate) fn marks(&self) -> Vec<Mark> {
        self.list.iter().map(|placed| placed.mark).collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::FaultKind;

    /// A statement ends where nothing follows that could still be of it.
    #[test]
    fn a_brace_on_a_later_line_is_still_of_the_statement() {
        for between in ["\n", "\n\n", "\n# why\n", "\n \u{a4} ", " \u{a4}\n"] {
            let source = format!("cable a is b{between}{{\n    from c\n}}\n");
            let parsed = crate::parse(&source, &[]);
            assert_eq!(parsed.file.items.len(), 1, "{source:?}");
            let others = parsed.faults.iter().map(|fault| &fault.kind);
            let others: Vec<_> =
                others.filter(|kind| !matches!(kind, FaultKind::StrayCharacter)).collect();
            assert!(others.is_empty(), "{source:?}: {others:?}");
        }
    }
}
