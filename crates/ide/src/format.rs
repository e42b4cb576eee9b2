//! Formatting as the smallest edits: what the formatter changes lies between words, so each change
//! is one gap, or a few where it puts a brace before a comment; a range or a typed brace takes those
//! that lie in it.

use crate::View;
use crate::view::{boundary, line_span};
use curtilage_diagnostic::Edit;
use curtilage_format::{FormatError, format_parsed};
use curtilage_model::Source;
use curtilage_syntax::{Kind, Tokens};
use curtilage_text::Span;
use std::collections::HashMap;

/// The edits that bring a file into the one style; none when it has it.
///
/// # Errors
/// As `curtilage_format::format`.
pub fn format(view: View<'_>) -> Result<Vec<Edit>, FormatError> {
    let Some(source) = view.source() else { return Ok(Vec::new()) };
    Ok(edits(view, source, &format_parsed(&source.text, &source.parsed)?))
}

/// The edits of [`format()`] that lie in a range.
///
/// # Errors
/// As [`format()`].
pub fn format_range(view: View<'_>, range: Span) -> Result<Vec<Edit>, FormatError> {
    let mut edits = format(view)?;
    edits.retain(|edit| range.start <= edit.at.span.start && edit.at.span.end <= range.end);
    Ok(edits)
}

/// The characters after which [`format_on_type`] is asked.
pub const FORMAT_TRIGGERS: [char; 2] = ['}', '\n'];

/// The edits after a character was typed before `offset`: a `}` formats its item, a line end the
/// line before. Nothing is touched where the text cannot be taken apart.
#[must_use]
pub fn format_on_type(view: View<'_>, offset: u32, typed: char) -> Vec<Edit> {
    let Some(source) = view.source() else { return Vec::new() };
    let offset = boundary(&source.text, offset);
    let range = match typed {
        '}' => {
            let mut items = source.statements().iter();
            match items.find(|item| item.span.end == offset && item.block.is_some()) {
                Some(item) => Span::new(line_span(&source.text, item.span.start).start, offset),
                None => return Vec::new(),
            }
        }
        '\n' => {
            let here = line_span(&source.text, offset);
            line_span(&source.text, here.start.saturating_sub(1))
        }
        _ => return Vec::new(),
    };
    format_range(view, range).unwrap_or_default()
}

fn edits(view: View<'_>, source: &Source, new: &str) -> Vec<Edit> {
    let Some(changes) = changes(&source.text, source.tokens(), new) else {
        // A byte order mark goes too: the whole text is one edit.
        let all = Span::new(0, u32::try_from(source.text.len()).unwrap_or(u32::MAX));
        let text = new.to_owned();
        return if new == *source.text { vec![] } else { vec![Edit { at: view.place(all), text }] };
    };
    let edit = |(span, text): (Span, &str)| Edit { at: view.place(span), text: text.to_owned() };
    changes.into_iter().map(edit).collect()
}

/// What a formatted text has otherwise, gap by gap. Where the formatter puts a brace before a comment
/// both and the gaps around them are one change. None when the words are not those of the old one.
pub(crate) fn changes<'t>(
    old: &str,
    tokens: &Tokens,
    new: &'t str,
) -> Option<Vec<(Span, &'t str)>> {
    let (pieces, wanted) = (pieces(old, tokens), pieces(new, &Tokens::new(new)));
    if pieces.len() != wanted.len() || old.starts_with('\u{feff}') {
        return None;
    }
    let end = |text: &str| u32::try_from(text.len()).unwrap_or(u32::MAX);
    let mut changes = Vec::new();
    let (mut start, mut start_wanted) = (0, 0);
    // By how many the old text is ahead with each piece since both had the same ones.
    let mut ahead: HashMap<&str, i32> = HashMap::new();
    let mut change = |gap: Span, wanted: Span| {
        if gap.of(old) != wanted.of(new) {
            changes.push(narrowed(gap, gap.of(old), wanted.of(new)));
        }
    };
    for (piece, wanted) in pieces.into_iter().zip(wanted) {
        let (word, word_wanted) = (piece.of(old), wanted.of(new));
        if ahead.is_empty() && word == word_wanted {
            change(Span::new(start, piece.start), Span::new(start_wanted, wanted.start));
            (start, start_wanted) = (piece.end, wanted.end);
            continue;
        }
        for (word, one) in [(word, 1), (word_wanted, -1)] {
            let by = ahead.entry(word).or_default();
            *by += one;
            if *by == 0 {
                ahead.remove(word);
            }
        }
    }
    if !ahead.is_empty() {
        return None;
    }
    change(Span::new(start, end(old)), Span::new(start_wanted, end(new)));
    Some(changes)
}

/// A change without what both texts begin and end with, so that it touches only its own line. It holds
/// the whole of a line end: no client can say a place within one.
pub(crate) fn narrowed<'t>(span: Span, old: &str, new: &'t str) -> (Span, &'t str) {
    let same = |pair: &(char, char)| pair.0 == pair.1;
    let parts_line_end = |text: &str, at: usize| {
        text.get(..at).is_some_and(|text| text.ends_with('\r'))
            && text.get(at..).is_some_and(|text| text.starts_with('\n'))
    };
    let head: usize =
        old.chars().zip(new.chars()).take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let head = head - usize::from(parts_line_end(old, head));
    let (old, new) = (old.get(head..).unwrap_or(""), new.get(head..).unwrap_or(""));
    let tail: usize =
        old.chars().rev().zip(new.chars().rev()).take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let tail = tail - usize::from(parts_line_end(old, old.len() - tail));
    let size = |bytes: usize| u32::try_from(bytes).unwrap_or(0);
    let span = Span::new(span.start + size(head), span.end - size(tail));
    (span, new.get(..new.len() - tail).unwrap_or(new))
}

/// The words and comments of a text. Blanks at the end of a comment belong to the gap behind it.
fn pieces(text: &str, tokens: &Tokens) -> Vec<Span> {
    let mut out = Vec::new();
    for (index, token) in (0u32..).zip(tokens.list()) {
        let span = tokens.span(index);
        let kept = span.of(text).trim_end_matches([' ', '\t', '\u{a0}']).len();
        match token.kind {
            Kind::Space | Kind::Newline => {}
            Kind::Comment => {
                out.push(Span::new(span.start, span.start + u32::try_from(kept).unwrap_or(0)));
            }
            _ => out.push(span),
        }
    }
    out
}
