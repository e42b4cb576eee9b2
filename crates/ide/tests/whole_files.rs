//! What holds for whole files: formatting by edits is formatting, every word has a colour, a rename
//! and a safe action change no finding.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests"
)]

use curtilage_diagnostic::Edit;
use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, ActionKind, View};
use curtilage_project::{Loader, scope};
use curtilage_syntax::Kind;
use curtilage_testkit::{TODAY, root, site_files};
use curtilage_text::Span;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Texts by path that stand for the files on disk.
type Texts = BTreeMap<PathBuf, String>;

fn with<T>(path: &Path, texts: &Texts, ask: impl FnOnce(&Facts<'_, '_>) -> T) -> T {
    let mut loader = Loader::new(root());
    for (path, text) in texts {
        loader.overlay(path.clone(), text.clone());
    }
    let scope = scope(&loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    ask(&Facts::new(&model, Options { today: TODAY }))
}

/// The texts of a scope after some edits.
fn edited(facts: &Facts<'_, '_>, edits: &[Edit]) -> Texts {
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse(edit.at));
    let mut out = Texts::new();
    for source in facts.model.sources() {
        let mut text = source.text.to_string();
        for edit in edits.iter().filter(|edit| edit.at.file == source.file) {
            let range = edit.at.span.start as usize..edit.at.span.end as usize;
            text.replace_range(range, &edit.text);
        }
        out.insert(root().join(&source.path), text);
    }
    out
}

/// The findings by rule, with how many there are of each.
fn findings(facts: &Facts<'_, '_>) -> BTreeMap<&'static str, usize> {
    let mut out = BTreeMap::new();
    for finding in curtilage_rules::check(facts) {
        *out.entry(finding.rule).or_insert(0) += 1;
    }
    out
}

#[test]
fn formatting_by_edits_is_formatting() {
    for path in site_files("examples") {
        let text = std::fs::read_to_string(&path).unwrap();
        // As somebody writes who does not care: no indent, one blank, blank lines twice.
        let careless: String = text
            .lines()
            .map(|line| {
                let words: Vec<&str> = line.trim().split("  ").filter(|w| !w.is_empty()).collect();
                if words.is_empty() { "\n\n".to_owned() } else { words.join(" ") + " \n" }
            })
            .collect();
        let texts = Texts::from([(path.clone(), careless.clone())]);
        with(&path, &texts, |facts| {
            let wanted = curtilage_format::format(&careless);
            let found = ide::format(View::root(facts)).map(|edits| {
                assert!(edits.iter().all(|edit| edit.text.trim().is_empty()), "{edits:?}");
                edited(facts, &edits).remove(&path).unwrap()
            });
            assert_eq!(wanted.is_ok(), found.is_ok(), "{}", path.display());
            if let (Ok(wanted), Ok(found)) = (wanted, found) {
                assert_eq!(wanted, found, "{}", path.display());
            }
        });
    }
}

#[test]
fn every_word_of_the_examples_has_a_colour() {
    for path in site_files("examples/sites").into_iter().chain(site_files("examples/parts")) {
        with(&path, &Texts::new(), |facts| {
            let view = View::root(facts);
            let source = view.source().unwrap();
            let coloured = ide::tokens(view, None);
            for (index, token) in (0u32..).zip(source.tokens().list()) {
                let plain = matches!(
                    token.kind,
                    Kind::Space
                        | Kind::Newline
                        | Kind::Comma
                        | Kind::Open
                        | Kind::Close
                        | Kind::GroupOpen
                        | Kind::GroupClose
                        | Kind::PlusMinus
                );
                let span = source.tokens().span(index);
                let has = coloured
                    .iter()
                    .any(|token| token.span.start <= span.start && span.start < token.span.end);
                assert!(has || plain, "`{}` in {}", source.text(span), path.display());
            }
            assert!(coloured.iter().all(|token| !token.modifiers.unknown), "{}", path.display());
        });
    }
}

/// The places of all names that the root file gives, and some that its parts file gives.
fn given(facts: &Facts<'_, '_>) -> Vec<(curtilage_text::FileId, Span)> {
    let mut out = Vec::new();
    for source in facts.model.sources() {
        let tokens = ide::tokens(View::new(facts, source.file), None);
        let given = tokens.iter().filter(|token| token.modifiers.declares);
        let step = if source.file == facts.model.root_file() { 3 } else { 29 };
        out.extend(given.step_by(step).map(|token| (source.file, token.span)));
    }
    out
}

#[test]
fn a_rename_changes_no_finding() {
    let mut renamed = 0;
    let mut sites = site_files("examples/sites");
    sites.retain(|path| !path.ends_with("museum.site") && !path.ends_with("warehouse.site"));
    for path in sites {
        with(&path, &Texts::new(), |facts| {
            let before = findings(facts);
            for (file, span) in given(facts) {
                let view = View::new(facts, file);
                let old = span.of(&view.source().unwrap().text).to_owned();
                let Ok(edits) = ide::rename(&[facts.model], view, span.start, "quite-another")
                else {
                    continue;
                };
                assert!(edits.iter().any(|edit| edit.at.span == span && edit.at.file == file));
                renamed += 1;
                let count = edits.len();
                with(&path, &edited(facts, &edits), |facts| {
                    assert_eq!(before, findings(facts), "`{old}` in {}", path.display());
                    // And back: the same places hold the new name.
                    let sources = facts.model.sources();
                    let file = sources.iter().find(|source| source.file == file).unwrap().file;
                    let view = View::new(facts, file);
                    let shift = edits.iter().filter(|edit| edit.at.file == file);
                    let shift = shift.filter(|edit| edit.at.span.start < span.start).count();
                    let grown = i64::from("quite-another".len() as u32) - old.len() as i64;
                    let at = i64::from(span.start) + grown * shift as i64;
                    let at = u32::try_from(at).unwrap();
                    let places = ide::references(&[facts.model], view, at, true);
                    assert_eq!(places.len(), count, "`{old}` in {}", path.display());
                });
            }
        });
    }
    assert!(renamed > 60, "only {renamed} names");
}

#[test]
fn a_safe_action_brings_no_new_finding() {
    let mut made = 0;
    for path in site_files("examples") {
        // Each file uses one more, of which it needs nothing.
        let text = std::fs::read_to_string(&path).unwrap();
        let spare = "part of-no-use is load {\n    draws  1 A at 9 V to 14 V\n}\n".to_owned();
        let texts = Texts::from([
            (path.clone(), format!("use \"of-no-use.site\"\n{text}")),
            (path.with_file_name("of-no-use.site"), spare),
        ]);
        with(&path, &texts, |facts| {
            let view = View::root(facts);
            let list = curtilage_rules::check(facts);
            let before = findings(facts);
            let length = u32::try_from(view.source().unwrap().text.len()).unwrap();
            let all = Span::new(0, length);
            for action in ide::actions(view, all, &list).into_iter().filter(|action| action.safe) {
                made += 1;
                with(&path, &edited(facts, &action.edits), |facts| {
                    if action.kind == ActionKind::Organise
                        && view.source().unwrap().parsed.faults.is_empty()
                    {
                        // What has no site may hand it on.
                        let text = &facts.model.root().unwrap().text;
                        let stays = facts.model.site.is_none();
                        assert_eq!(text.contains("of-no-use"), stays, "{}", path.display());
                    }
                    for (rule, count) in findings(facts) {
                        let known = before.get(rule).copied().unwrap_or(0);
                        assert!(count <= known, "`{}`: {rule} in {}", action.title, path.display());
                    }
                });
            }
        });
    }
    assert!(made > 60, "only {made} safe actions");
}
