//! `use` lines in order.

use super::{Action, ActionKind};
use crate::View;
use crate::line::first_word;
use crate::mention::{What, mentions};
use crate::names::{Names, declared_in};
use crate::navigate::inside;
use crate::view::line_span;
use curtilage_diagnostic::Edit;
use curtilage_model::{Kind, Source};
use curtilage_syntax::Statement;
use curtilage_text::Span;
use std::collections::BTreeSet;

/// Sorts each run of `use` lines by path and drops those of which nothing is used. Nothing is dropped
/// while a line of the file cannot be read, which may be the one that uses it, nor where there is no
/// site: what such a file uses it hands on to those that use it.
pub(super) fn organise(view: View<'_>, source: &Source, range: Span) -> Option<Action> {
    let runs = runs_of_uses(source);
    let touched = |run: &[&Statement]| {
        run.iter().any(|item| item.span.start <= range.end && range.start <= item.span.end)
    };
    if !runs.iter().any(|run| touched(run)) {
        return None;
    }
    let is_site = source.statements().iter().any(|item| first_word(source, item) == "site");
    let droppable = is_site && source.parsed.faults.is_empty();
    let used = droppable.then(|| used_files(view, source));
    let mut edits = Vec::new();
    let (mut dropped, mut twice) = (0, 0);
    for run in &runs {
        let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
        let start = line_span(&source.text, first.span.start).start;
        let end = line_span(&source.text, last.span.end).end;
        let mut lines: Vec<(&str, &str)> = Vec::new();
        for item in run {
            let path = item.atoms.get(1).map_or("", |atom| inside(source.text(atom.span)));
            let keeps = used.as_ref().is_none_or(|used| is_used(view, source, path, used));
            if keeps {
                lines.push((path, line_span(&source.text, item.span.start).of(&source.text)));
            } else {
                dropped += 1;
            }
        }
        lines.sort();
        let kept = lines.len();
        lines.dedup();
        twice += kept - lines.len();
        let lines: Vec<&str> = lines.into_iter().map(|(_, line)| line.trim()).collect();
        let mut new = lines.join("\n");
        let mut span = Span::new(start, end);
        if new.is_empty() && span.end < u32::try_from(source.text.len()).unwrap_or(0) {
            // The line goes with its end.
            span.end += if source.text.get(end as usize..)?.starts_with("\r\n") { 2 } else { 1 };
        }
        if source.text.get(start as usize..end as usize)?.contains("\r\n") {
            new = new.replace('\n', "\r\n");
        }
        if new != span.of(&source.text) {
            edits.push(Edit { at: view.place(span), text: new });
        }
    }
    if edits.is_empty() {
        return None;
    }
    let unused = match dropped {
        0 => None,
        1 => Some("one that is not used".to_owned()),
        more => Some(format!("{more} that are not used")),
    };
    let again = match twice {
        0 => None,
        1 => Some("one that stands twice".to_owned()),
        more => Some(format!("{more} that stand twice")),
    };
    let dropped: Vec<String> = unused.into_iter().chain(again).collect();
    let title = match dropped.is_empty() {
        true => "sort the `use` lines".to_owned(),
        false => format!("organise the `use` lines, and drop {}", dropped.join(" and ")),
    };
    Some(Action { title, kind: ActionKind::Organise, edits, safe: true, finding: None })
}

/// `use` items that follow each other line by line.
fn runs_of_uses(source: &Source) -> Vec<Vec<&Statement>> {
    let mut runs: Vec<Vec<&Statement>> = Vec::new();
    let mut last_end: Option<u32> = None;
    for item in source.statements() {
        let is_use = first_word(source, item) == "use" && item.atoms.len() == 2;
        if !is_use {
            last_end = None;
            continue;
        }
        let joins = last_end.is_some_and(|end| {
            let between = Span::new(end, item.span.start).of(&source.text);
            let line_end = between.trim_start_matches(|c| c != '\n').len();
            let own_lines = between.get(between.len() - line_end..).unwrap_or_default();
            own_lines.trim().is_empty() && own_lines.matches('\n').count() == 1
        });
        match runs.last_mut() {
            Some(run) if joins => run.push(item),
            _ => runs.push(vec![item]),
        }
        last_end = Some(item.span.end);
    }
    runs
}

/// The paths of the files of which the file names something.
fn used_files(view: View<'_>, source: &Source) -> BTreeSet<String> {
    let model = view.model();
    let names = Names::of(model);
    let mut out = BTreeSet::new();
    for mention in mentions(source) {
        if let What::File(_) | What::Rule = mention.what {
            continue;
        }
        let Some(identity) = mention.identity(model, &names, source.file) else { continue };
        let file = crate::view::source(model, identity.at.file);
        out.extend(file.map(|file| file.path.clone()));
    }
    out
}

/// Whether a used file, or one that it uses in turn, gives something that is named, or a policy. A
/// file that is not in scope is taken to be used.
fn is_used(view: View<'_>, source: &Source, path: &str, used: &BTreeSet<String>) -> bool {
    let Some(first) = crate::links::resolve(&source.path, path) else { return true };
    let all = view.model().sources();
    let mut todo = vec![first];
    let mut seen = BTreeSet::new();
    while let Some(path) = todo.pop() {
        if !seen.insert(path.clone()) {
            continue;
        }
        let Some(file) = all.iter().find(|source| source.path == path) else { return true };
        let policy = declared_in(file).iter().any(|known| known.kind == Kind::Policy);
        if used.contains(&path) || policy || !file.parsed.faults.is_empty() {
            return true;
        }
        let uses = file.statements().iter().filter(|item| first_word(file, item) == "use");
        let paths = uses.filter_map(|item| {
            let path = inside(file.text(item.atoms.get(1)?.span));
            crate::links::resolve(&file.path, path)
        });
        todo.extend(paths);
    }
    false
}
