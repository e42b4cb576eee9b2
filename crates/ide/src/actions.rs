//! What an editor can do to the text: mend a finding, allow it with a reason, fill in what is
//! missing, put `use` lines in order.

use crate::View;
use crate::complete::Filler;
use crate::line::first_word;
use crate::mention::{What, mentions};
use crate::names::{Names, declared_in, item_at};
use crate::navigate::inside;
use crate::view::line_span;
use curtilage_diagnostic::{Diagnostic, Edit};
use curtilage_model::{FaultKind, Kind, Source};
use curtilage_rules::Family;
use curtilage_syntax::Statement;
use curtilage_syntax::tree::Date;
use curtilage_text::Span;
use std::collections::BTreeSet;

/// What an action is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActionKind {
    /// It mends a finding.
    Fix,
    /// It makes an exception for a finding.
    Allow,
    /// It says what is missing.
    Fill,
    /// It puts `use` lines in order.
    Organise,
}

/// Something that can be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Action {
    /// What it does, as an instruction.
    pub title: String,
    /// What it is.
    pub kind: ActionKind,
    /// The edits; no two overlap.
    pub edits: Vec<Edit>,
    /// Whether the text of the edits has tab stops, as `${1:example}`.
    pub snippet: bool,
    /// Whether it may be made without asking.
    pub safe: bool,
    /// The finding that it is about, by its place in the list.
    pub finding: Option<usize>,
}

/// What can be done in a range. The findings are those of `curtilage_rules::check` for the root
/// file; those of other files are passed over.
#[must_use]
pub fn actions(view: View<'_, '_, '_>, range: Span, findings: &[Diagnostic]) -> Vec<Action> {
    let Some(source) = view.source() else { return Vec::new() };
    // A cursor asks for its line.
    let range = if range.is_empty() { line_span(&source.text, range.start) } else { range };
    let mut out: Vec<Action> = Vec::new();
    let mut allowed: Vec<Action> = Vec::new();
    let touches = |span: Span| span.start <= range.end && range.start <= span.end;
    for (index, finding) in findings.iter().enumerate() {
        if finding.at.at.file != view.file || !touches(finding.at.at.span) {
            continue;
        }
        out.extend(finding.fixes.iter().map(|fix| Action {
            title: fix.title.clone(),
            kind: ActionKind::Fix,
            edits: fix.edits.clone(),
            snippet: false,
            safe: fix.safe,
            finding: Some(index),
        }));
        // Two facts that one thing lacks are one exception.
        let action = allow(view, source, finding, index);
        allowed.extend(action.filter(|new| !allowed.iter().any(|old| old.title == new.title)));
    }
    for fault in &view.model().faults {
        let FaultKind::MissingFact { what, .. } = &fault.kind else { continue };
        if fault.at.file != view.file {
            continue;
        }
        let Some(item) = item_at(source, fault.at.span) else { continue };
        if touches(item.line()) {
            out.extend(fill(view, source, item, what));
        }
    }
    out.extend(organise(view, source, range));
    out.extend(allowed);
    out
}

/// An exception at the end of the file, for the first thing that the finding is about.
fn allow(
    view: View<'_, '_, '_>,
    source: &Source,
    finding: &Diagnostic,
    index: usize,
) -> Option<Action> {
    let rule = curtilage_rules::rule(finding.rule)?;
    // What the language cannot read or does not know is mended, not allowed.
    let mended = matches!(
        rule.name,
        "syntax"
            | "unknown-name"
            | "unknown-terminal"
            | "duplicate-name"
            | "wrong-dimension"
            | "import-cycle"
            | "outside-workspace"
            | "unreadable-file"
            | "said-twice"
    );
    let about_exceptions = rule.name.starts_with("exception-");
    if mended || about_exceptions || view.file != view.model().root_file() {
        return None;
    }
    let known = view.model().names();
    let name = finding.about.iter().find(|name| known.contains(&name.as_str()));
    if name.is_none() && rule.family == Family::Text && rule.name != "unused-name" {
        return None;
    }
    let on = name.map_or_else(String::new, |name| format!(" on {name}"));
    let until = later(view.facts.options.today);
    let end = u32::try_from(source.text.len()).unwrap_or(u32::MAX);
    let before = if source.text.ends_with('\n') || end == 0 { "" } else { "\n" };
    let text =
        format!("{before}\nallow {}{on} until {until} because \"${{1:reason}}\"\n", rule.name);
    let title = format!(
        "allow `{}`{} until {until}, with a reason",
        rule.name,
        match name {
            Some(name) => format!(" on `{name}`"),
            None => String::new(),
        }
    );
    Some(Action {
        title,
        kind: ActionKind::Allow,
        edits: vec![Edit { at: view.place(Span::at(end)), text }],
        snippet: true,
        safe: false,
        finding: Some(index),
    })
}

