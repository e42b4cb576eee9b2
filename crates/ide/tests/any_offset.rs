//! Every feature at any offset of any file, whole or damaged: none panics, and what they give lies
//! in the text.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    reason = "tests"
)]

use curtilage_facts::{Facts, Options};
use curtilage_ide::{self as ide, View};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root, site_files};
use curtilage_text::{Place, Span};
use proptest::prelude::*;
use std::path::{Path, PathBuf};

/// Asks everything that has an offset.
fn ask(view: View<'_>, offset: u32) {
    let source = view.source().unwrap();
    let inside = |span: Span| {
        assert!(source.text.get(span.start as usize..span.end as usize).is_some(), "{span:?}");
    };
    let sees = |at: Place| {
        let mut all = view.model().sources().iter();
        let source = all.find(|source| source.file == at.file).unwrap();
        assert!(source.text.get(at.span.start as usize..at.span.end as usize).is_some());
    };
    if let Some(hover) = ide::hover(view, offset) {
        inside(hover.span);
        assert!(!hover.markdown.is_empty());
    }
    for item in ide::complete(view, offset) {
        inside(item.replace);
        assert!(item.replace.start <= offset, "{item:?}");
        assert!(!item.label.is_empty() && !item.label.contains('\n'));
    }
    let _ = ide::complete_paths(view, offset, &["a.site", "b/c.site"]);
    if let Some(help) = ide::form_help(view, offset) {
        for slot in &help.slots {
            assert!(!slot.of(&help.label).is_empty());
        }
    }
    let targets = [ide::definition(view, offset), ide::declaration(view, offset)];
    for target in targets.into_iter().flatten() {
        inside(target.from);
        sees(target.to);
        sees(target.whole);
    }
    for at in ide::references(&[view.model()], view, offset, true) {
        sees(at);
    }
    for (span, _) in ide::highlights(view, offset) {
        inside(span);
    }
    if let Ok((span, name)) = ide::prepare_rename(view, offset) {
        inside(span);
        assert!(!name.is_empty());
        if let Ok(edits) = ide::rename(&[view.model()], view, offset, "another-name") {
            edits.iter().for_each(|edit| sees(edit.at));
        }
    }
    let mut last: Option<Span> = None;
    for span in ide::selections(view, offset) {
        inside(span);
        assert!(last.is_none_or(|last| span.start <= last.start && last.end <= span.end));
        last = Some(span);
    }
    if let Some(link) = ide::chain_at(view, offset) {
        let steps = ide::chain_back(view, link.at).into_iter();
        for step in steps.chain(ide::chain_onward(view, link.at)) {
            sees(step.link.at);
            step.written.into_iter().for_each(sees);
        }
    }
    for typed in ide::FORMAT_TRIGGERS {
        ide::format_on_type(view, offset, typed).iter().for_each(|edit| sees(edit.at));
    }
}

/// Asks everything about a whole file.
fn ask_file(view: View<'_>) {
    let source = view.source().unwrap();
    let end = u32::try_from(source.text.len()).unwrap();
    let mut last = 0;
    for token in ide::tokens(view, None) {
        assert!(token.span.start >= last && !token.span.is_empty());
        assert!(!token.span.of(&source.text).is_empty());
        last = token.span.end;
    }
    let _ = ide::document_symbols(view);
    let _ = ide::workspace_symbols(&[view.model()], "door");
    let _ = ide::inlays(view, Span::new(0, end));
    let _ = ide::lenses(view);
    let _ = ide::links(view);
    for fold in ide::folds(view) {
        assert!(fold.span.of(&source.text).contains('\n'));
    }
    let findings = curtilage_rules::check(view.facts());
    for action in ide::actions(view, Span::new(0, end), &findings) {
        assert!(!action.edits.is_empty());
    }
    let _ = ide::format(view);
}

