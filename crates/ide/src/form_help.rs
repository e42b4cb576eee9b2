//! The form of the statement under the cursor, with the place where the cursor is.

use crate::View;
use crate::form::{Form, Leaf, LeafKind};
use crate::line::Cursor;
use curtilage_text::Span;

/// The form of a statement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormHelp {
    /// The form, as the reference writes it.
    pub label: String,
    /// What the statement says.
    pub about: String,
    /// The words and slots of the form, in order, as spans of the label.
    pub slots: Vec<Span>,
    /// Which of them stands at the cursor.
    pub active: Option<usize>,
}

/// The form of the statement at an offset; none on an empty line and in comments.
#[must_use]
pub fn form_help(view: View<'_>, offset: u32) -> Option<FormHelp> {
    let source = view.source()?;
    let cursor = Cursor::at(source, offset)?;
    let line = cursor.line?;
    let form = line.form(source)?;
    let label = format!("{} {}", form.word, form.shown).trim().to_owned();
    let mut slots: Vec<Span> = Vec::new();
    for leaf in form.machine.leaves() {
        let span = shown(form, leaf, &label);
        slots.extend(span.filter(|span| !slots.contains(span)));
    }
    slots.sort();
    let active = if cursor.begins_line() && !form.word.is_empty() {
        None
    } else {
        let expected = cursor.expected(source)?;
        let next = expected.next.iter().find(|leaf| !matches!(leaf.kind, LeafKind::Comma));
        // A number whose unit is missing is the slot itself.
        let on = expected.units.first().and(expected.last).or(next.copied());
        let span = on.and_then(|leaf| shown(form, leaf, &label));
        span.and_then(|span| slots.iter().position(|slot| *slot == span))
    };
    Some(FormHelp { label, about: form.about.to_owned(), slots, active })
}

/// Where the label shows a place of the form. The label is written for people: a word that stands
/// there less often than in the form that is read is the last one.
fn shown(form: &Form, leaf: &Leaf, label: &str) -> Option<Span> {
    let word = leaf.shown.of(form.pattern);
    if word.is_empty() {
        return None;
    }
    let before = form.pattern.get(..leaf.shown.start as usize).unwrap_or_default();
    let index = words(before, word).count();
    let found: Vec<usize> = words(label, word).collect();
    let at = found.get(index).or(found.last())?;
    let start = u32::try_from(*at).ok()?;
    Some(Span::new(start, start + u32::try_from(word.len()).ok()?))
}

/// Where a word stands in a form.
fn words<'t>(text: &'t str, word: &'t str) -> impl Iterator<Item = usize> + 't {
    let is_part = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-');
    text.match_indices(word).map(|(at, _)| at).filter(move |at| {
        let before = text.get(..*at).and_then(|text| text.chars().next_back());
        let after = text.get(at + word.len()..).and_then(|text| text.chars().next());
        !is_part(before) && !is_part(after)
    })
}
