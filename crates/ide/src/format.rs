//! Formatting as the smallest edits: what the formatter changes lies between words, so each change
//! is one gap, and a range or a typed brace takes those that lie in it.

use crate::View;
use crate::view::{boundary, line_span};
use curtilage_diagnostic::Edit;
use curtilage_format::{FormatError, format_parsed};
use curtilage_model::Source;
use curtilage_syntax::{Kind, Tokens};
use curtilage_text::Span;

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

/// What a formatted text has otherwise, gap by gap; none when the gaps are not those of the old one.
pub(crate) fn changes<'t>(
    old: &str,
    tokens: &Tokens,
    new: &'t str,
) -> Option<Vec<(Span, &'t str)>> {
    let gaps_of_old = gaps(old, tokens);
    let wanted = gaps(new, &Tokens::new(new));
    if gaps_of_old.len() != wanted.len() || old.starts_with('\u{feff}') {
        return None;
    }
    let pairs = gaps_of_old.into_iter().zip(wanted);
    let changed = pairs.filter(|(gap, wanted)| gap.of(old) != wanted.of(new));
    Some(changed.map(|(gap, wanted)| narrowed(gap, gap.of(old), wanted.of(new))).collect())
}

/// A change without what both texts begin and end with, so that it touches only its own line.
pub(crate) fn narrowed<'t>(span: Span, old: &str, new: &'t str) -> (Span, &'t str) {
    let same = |pair: &(char, char)| pair.0 == pair.1;
    let head: usize =
        old.chars().zip(new.chars()).take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let (old, new) = (old.get(head..).unwrap_or(""), new.get(head..).unwrap_or(""));
    let tail: usize =
        old.chars().rev().zip(new.chars().rev()).take_while(same).map(|(c, _)| c.len_utf8()).sum();
    let size = |bytes: usize| u32::try_from(bytes).unwrap_or(0);
    let span = Span::new(span.start + size(head), span.end - size(tail));
    (span, new.get(..new.len() - tail).unwrap_or(new))
}

/// What stands before, between and behind the words and comments of a text. Blanks at the end of a
/// comment belong to the gap behind it.
fn gaps(text: &str, tokens: &Tokens) -> Vec<Span> {
    let mut out = Vec::new();
    let mut start = 0;
    for (index, token) in (0u32..).zip(tokens.list()) {
        if matches!(token.kind, Kind::Space | Kind::Newline) {
            continue;
        }
        let span = tokens.span(index);
        out.push(Span::new(start, span.start));
        let kept = span.of(text).trim_end_matches([' ', '\t', '\u{a0}']).len();
        start = match token.kind {
            Kind::Comment => span.start + u32::try_from(kept).unwrap_or(0),
            _ => span.end,
        };
    }
    out.push(Span::new(start, u32::try_from(text.len()).unwrap_or(u32::MAX)));
    out
}
