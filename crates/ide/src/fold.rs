//! What can be folded, and how a selection grows.

use crate::View;
use crate::line::{first_word, lines};
use crate::mention::cut;
use crate::view::{boundary, line_span};
use curtilage_model::Source;
use curtilage_syntax::{AtomKind, Kind as Lexed};
use curtilage_text::Span;

/// What a fold hides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FoldKind {
    /// The inside of a block.
    Block,
    /// Comments on lines of their own, one below the other.
    Comment,
    /// `use` lines.
    Use,
}

/// A stretch of lines that can be folded to its first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    /// From the end of the line that stays to the end of the last line that is hidden; the `}` of
    /// a block is not in it.
    pub span: Span,
    /// What it hides.
    pub kind: FoldKind,
}

/// The folds of a file, in order.
#[must_use]
pub fn folds(view: View<'_>) -> Vec<Fold> {
    let Some(source) = view.source() else { return Vec::new() };
    let mut out = Vec::new();
    for item in source.statements() {
        let Some(block) = &item.block else { continue };
        let text = block.span.of(&source.text);
        let closed = text.ends_with('}');
        let end = if closed { block.span.end - 1 } else { block.span.end };
        // A brace on a line of its own stays in sight.
        let inside = Span::new(block.span.start, end).of(&source.text).trim_end();
        let start = block.span.start + 1;
        let end = block.span.start + u32::try_from(inside.len()).unwrap_or(0);
        if Span::new(start.min(end), end).of(&source.text).contains('\n') {
            out.push(Fold { span: Span::new(start, end), kind: FoldKind::Block });
        }
    }
    comments(source, &mut out);
    uses(source, &mut out);
    out.sort_by_key(|fold| (fold.span, fold.kind));
    out
}

fn comments(source: &Source, out: &mut Vec<Fold>) {
    let tokens = source.tokens();
    let mut run: Option<Span> = None;
    let mut count = 0;
    let mut close = |run: &mut Option<Span>, count: &mut u32| {
        if let Some(span) = run.take().filter(|_| *count > 1) {
            let first = line_span(&source.text, span.start);
            let span = Span::new(first.end, span.end);
            out.push(Fold { span, kind: FoldKind::Comment });
        }
        *count = 0;
    };
    let mut line_is_empty = true;
    let mut newlines = 0;
    for (index, token) in (0u32..).zip(tokens.list()) {
        match token.kind {
            Lexed::Newline => {
                newlines += 1;
                line_is_empty = true;
                if newlines > 1 {
                    close(&mut run, &mut count);
                }
            }
            Lexed::Space => {}
            Lexed::Comment if line_is_empty => {
                let span = tokens.span(index);
                run = Some(run.map_or(span, |run| run.to(span)));
                count += 1;
                (line_is_empty, newlines) = (false, 0);
            }
            _ => {
                (line_is_empty, newlines) = (false, 0);
                close(&mut run, &mut count);
            }
        }
    }
    close(&mut run, &mut count);
}

fn uses(source: &Source, out: &mut Vec<Fold>) {
    let is_use = |index: usize| {
        source.statements().get(index).is_some_and(|item| first_word(source, item) == "use")
    };
    let mut index = 0;
    while index < source.statements().len() {
        let mut last = index;
        while is_use(last) && is_use(last + 1) {
            last += 1;
        }
        if last > index
            && let (Some(first), Some(end)) =
                (source.statements().get(index), source.statements().get(last))
        {
            let span = Span::new(line_span(&source.text, first.span.start).end, end.span.end);
            if span.of(&source.text).contains('\n') {
                out.push(Fold { span, kind: FoldKind::Use });
            }
        }
        index = last + 1;
    }
}

/// What a selection grows to at an offset, the smallest first; each holds the one before.
#[must_use]
pub fn selections(view: View<'_>, offset: u32) -> Vec<Span> {
    let Some(source) = view.source() else { return Vec::new() };
    let offset = boundary(&source.text, offset);
    let mut out: Vec<Span> = Vec::new();
    let mut add = |span: Span| {
        let grows = out
            .last()
            .is_none_or(|last| span != *last && span.start <= last.start && last.end <= span.end);
        if grows && span.touches(offset) && !span.is_empty() {
            out.push(span);
        }
    };
    let found = lines(source).filter(|line| {
        let span = line.statement.line();
        span.touches(offset)
    });
    if let Some(line) = found.last() {
        let mut atoms = &line.statement.atoms;
        let mut nest = Vec::new();
        while let Some(atom) = atoms.iter().rev().find(|atom| atom.span.touches(offset)) {
            nest.push(atom.span);
            match &atom.kind {
                AtomKind::Group(inner) => atoms = inner,
                AtomKind::Word => {
                    let (head, tail) = cut(source.text(atom.span), atom.span);
                    let part = tail.filter(|tail| tail.touches(offset)).unwrap_or(head);
                    nest.push(part);
                    break;
                }
                AtomKind::Text => {
                    nest.push(Span::new(atom.span.start + 1, atom.span.end.saturating_sub(1)));
                    break;
                }
                _ => break,
            }
        }
        nest.into_iter().rev().for_each(&mut add);
        add(line.statement.line());
    }
    if let Some((Lexed::Comment, span)) = crate::view::token_at(source, offset.saturating_sub(1)) {
        add(span);
    }
    let items = source.statements();
    if let Some(item) = items.iter().rev().find(|item| item.span.touches(offset)) {
        if let Some(block) = &item.block
            && let (Some(first), Some(last)) = (block.statements.first(), block.statements.last())
        {
            add(first.span.to(last.span));
            add(block.span);
        }
        add(item.span);
    }
    add(Span::new(0, u32::try_from(source.text.len()).unwrap_or(u32::MAX)));
    out
}
