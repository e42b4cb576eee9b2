//! The word lists of the editors hold every word that the parser's forms read, and nothing that
//! its lexer would take for something else.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the sources")]

use curtilage_grammar::{grammar, words};
use curtilage_syntax::{Kind, Tokens};
use curtilage_testkit::root;
use std::collections::BTreeSet;
use std::path::Path;

/// What stands in quotes behind one of these is a word that a form reads.
const READS: [&str; 5] = ["need(", "eat(", "eat_two(", "word() == Some(", "Some("];

/// The words that the sources of the parser's forms read.
fn read_by_the_parser() -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    let mut folders = vec![root().join("crates/syntax/src/tree")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                collect(&path, &mut out);
            }
        }
    }
    out
}

fn collect(path: &Path, out: &mut BTreeSet<String>) {
    let source = std::fs::read_to_string(path).unwrap();
    for line in source.lines() {
        for (at, _) in line.match_indices('"') {
            let (before, after) = line.split_at(at);
            let Some((word, rest)) = after[1..].split_once('"') else { continue };
            let plain = |c: char| c.is_ascii_alphanumeric() || c == '-';
            if word.is_empty() || !word.chars().all(plain) {
                continue;
            }
            let second = before.ends_with("\", ") && before.contains("eat_two(");
            // A row of a table that `one_of` reads: `("open", Rest::Open)`.
            let row = before.ends_with('(') && rest.starts_with(", ") && {
                let before = before.trim_end_matches('(').trim_end();
                before.is_empty() || before.ends_with(['[', ',', '='])
            };
            if second || row || READS.iter().any(|call| before.ends_with(call)) {
                out.insert(word.to_owned());
            }
        }
    }
}

#[test]
fn every_word_that_a_form_reads_is_in_a_list() {
    let words = words(&grammar().unwrap()).unwrap();
    let read = read_by_the_parser();
    assert!(read.len() > 120, "only {} words found: {read:?}", read.len());
    let listed: BTreeSet<String> = [&words.items, &words.statements, &words.choices, &words.small]
        .into_iter()
        .flatten()
        .cloned()
        .collect();
    let missing: Vec<_> = read.difference(&listed).collect();
    assert!(missing.is_empty(), "in no list: {missing:?}");
}

#[test]
fn the_lexer_takes_each_word_and_unit_for_one_word() {
    let words = words(&grammar().unwrap()).unwrap();
    for word in words.all() {
        let tokens = Tokens::new(word);
        assert_eq!(tokens.list().len(), 1, "`{word}`");
        assert_eq!(tokens.kind(0), Some(Kind::Word), "`{word}`");
    }
}

/// Every list is in the files of every editor, word for word.
#[test]
fn every_editor_has_every_word() {
    let words = words(&grammar().unwrap()).unwrap();
    let files = [
        "grammar/curtilage.tmLanguage.json",
        "grammar/tree-sitter-curtilage/forms.json",
        "editors/vim/syntax/curtilage.vim",
        "editors/neovim/syntax/curtilage.vim",
        "editors/emacs/curtilage-words.el",
    ];
    let lists = [&words.items, &words.statements, &words.choices, &words.small, &words.units];
    for file in files {
        let text = std::fs::read_to_string(root().join(file)).unwrap().replace("\\\\^", "^");
        let edge = |c: char| !(c.is_alphanumeric() || matches!(c, '-' | '/' | '^' | '²'));
        let found: BTreeSet<String> =
            text.replace("\\/", "/").split(edge).map(str::to_owned).collect();
        for word in lists.iter().copied().flatten().filter(|word| !word.starts_with(['%', '°'])) {
            assert!(found.contains(word), "`{word}` is not in {file}");
        }
    }
}
