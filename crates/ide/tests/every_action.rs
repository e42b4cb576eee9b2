//! Every action that is offered, on every faulty site and on sites of which a line was taken out:
//! behind it the text has no new fault, and what it is about is gone.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests"
)]

use curtilage_diagnostic::{Diagnostic, Edit};
use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, Action, ActionKind, View};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root, site_files};
use curtilage_text::Span;
use std::collections::BTreeSet;
use std::path::Path;

/// What is found in a text that stands at a path, and what can be done about it anywhere in it.
fn asked(path: &Path, text: &str) -> (Vec<Diagnostic>, Vec<Action>) {
    let mut loader = Loader::new(root());
    loader.overlay(path.to_path_buf(), text.to_owned());
    let scope = scope(&loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, Options { today: TODAY });
    let findings = curtilage_rules::check(&facts);
    let all = Span::new(0, u32::try_from(text.len()).unwrap());
    let actions = ide::actions(View::root(&facts), all, &findings);
    (findings, actions)
}

fn edited(text: &str, edits: &[Edit]) -> String {
    let mut text = text.to_owned();
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.at.span));
    for edit in edits {
        text.replace_range(edit.at.span.start as usize..edit.at.span.end as usize, &edit.text);
    }
    text
}

/// The faults of a text, by what they say.
fn faults(text: &str) -> Vec<String> {
    let kinds = curtilage_syntax::parse(text, &[]).faults.into_iter().map(|fault| fault.kind);
    let mut kinds: Vec<String> = kinds
        .map(|kind| match kind {
            curtilage_syntax::FaultKind::MissingBrace { .. } => "MissingBrace".to_owned(),
            curtilage_syntax::FaultKind::SaidTwice { word, .. } => format!("{word} said twice"),
            kind => format!("{kind:?}"),
        })
        .collect();
    kinds.sort();
    kinds
}

fn headlines(findings: &[Diagnostic], rule: &str) -> Vec<String> {
    let of_rule = findings.iter().filter(|finding| finding.rule == rule);
    of_rule.map(|finding| finding.headline.clone()).collect()
}

/// Makes each action of a text; the titles of those that do not what they say.
fn each(path: &Path, text: &str, seen: &mut BTreeSet<String>) -> Vec<String> {
    let (findings, actions) = asked(path, text);
    let before = faults(text);
    let mut bad = Vec::new();
    let mut complain = |title: &str, why: String, after: &str| {
        bad.push(format!("{}: {title}: {why}\n{after}", path.display()));
    };
    for action in actions {
        let after = edited(text, &action.edits);
        let mut new = faults(&after);
        for old in &before {
            if let Some(at) = new.iter().position(|new| new == old) {
                new.remove(at);
            }
        }
        // What is left open is told, and nothing else.
        let open = action.title.contains("to be filled in");
        let told =
            if open { new.iter().all(|one| one.starts_with("Expected")) } else { new.is_empty() };
        if !told || open && new.is_empty() {
            complain(&action.title, new.join(", "), &after);
        }
        if action.kind == ActionKind::Fill && figures(&after) != figures(text) {
            complain(&action.title, "a figure that nobody said".to_owned(), &after);
        }
        if curtilage_format::format(text).is_ok_and(|styled| styled == text)
            && curtilage_format::format(&after).is_ok_and(|styled| styled != after)
        {
            complain(&action.title, "not in style".to_owned(), &after);
        }
        let (left, _) = asked(path, &after);
        let gone: Vec<(&str, String)> = match action.kind {
            ActionKind::Fix => {
                let about = &findings[action.finding.unwrap()];
                vec![(about.rule, about.headline.clone())]
            }
            ActionKind::Fill if action.title.starts_with("say ") => {
                let words: Vec<&str> = action.title.split('`').skip(1).step_by(2).collect();
                let missing = findings.iter().filter(|finding| finding.rule == "missing-fact");
                let about = missing.filter(|finding| {
                    let line = after_line(text, &action.edits);
                    words.iter().any(|word| finding.help[0].starts_with(word))
                        && item_of(text, finding.at.at.span) == item_of(text, line)
                });
                about.map(|finding| ("missing-fact", finding.headline.clone())).collect()
            }
            ActionKind::Fill => {
                let name = action.title.split('`').nth(1).unwrap();
                let unknown = headlines(&findings, "unknown-name");
                let about = unknown.into_iter().filter(|line| line.contains(&format!("`{name}`")));
                about.map(|line| ("unknown-name", line)).collect()
            }
            ActionKind::Allow | ActionKind::Organise => Vec::new(),
        };
        for (rule, headline) in gone {
            seen.insert(format!("{:?} {}", action.kind, action.title));
            if headlines(&left, rule).contains(&headline) {
                complain(&action.title, format!("still told: {headline}"), &after);
            }
        }
    }
    bad
}

/// How many numbers stand in a text.
fn figures(text: &str) -> usize {
    let words = text.lines().flat_map(|line| line.split('#').next().unwrap().split_whitespace());
    words.filter(|word| word.starts_with(|c: char| c.is_ascii_digit())).count()
}

fn after_line(text: &str, edits: &[Edit]) -> Span {
    let at = edits[0].at.span.start;
    let before = &text[..at as usize];
    // An edit at a line's start adds to what stands above it.
    Span::at(at - u32::from(before.ends_with('\n')))
}

/// Where the item begins in which a place lies.
fn item_of(text: &str, at: Span) -> u32 {
    let parsed = curtilage_syntax::parse(text, &[]);
    let list = parsed.statements(text);
    list.iter().rev().find(|item| item.span.start <= at.start).map_or(0, |item| item.span.start)
}

#[test]
fn every_action_of_a_faulty_site_does_what_it_says() {
    let (mut seen, mut bad) = (BTreeSet::new(), Vec::new());
    for path in site_files("examples/faulty") {
        bad.extend(each(&path, &std::fs::read_to_string(&path).unwrap(), &mut seen));
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(seen.len() >= 10, "{seen:#?}");
}

/// Each kind of line that a site can lack, taken out once.
#[test]
fn what_is_taken_out_of_a_clean_site_is_said_again() {
    let (mut seen, mut bad, mut taken) = (BTreeSet::new(), Vec::new(), BTreeSet::new());
    for path in site_files("examples/sites") {
        let text = std::fs::read_to_string(&path).unwrap();
        let mut item = "";
        let mut at = 0;
        for line in text.split_inclusive('\n') {
            let start = at;
            at += line.len();
            let word = line.split_whitespace().next().unwrap_or("");
            if !line.starts_with(' ') {
                let kind = line.split(" is ").nth(1).unwrap_or("").split(' ').next().unwrap();
                item = if word == "part" { kind } else { word };
                continue;
            }
            if word.is_empty() || word == "#" || !taken.insert((item.to_owned(), word.to_owned())) {
                continue;
            }
            let without = format!("{}{}", &text[..start], &text[at..]);
            bad.extend(each(&path, &without, &mut seen));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(seen.len() > 10, "{seen:#?}");
}

#[test]
fn what_is_added_to_a_file_with_crlf_ends_with_crlf() {
    let (mut seen, mut bad) = (0, Vec::new());
    for path in site_files("examples/faulty") {
        let text = std::fs::read_to_string(&path).unwrap().replace('\n', "\r\n");
        for action in asked(&path, &text).1 {
            let after = edited(&text, &action.edits);
            seen += usize::from(after.matches("\r\n").count() > text.matches("\r\n").count());
            if after.replace("\r\n", "").contains(['\n', '\r']) {
                bad.push(format!("{}: {}", path.display(), action.title));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(seen > 50, "{seen}");
}
