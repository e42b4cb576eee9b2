//! What an editor can do to the text: mend a finding, allow it with a reason, fill in what is
//! missing, put `use` lines in order.

mod say;
mod uses;

use crate::View;
use crate::line::first_word;
use crate::style::{has_style, in_style, with_line_ends, written_in_style};
use crate::view::line_span;
use curtilage_diagnostic::{Diagnostic, Edit};
use curtilage_model::{FaultKind, Kind, Source};
use curtilage_rules::Family;
use curtilage_syntax::Statement;
use curtilage_syntax::tree::Date;
use curtilage_text::Span;

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
    /// The edits; no two overlap. An edit of a document has no tab stops (LSP 3.17): what is to be
    /// filled in is left open, and told as such.
    pub edits: Vec<Edit>,
    /// Whether it may be made without asking.
    pub safe: bool,
    /// The finding that it is about, by its place in the list.
    pub finding: Option<usize>,
}

/// What can be done in a range. The findings are those of `curtilage_rules::check` for the root
/// file; those of other files are passed over.
#[must_use]
pub fn actions(view: View<'_>, range: Span, findings: &[Diagnostic]) -> Vec<Action> {
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
            safe: fix.safe,
            finding: Some(index),
        }));
        // Two facts that one thing lacks are one exception.
        let action = allow(view, source, finding, index);
        allowed.extend(action.filter(|new| !allowed.iter().any(|old| old.title == new.title)));
    }
    for fault in view.model().faults.iter().filter(|fault| fault.at.file == view.file) {
        if let FaultKind::UnknownName { name, wanted, .. } = &fault.kind
            && touches(fault.at.span)
            // While a file or a line cannot be read, it may have the name.
            && findings.iter().any(|one| one.rule == "unknown-name" && one.at.at == fault.at)
        {
            out.extend(make(view, source, name, *wanted));
        }
    }
    for (item, words) in say::missing(view, source, findings) {
        if touches(item.line()) {
            out.extend(say::actions(view, source, item, &words));
        }
    }
    out.extend(uses::organise(view, source, range));
    out.extend(allowed);
    if !out.is_empty() {
        let whole = has_style(source);
        for action in &mut out {
            let edits = std::mem::take(&mut action.edits);
            let edits = written_in_style(view, source, whole, edits);
            action.edits = with_line_ends(view, source, edits);
        }
    }
    out
}

/// The safe fixes of all findings, as far as they leave each other alone: those that meet, such as of
/// lines one below the other, do.
#[must_use]
pub fn fix_all(view: View<'_>, findings: &[Diagnostic]) -> Vec<Edit> {
    let mut edits: Vec<Edit> = Vec::new();
    for fix in findings.iter().filter_map(|one| one.fixes.iter().find(|fix| fix.safe)) {
        let apart = |new: &Edit| {
            edits.iter().all(|old| {
                let (a, b) = (old.at.span, new.at.span);
                // Of two at one place, nobody says which is first.
                let meet = !a.is_empty() && !b.is_empty();
                let before = |a: Span, b: Span| a.end < b.start || (meet && a.end == b.start);
                old.at.file != new.at.file || before(a, b) || before(b, a)
            })
        };
        if fix.edits.iter().all(apart) {
            edits.extend(fix.edits.iter().cloned());
        }
    }
    in_style(view, edits)
}

/// An exception at the end of the file, for the first thing that the finding is about.
fn allow(view: View<'_>, source: &Source, finding: &Diagnostic, index: usize) -> Option<Action> {
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
    let until = later(view.today());
    let end = u32::try_from(source.text.len()).unwrap_or(u32::MAX);
    let before = fresh(source);
    let text = format!("{before}\nallow {}{on} until {until} because \"reason\"\n", rule.name);
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
        safe: false,
        finding: Some(index),
    })
}

/// What puts the end of a file on a line of its own.
fn fresh(source: &Source) -> &'static str {
    if source.text.is_empty() || source.text.ends_with('\n') { "" } else { "\n" }
}

/// A day half a year on, for the end of an exception.
pub(crate) fn later(today: Date) -> String {
    let months = u32::from(today.month) + 5;
    let year = i64::from(today.year) + i64::from(months / 12);
    format!("{year:04}-{:02}-{:02}", months % 12 + 1, today.day.min(28))
}

/// Where a line goes that is added to an item, and the text that makes it one there.
fn at_block_end(source: &Source, item: &Statement, line: &str) -> (u32, String) {
    let Some(block) = &item.block else {
        return (item.span.end, format!(" {{\n    {line}\n}}"));
    };
    if !block.span.of(&source.text).ends_with('}') {
        // Behind the last line that is there: where the block ends is not known.
        let last = block.statements.last().map_or(block.span.start, |line| line.span.end);
        return (line_span(&source.text, last).end, format!("\n    {line}"));
    }
    let brace = block.span.end - 1;
    let last = line_span(&source.text, brace);
    let alone = Span::new(last.start, brace).of(&source.text).trim().is_empty();
    if alone { (last.start, format!("    {line}\n")) } else { (brace, format!("\n    {line}\n")) }
}

/// Makes what a name that is not known would stand for, where that is a line or two.
fn make(view: View<'_>, source: &Source, name: &str, wanted: Kind) -> Option<Action> {
    let end = u32::try_from(source.text.len()).unwrap_or(u32::MAX);
    let (at, text) = match wanted {
        Kind::Schedule => {
            (end, format!("{}\nschedule {name} {{\n    Mon to Fri  to\n}}\n", fresh(source)))
        }
        Kind::Area | Kind::AreaOrZone | Kind::People => {
            let word = if wanted == Kind::People { "people" } else { "area" };
            let items = source.statements();
            let site = items.iter().find(|item| first_word(source, item) == "site")?;
            at_block_end(source, site, &format!("{word}  {name}"))
        }
        _ => return None,
    };
    let noun = if wanted == Kind::AreaOrZone { "area" } else { wanted.noun() };
    // Its hours are left open.
    let fill_in = if wanted == Kind::Schedule { ", to be filled in" } else { "" };
    Some(Action {
        title: format!("make the {noun} `{name}`{fill_in}").replace("the people", "people"),
        kind: ActionKind::Fill,
        edits: vec![Edit { at: view.place(Span::at(at)), text }],
        safe: false,
        finding: None,
    })
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