fn with_text(path: &Path, text: &str, ask: impl Fn(View<'_>)) {
    let mut loader = Loader::new(root());
    loader.overlay(path.to_path_buf(), text.to_owned());
    let scope = scope(&loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, Options { today: TODAY });
    ask(View::root(&facts));
    for source in model.sources().iter().skip(1) {
        let view = View::new(&facts, source.file);
        ask_file(view);
        let length = u32::try_from(source.text.len()).unwrap();
        for offset in (text.len() % 7..length as usize).step_by(4_999) {
            self::ask(view, u32::try_from(offset).unwrap());
        }
    }
}

/// One offset in so many is asked, from another start in each file, so that all files together
/// have every position of a word. With `CURTILAGE_EVERY_OFFSET` set every one is.
fn stride() -> usize {
    if std::env::var_os("CURTILAGE_EVERY_OFFSET").is_some() { 1 } else { 97 }
}

#[test]
fn every_example_is_asked_all_over() {
    let mut asked = 0;
    for (number, path) in site_files("examples").iter().enumerate() {
        let text = std::fs::read_to_string(path).unwrap();
        let offsets = (number % stride()..=text.len() + 3).step_by(stride());
        let offsets: Vec<u32> = offsets.map(|offset| u32::try_from(offset).unwrap()).collect();
        asked += offsets.len();
        with_text(path, &text, |view| {
            ask_file(view);
            offsets.iter().for_each(|offset| ask(view, *offset));
        });
    }
    assert!(asked > 1_500, "only {asked} offsets");
}

/// What a person or a half-done paste does to a file.
#[derive(Clone, Debug)]
enum Damage {
    Cut(usize, usize),
    Insert(usize, String),
    Repeat(usize, usize),
}

fn damage() -> impl Strategy<Value = Damage> {
    let at = 0..20_000usize;
    let length = 0..40usize;
    let words = prop::sample::select(vec![
        "{",
        "}",
        "(",
        ")",
        "\"",
        ",",
        ".",
        "head.",
        "is",
        "zone ",
        "to",
        "18",
        " m",
        "#",
        "\n",
        "\r",
        "é",
        "🜂",
        "0",
        "wired to ",
        "in ",
        "over",
        "not ",
        "\u{feff}",
        "2026-13-40",
        "use \"",
    ]);
    prop_oneof![
        (at.clone(), length.clone()).prop_map(|(at, length)| Damage::Cut(at, length)),
        (at.clone(), words).prop_map(|(at, word)| Damage::Insert(at, word.to_owned())),
        (at, length).prop_map(|(at, length)| Damage::Repeat(at, length)),
    ]
}

fn apply(text: &mut String, damage: &Damage) {
    let boundary = |text: &str, at: usize| {
        let mut at = at % (text.len() + 1);
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    match damage {
        Damage::Cut(at, length) => {
            let start = boundary(text, *at);
            let end = boundary(text, (start + length).min(text.len())).max(start);
            text.replace_range(start..end, "");
        }
        Damage::Insert(at, word) => {
            let at = boundary(text, *at);
            text.insert_str(at, word);
        }
        Damage::Repeat(at, length) => {
            let start = boundary(text, *at);
            let end = boundary(text, (start + length).min(text.len())).max(start);
            let again = text[start..end].to_owned();
            text.insert_str(end, &again);
        }
    }
}

fn small_sites() -> Vec<PathBuf> {
    let mut all = site_files("examples/faulty");
    all.extend(site_files("examples/sites").into_iter().filter(|path| {
        path.ends_with("saltmarsh-creamery.site") || path.ends_with("farm-shop.site")
    }));
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn damaged_sites_are_asked_anywhere(
        which in 0..1000usize,
        damages in prop::collection::vec(damage(), 1..6),
        offsets in prop::collection::vec(0..20_000u32, 12),
    ) {
        let sites = small_sites();
        let path = &sites[which % sites.len()];
        let mut text = std::fs::read_to_string(path).unwrap();
        for damage in &damages {
            apply(&mut text, damage);
        }
        let length = u32::try_from(text.len()).unwrap();
        with_text(path, &text, |view| {
            ask_file(view);
            for offset in &offsets {
                ask(view, offset % (length + 4));
            }
            // Where it was damaged it is likeliest to go wrong.
            for damage in &damages {
                let (Damage::Cut(at, _) | Damage::Insert(at, _) | Damage::Repeat(at, _)) = damage;
                let at = u32::try_from(at % (text.len() + 1)).unwrap();
                (at.saturating_sub(2)..at + 3).for_each(|offset| ask(view, offset));
            }
        });
    }
}
