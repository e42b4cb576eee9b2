//! Edits of actions that are written as the formatter would write them.

use crate::View;
use crate::format::{changes, narrowed};
use curtilage_diagnostic::Edit;
use curtilage_format::{format, format_parsed};
use curtilage_model::Source;
use curtilage_syntax::Tokens;
use curtilage_text::Span;

/// Edits that do the same in the one style. Where the file is not in style before them, that is what
/// they write and nothing around it.
pub(crate) fn in_style(view: View<'_>, edits: Vec<Edit>) -> Vec<Edit> {
    match view.source() {
        Some(source) => {
            let edits = written_in_style(view, source, has_style(source), edits);
            with_line_ends(view, source, edits)
        }
        None => edits,
    }
}

/// The same with lines that end as those of the file do.
pub(crate) fn with_line_ends(view: View<'_>, source: &Source, mut edits: Vec<Edit>) -> Vec<Edit> {
    let first = source.text.split_inclusive('\n').next();
    if first.is_some_and(|line| line.ends_with("\r\n")) {
        for edit in edits.iter_mut().filter(|edit| edit.at.file == view.file) {
            edit.text = edit.text.replace("\r\n", "\n").replace('\n', "\r\n");
        }
    }
    edits
}

/// Whether the formatter would change nothing.
pub(crate) fn has_style(source: &Source) -> bool {
    format_parsed(&source.text, &source.parsed).is_ok_and(|styled| styled == *source.text)
}

/// As [`in_style`]; `whole` is whether all of the file is to be in style. An edit in another file,
/// and one behind which the text cannot be taken apart, stays as it is.
pub(crate) fn written_in_style(
    view: View<'_>,
    source: &Source,
    whole: bool,
    edits: Vec<Edit>,
) -> Vec<Edit> {
    if edits.iter().any(|edit| edit.at.file != view.file) {
        return edits;
    }
    let list: Vec<(Span, &str)> =
        edits.iter().map(|edit| (edit.at.span, edit.text.as_str())).collect();
    let (after, written) = edited(&source.text, list);
    let Ok(styled) = format(&after) else { return edits };
    let Some(mut gaps) = changes(&after, &Tokens::new(&after), &styled) else { return edits };
    let within = |gap: Span| written.iter().any(|new| new.start <= gap.start && gap.end <= new.end);
    gaps.retain(|(gap, _)| whole || within(*gap));
    if gaps.is_empty() {
        return edits;
    }
    let (after, _) = edited(&after, gaps);
    let all = Span::new(0, u32::try_from(source.text.len()).unwrap_or(u32::MAX));
    let (span, text) = narrowed(all, &source.text, &after);
    vec![Edit { at: view.place(span), text: text.to_owned() }]
}

/// A text after some edits of which no two overlap, and where what they wrote stands in it.
fn edited(text: &str, mut edits: Vec<(Span, &str)>) -> (String, Vec<Span>) {
    edits.sort_by_key(|(span, _)| *span);
    let mut out = String::with_capacity(text.len());
    let mut written = Vec::with_capacity(edits.len());
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let mut from = 0;
    for (span, new) in edits {
        out.push_str(text.get(from..span.start as usize).unwrap_or_default());
        let start = offset(out.len());
        out.push_str(new);
        written.push(Span::new(start, offset(out.len())));
        from = span.end as usize;
    }
    out.push_str(text.get(from..).unwrap_or_default());
    (out, written)
}
