//! Statements that are missing, said. What nobody can know but who looks at the sheet, at the place or
//! at what the customer wants is left open, or is one of a few actions.

use super::{Action, ActionKind, at_block_end};
use crate::View;
use crate::complete::{Filler, Said, either};
use crate::line::{block_in, first_word};
use crate::names::item_at;
use curtilage_diagnostic::{Diagnostic, Edit};
use curtilage_model::{Kind, Source};
use curtilage_syntax::Statement;
use curtilage_text::Span;

/// What each item lacks, by the first words of the statements, in order. It is what the findings
/// say: a line that is there and cannot be read is not missing.
pub(super) fn missing<'a>(
    view: View<'_>,
    source: &'a Source,
    findings: &'a [Diagnostic],
) -> Vec<(&'a Statement, Vec<&'a str>)> {
    let mut out: Vec<(&Statement, Vec<&str>)> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.rule == "missing-fact") {
        // What a part lacks is not said at the thing that is made from it.
        let help = finding.help.first().filter(|help| !help.contains("(in the part"));
        let word = help.and_then(|help| help.split(' ').next());
        let Some(word) = word.filter(|_| finding.at.at.file == view.file) else { continue };
        // A voltage goes into the line that lacks it, not into one of its own.
        if !word.chars().all(|c| c.is_ascii_lowercase() || c == '-') {
            continue;
        }
        let Some(item) = item_at(source, finding.at.at.span) else { continue };
        match out.iter_mut().find(|(known, _)| known.span == item.span) {
            Some((_, words)) => words.push(word),
            None => out.push((item, vec![word])),
        }
    }
    out
}

/// An action for each statement that an item lacks, and one for all of them.
pub(super) fn actions(
    view: View<'_>,
    source: &Source,
    item: &Statement,
    words: &[&str],
) -> Vec<Action> {
    let Some(block) = block_in(source, item) else { return Vec::new() };
    let filler = Filler::new(view, source);
    let mut out = Vec::new();
    let mut all: Vec<(&str, Said)> = Vec::new();
    for word in words {
        // Without outputs, somebody can still be told.
        let nothing_to_switch = *word == "close" && !filler.has(Kind::Output);
        let word = if nothing_to_switch { "tell" } else { word };
        let ways = ways(source, item, &filler, block, word);
        let text = |way: &String| format!("{word}  {way}");
        let one = match ways.as_slice() {
            [] => filler.statement(block, word),
            [only] => Some(Said { text: text(only), open: false }),
            // Which, is left open in what says all.
            _ => Some(Said { text: word.to_owned(), open: true }),
        };
        if !ways.is_empty() {
            let title = |way: &String| format!("say `{word}`: `{way}`");
            out.extend(ways.iter().map(|way| action(view, source, item, title(way), &text(way))));
        } else if let Some(Said { text, open }) = &one {
            let fill_in = if *open { ", to be filled in" } else { "" };
            out.push(action(view, source, item, format!("say `{word}`{fill_in}"), text));
        }
        all.extend(one.map(|one| (word, one)));
    }
    if all.len() > 1 {
        let words: Vec<&str> = all.iter().map(|(word, _)| *word).collect();
        let open = all.iter().any(|(_, said)| said.open);
        let title = format!(
            "say all that is missing{}: `{}`",
            if open { ", to be filled in" } else { "" },
            words.join("`, `")
        );
        let lines: Vec<&str> = all.iter().map(|(_, said)| said.text.as_str()).collect();
        out.push(action(view, source, item, title, &lines.join("\n    ")));
    }
    out
}

/// How many ways to say a statement are an action each.
const WAYS: usize = 5;

/// The ways in which a statement can be said, where there are few and no others.
fn ways(
    source: &Source,
    item: &Statement,
    filler: &Filler<'_>,
    block: &str,
    word: &str,
) -> Vec<String> {
    let ways = match (block, word) {
        // Help is called at any hour, and a housing is opened at any.
        ("a zone", "armed") => {
            let always = std::iter::once("always".to_owned());
            match purpose(source, item) {
                "panic" | "tamper" => always.collect(),
                "" => filler.schedules().into_iter().chain(always).collect(),
                _ => filler.schedules(),
            }
        }
        _ => either(block, word),
    };
    if ways.len() <= WAYS { ways } else { Vec::new() }
}

/// What a zone is for, as far as it says so.
fn purpose<'a>(source: &'a Source, zone: &Statement) -> &'a str {
    let mut lines = zone.block.iter().flat_map(|block| &block.statements);
    let said = lines.find(|line| first_word(source, line) == "purpose");
    said.and_then(|line| line.atoms.get(1)).map_or("", |atom| source.text(atom.span))
}

/// One that adds lines at the end of an item's block.
fn action(view: View<'_>, source: &Source, item: &Statement, title: String, lines: &str) -> Action {
    let (at, text) = at_block_end(source, item, lines);
    Action {
        title,
        kind: ActionKind::Fill,
        edits: vec![Edit { at: view.place(Span::at(at)), text }],
        safe: false,
        finding: None,
    }
}
