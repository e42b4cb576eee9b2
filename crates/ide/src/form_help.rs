//! The form of the statement under the cursor, with the place where the cursor is.

use crate::View;
use crate::form::LeafKind;
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
pub fn form_help(view: View<'_, '_, '_>, offset: u32) -> Option<FormHelp> {
    let source = view.source()?;
    let cursor = Cursor::at(source, offset)?;
    let line = cursor.line?;
    let form = line.form(source)?;
    let label = format!("{} {}", form.word, form.pattern).trim().to_owned();
    let shift = if form.word.is_empty() { 0 } else { form.word.len() + 1 };
    let shift = u32::try_from(shift).unwrap_or(0);
    let shifted = |span: Span| Span::new(span.start + shift, span.end + shift);
    let mut slots: Vec<Span> = Vec::new();
    for leaf in form.machine.leaves() {
        let shown = shifted(leaf.shown);
        if !leaf.shown.is_empty() && !slots.contains(&shown) {
            slots.push(shown);
        }
    }
    slots.sort();
    let active = if cursor.begins_line() && !form.word.is_empty() {
        None
    } else {
        let expected = cursor.expected(source)?;
        let next = expected.next.iter().find(|leaf| !matches!(leaf.kind, LeafKind::Comma));
        // A number whose unit is missing is the slot itself.
        let on = expected.wants_unit().and(expected.last).or(next.copied());
        on.and_then(|leaf| slots.iter().position(|slot| *slot == shifted(leaf.shown)))
    };
    Some(FormHelp { label, about: form.about.to_owned(), slots, active })
}