/// A day half a year on, for the end of an exception.
pub(crate) fn later(today: Date) -> String {
    let months = u32::from(today.month) + 5;
    let year = i64::from(today.year) + i64::from(months / 12);
    format!("{year:04}-{:02}-{:02}", months % 12 + 1, today.day.min(28))
}

/// The statement that is missing, at the end of the item's block.
fn fill(view: View<'_, '_, '_>, source: &Source, item: &Statement, what: &str) -> Option<Action> {
    let word = what.split(' ').next()?;
    let block = crate::line::block_in(source, item)?;
    let statement = Filler::new(view, source).statement(block, word)?;
    let (at, text) = match &item.block {
        Some(block) => {
            let closed = block.span.of(&source.text).ends_with('}');
            let brace = if closed { block.span.end - 1 } else { block.span.end };
            let line = line_span(&source.text, brace);
            let own_line = Span::new(line.start, brace).of(&source.text).trim().is_empty();
            if own_line && closed {
                (line.start, format!("    {statement}\n"))
            } else if closed {
                (brace, format!("\n    {statement}\n"))
            } else {
                (block.span.end, format!("    {statement}\n"))
            }
        }
        None => (item.span.end, format!(" {{\n    {statement}\n}}")),
    };
    Some(Action {
        title: format!("say `{word}`"),
        kind: ActionKind::Fill,
        edits: vec![Edit { at: view.place(Span::at(at)), text }],
        snippet: true,
        safe: false,
        finding: None,
    })
}

/// Sorts each run of `use` lines by path and drops those of which nothing is used. While a line of
/// the file cannot be read nothing is dropped: it may be the one that uses it.
fn organise(view: View<'_, '_, '_>, source: &Source, range: Span) -> Option<Action> {
    let runs = runs_of_uses(source);
    let touched = |run: &[&Statement]| {
        run.iter().any(|item| item.span.start <= range.end && range.start <= item.span.end)
    };
    if !runs.iter().any(|run| touched(run)) {
        return None;
    }
    let used = source.parsed.faults.is_empty().then(|| used_files(view, source));
    let mut edits = Vec::new();
    let mut dropped = 0;
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
        lines.dedup();
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
    let title = match dropped {
        0 => "sort the `use` lines".to_owned(),
        1 => "organise the `use` lines, and drop one that is not used".to_owned(),
        more => format!("organise the `use` lines, and drop {more} that are not used"),
    };
    Some(Action {
        title,
        kind: ActionKind::Organise,
        edits,
        snippet: false,
        safe: true,
        finding: None,
    })
}

/// `use` items that follow each other line by line.
fn runs_of_uses(source: &Source) -> Vec<Vec<&Statement>> {
    let mut runs: Vec<Vec<&Statement>> = Vec::new();
    let mut last_end: Option<u32> = None;
    for item in &source.parsed.statements {
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
fn used_files(view: View<'_, '_, '_>, source: &Source) -> BTreeSet<String> {
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
fn is_used(view: View<'_, '_, '_>, source: &Source, path: &str, used: &BTreeSet<String>) -> bool {
    let Some(first) = crate::links::resolve(&source.path, path) else { return true };
    let all = view.model().sources();
    let mut todo = vec![first];
    let mut seen = BTreeSet::new();
    while let Some(path) = todo.pop() {
        if !seen.insert(path.clone()) {
            continue;
        }
        let Some(file) = all.iter().find(|source| source.path == path) else { return true };
        let policy = declared_in(file).any(|known| known.kind == Kind::Policy);
        if used.contains(&path) || policy || !file.parsed.faults.is_empty() {
            return true;
        }
        let uses = file.parsed.statements.iter().filter(|item| first_word(file, item) == "use");
        let paths = uses.filter_map(|item| {
            let path = inside(file.text(item.atoms.get(1)?.span));
            crate::links::resolve(&file.path, path)
        });
        todo.extend(paths);
    }
    false
}

#[cfg(test)]
mod tests {
    use super::later;
    use curtilage_syntax::tree::Date;

    #[test]
    fn half_a_year_on_is_a_day_that_exists() {
        let on = |year, month, day| later(Date { year, month, day });
        assert_eq!(on(2026, 11, 25), "2027-05-25");
        assert_eq!(on(2026, 8, 31), "2027-02-28");
        assert_eq!(on(2026, 6, 30), "2026-12-28");
        assert_eq!(on(2026, 7, 1), "2027-01-01");
    }
}
