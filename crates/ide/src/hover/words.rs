//! Quantities in other units, words of the language, rules, files.

use super::{Hover, escaped};
use crate::View;
use crate::form::{LeafKind, Slot};
use crate::line::Line;
use crate::navigate::inside;
use curtilage_model::Source;
use curtilage_syntax::{Atom, AtomKind};
use curtilage_text::Span;
use curtilage_units::{Dimension, Quantity, significant};

pub(super) fn hover(source: &Source, line: Line<'_>, offset: u32) -> Option<Hover> {
    let atom = atom_at(&line.statement.atoms, offset)?;
    let form = line.form(source)?;
    if let AtomKind::Quantity { tolerance } = atom.kind {
        let found = atom.quantity(&source.text)?;
        let mut markdown = format!("**{}**\n\n", found.dimension.words());
        for other in others(found) {
            markdown.push_str(&format!("- {other}\n"));
        }
        if tolerance.is_some()
            && let Some((low, high)) = bounds(source, atom, found)
        {
            markdown.push_str(&format!("- with its tolerance {low} to {high}\n"));
        }
        markdown.push_str(&format!("\n{}\n", said(form)));
        return Some(Hover { span: atom.span, markdown });
    }
    let text = source.text(atom.span);
    let is_first = line.statement.atoms.first().is_some_and(|first| first.span == atom.span);
    let is_word = is_first || taken_as_word(source, line, atom.span);
    if is_word && atom.kind == AtomKind::Word {
        let markdown = format!("{}\n", said(form));
        return Some(Hover { span: atom.span, markdown });
    }
    let markdown = match atom.kind {
        AtomKind::Text if form.word == "rehearsal" => format!("{}\n", said(form)),
        AtomKind::Date => format!("**a date**, a {}\n\n{}\n", weekday(text)?, said(form)),
        AtomKind::Clock | AtomKind::MonthDay | AtomKind::Number => format!("{}\n", said(form)),
        _ => return None,
    };
    Some(Hover { span: atom.span, markdown })
}

/// The form of a statement and what it says, in the words of the reference.
fn said(form: &crate::form::Form) -> String {
    let shown = format!("{} {}", form.word, form.shown);
    let block = if form.block == "a file" { String::new() } else { format!(" ({})", form.block) };
    format!("`{}`{block}: {}", shown.trim(), escaped(form.about))
}

fn atom_at(atoms: &[Atom], offset: u32) -> Option<&Atom> {
    let atom = atoms.iter().rev().find(|atom| atom.span.touches(offset))?;
    match &atom.kind {
        AtomKind::Group(inner) => atom_at(inner, offset),
        _ => Some(atom),
    }
}

/// Whether the form takes the word at a span as its own.
fn taken_as_word(source: &Source, line: Line<'_>, span: Span) -> bool {
    let Some(form) = line.form(source) else { return false };
    let pieces = line.pieces(source, form);
    let matched = form.machine.walk(&source.text, &pieces);
    let found = pieces.iter().zip(&matched.taken).find(|(piece, _)| piece.span == span);
    let leaf = found.and_then(|(_, leaf)| *leaf);
    leaf.is_some_and(|leaf| matches!(leaf.kind, LeafKind::Word(_) | LeafKind::Slot(Slot::Day)))
}

/// The same quantity in the other units of its dimension.
fn others(quantity: Quantity) -> Vec<String> {
    let Quantity { value, dimension } = quantity;
    if dimension == Dimension::Temperature {
        let kelvin = significant(value + 273.15, 5);
        let fahrenheit = significant(value * 1.8 + 32.0, 4);
        return vec![quantity.to_string(), format!("{kelvin} K"), format!("{fahrenheit} degF")];
    }
    let mut out = vec![quantity.to_string()];
    let mut seen = Vec::new();
    for spelling in curtilage_units::spellings() {
        let Some(unit) = curtilage_units::lookup(spelling) else { continue };
        if unit.dimension != dimension || seen.contains(&unit.text) {
            continue;
        }
        seen.push(unit.text);
        // What one unit is, as the unit's own table says.
        let Ok(one) = curtilage_units::quantity("1", unit) else { continue };
        let inside = value / one.value;
        // All figures where they end soon, four where they go on.
        let exact = significant(inside, 7);
        let ends =
            exact.parse().is_ok_and(|shown: f64| (shown - inside).abs() <= inside.abs() * 1e-12);
        let shown = if ends { exact } else { significant(inside, 4) };
        let shown = format!("{shown} {}", unit.text);
        // Figures with many noughts on either side help nobody.
        let readable = inside == 0.0 || (0.001..100_000.0).contains(&inside.abs());
        if readable && !out.contains(&shown) {
            out.push(shown);
        }
    }
    out
}

/// The ends of a tolerance.
fn bounds(source: &Source, atom: &Atom, middle: Quantity) -> Option<(Quantity, Quantity)> {
    let AtomKind::Quantity { tolerance: Some(span) } = atom.kind else { return None };
    let share = curtilage_units::parse(source.text(span)).ok()?.value;
    let at = |factor: f64| Quantity::new(middle.value * factor, middle.dimension);
    Some((at(1.0 - share), at(1.0 + share)))
}

/// The weekday of a date (Zeller's congruence, from memory; checked by a test against known days).
pub(crate) fn weekday(date: &str) -> Option<&'static str> {
    let date = curtilage_syntax::tree::Date::from_text(date)?;
    let (month, year) = match date.month {
        1 | 2 => (i32::from(date.month) + 12, i32::from(date.year) - 1),
        month => (i32::from(month), i32::from(date.year)),
    };
    let (century, rest) = (year / 100, year % 100);
    let day =
        i32::from(date.day) + 13 * (month + 1) / 5 + rest + rest / 4 + century / 4 + 5 * century;
    let names = ["Saturday", "Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday"];
    names.get(usize::try_from(day.rem_euclid(7)).ok()?).copied()
}

/// A rule's name: what it finds, and its page.
pub(super) fn rule(name: &str) -> Option<String> {
    let rule = curtilage_rules::rule(name)?;
    Some(format!(
        "**rule** `{}`, {}, {} by default\n\n{}\n\n---\n\n{}",
        rule.name,
        rule.family.word(),
        rule.level.word(),
        rule.about,
        rule.page
    ))
}

/// A file that is used: what it holds.
pub(super) fn file(view: View<'_>, quoted: &str) -> Option<String> {
    let path = crate::links::resolve(&view.source()?.path, inside(quoted))?;
    let mut out = format!("**file** `{path}`\n\n");
    let Some(source) = view.model().sources().iter().find(|source| source.path == path) else {
        return Some(out);
    };
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for known in crate::names::declared_in(source) {
        let noun = known.kind.noun();
        match counts.iter_mut().find(|(kind, _)| *kind == noun) {
            Some((_, count)) => *count += 1,
            None => counts.push((noun, 1)),
        }
    }
    for (noun, count) in counts {
        out.push_str(&format!("- {count} {noun}{}\n", if count == 1 { "" } else { "s" }));
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::weekday;

    /// ISO 8601 names 2000-01-01 a Saturday and 1985-04-12 a Friday (from memory).
    #[test]
    fn dates_have_their_weekdays() {
        assert_eq!(weekday("2000-01-01"), Some("Saturday"));
        assert_eq!(weekday("1985-04-12"), Some("Friday"));
        assert_eq!(weekday("2024-02-29"), Some("Thursday"));
        assert_eq!(weekday("2026-11-25"), Some("Wednesday"));
        assert_eq!(weekday("2026-02-30"), None);
    }
}
