//! The notation says what the parser reads: every line of the examples is a sentence of it, and
//! every sentence of it is read without a fault.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the examples")]

use curtilage_grammar::{Block, Chance, Grammar, Rule, grammar, matches, sentence};
use curtilage_syntax::{FaultKind, Statement, parse};
use curtilage_testkit::{blocks, root, site_files};

/// Every site text of the repository, with a name for it.
fn all_sources() -> Vec<(String, String)> {
    let mut out = Vec::new();
    for path in site_files("examples") {
        out.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
    }
    let mut pages = vec![root().join("docs/language.md")];
    for folder in ["crates/rules/src", "crates/format/tests/cases"] {
        for entry in std::fs::read_dir(root().join(folder)).unwrap() {
            pages.push(entry.unwrap().path());
        }
    }
    pages.sort();
    for page in pages.iter().filter(|page| page.extension().is_some_and(|e| e == "md")) {
        for block in blocks(&std::fs::read_to_string(page).unwrap()) {
            if block.info.starts_with("site") || ["before", "after"].contains(&&*block.info) {
                out.push((format!("{}:{}", page.display(), block.line), block.text));
            }
        }
    }
    out
}

/// Those that have no syntax fault.
fn sources() -> Vec<(String, String)> {
    let mut out = all_sources();
    out.retain(|(_, text)| parse(text, &[]).faults.is_empty());
    assert!(out.len() > 150, "only {} sources", out.len());
    out
}

fn word<'a>(source: &'a str, statement: &Statement) -> &'a str {
    statement.atoms.first().map_or("", |atom| atom.span.of(source))
}

/// The block that an item's line opens.
fn opened<'a>(grammar: &'a Grammar, source: &str, item: &Statement) -> Option<&'a Block> {
    let line = item.line().of(source);
    let mut blocks = grammar.blocks_of(word(source, item));
    if word(source, item) != "part" {
        return blocks.next();
    }
    let kind = line.rsplit(' ').next().unwrap();
    blocks.find(|block| block.name == format!("{kind}-part"))
}

fn fits(rules: &[Rule], source: &str, statement: &Statement) -> bool {
    let first = word(source, statement);
    let named = rules.iter().find(|rule| rule.word == first);
    let rule = named.or_else(|| rules.iter().find(|rule| rule.word.is_empty()));
    rule.is_some_and(|rule| matches(&rule.line(), source, statement))
}

#[test]
fn every_line_of_the_examples_is_a_sentence() {
    let grammar = grammar().unwrap();
    let mut complaints = Vec::new();
    let mut lines = 0;
    for (name, source) in sources() {
        let parsed = parse(&source, &[]);
        for item in parsed.statements(&source) {
            lines += 1;
            if !fits(&grammar.items, &source, item) {
                complaints.push(format!("{name}: {}", item.line().of(&source)));
            }
            let Some(block) = &item.block else { continue };
            let opened = opened(&grammar, &source, item).unwrap();
            for statement in &block.statements {
                lines += 1;
                if !fits(&opened.statements, &source, statement) {
                    complaints.push(format!("{name}: {}", statement.line().of(&source)));
                }
            }
        }
    }
    assert!(lines > 3000, "only {lines} lines");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn every_sentence_is_read_without_a_fault() {
    let mut complaints = Vec::new();
    for source in sentences(40) {
        if let Some(fault) = parse(&source, &[]).faults.first() {
            complaints.push(format!("{source}\n    {:?}", fault.kind));
        }
    }
    complaints.truncate(20);
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// Files of one item, by which each statement is said in many ways.
fn sentences(ways: u64) -> Vec<String> {
    let grammar = grammar().unwrap();
    let mut out = Vec::new();
    for item in &grammar.items {
        let plain = grammar.blocks_of(item.word).next().is_none() || item.word == "schedule";
        for seed in (0..ways).filter(|_| plain) {
            out.push(sentence(&item.line(), "{\n}", &mut Chance::new(seed)));
        }
        for block in grammar.blocks_of(item.word) {
            for rule in &block.statements {
                for seed in 0..ways {
                    let line = sentence(&rule.line(), "", &mut Chance::new(seed));
                    let body = format!("{{\n    {line}\n}}");
                    // Some heads have a block in one alternative only.
                    let mut heads =
                        (seed..).map(|seed| sentence(&item.line(), &body, &mut Chance::new(seed)));
                    let mut whole = heads.find(|head| head.contains(&body)).unwrap();
                    if let Some(kind) = block.name.strip_suffix("-part") {
                        let (head, _) = whole.split_once(" is ").unwrap();
                        whole = format!("{head} is {kind} {body}");
                    }
                    out.push(whole);
                }
            }
        }
    }
    out
}

/// Writes into the folder named by `CURTILAGE_CORPUS` what a second parser has to read without an
/// error (every source and many sentences, in `read`), and what it has to refuse (in `refused`).
#[test]
fn a_corpus_for_other_parsers() {
    let Some(folder) = std::env::var_os("CURTILAGE_CORPUS") else { return };
    let write = |name: &str, texts: &[String]| {
        let folder = std::path::Path::new(&folder).join(name);
        std::fs::create_dir_all(&folder).unwrap();
        for (index, text) in texts.iter().enumerate() {
            std::fs::write(folder.join(format!("{index:05}.site")), text).unwrap();
        }
    };
    let read = sources().into_iter().map(|(_, text)| text).chain(sentences(6));
    write("read", &read.collect::<Vec<_>>());
    // A value that cannot be is no matter of grammar.
    let of_grammar = |kind: &FaultKind| {
        use FaultKind::{Expected, NoUnit, OpenText, StrayBrace, Surplus, UnknownStatement};
        matches!(
            kind,
            Expected { .. }
                | NoUnit { .. }
                | OpenText
                | StrayBrace
                | Surplus { .. }
                | UnknownStatement { .. }
        )
    };
    let mut refused = all_sources();
    refused.retain(|(_, text)| parse(text, &[]).faults.iter().any(|f| of_grammar(&f.kind)));
    write("refused", &refused.into_iter().map(|(_, text)| text).collect::<Vec<_>>());
}

/// A rule of the EBNF is defined once, and every name that one uses is defined.
#[test]
fn the_ebnf_is_closed() {
    let text = std::fs::read_to_string(root().join("docs/grammar/curtilage.ebnf")).unwrap();
    let mut plain = String::new();
    let mut rest = text.as_str();
    while let Some((before, after)) = rest.split_once("/*") {
        plain.push_str(before);
        rest = after.split_once("*/").unwrap().1;
    }
    plain.push_str(rest);
    let mut defined = std::collections::BTreeSet::new();
    let mut used = std::collections::BTreeSet::new();
    for line in plain.lines() {
        let (head, body) = line.split_once("::=").unwrap_or(("", line));
        let name = head.trim();
        if !name.is_empty() {
            assert!(defined.insert(name.to_owned()), "`{name}` is defined twice");
        } else if !body.trim().is_empty() && !line.starts_with(' ') {
            assert!(defined.insert(body.trim().to_owned()), "`{body}` is defined twice");
            continue;
        }
        // What stands in quotes or brackets is text.
        let mut inside: Option<char> = None;
        let mut word = String::new();
        for letter in body.chars().chain([' ']) {
            match (inside, letter) {
                (Some(end), letter) if letter == end => inside = None,
                (Some(_), _) => {}
                (None, '"' | '\'') => inside = Some(letter),
                (None, '[') => inside = Some(']'),
                (None, letter) if letter.is_alphanumeric() || matches!(letter, '-' | '_') => {
                    word.push(letter);
                }
                (None, _) => {
                    used.insert(std::mem::take(&mut word));
                }
            }
        }
    }
    used.retain(|word| !word.is_empty() && !word.starts_with('x') && !word.starts_with("XID"));
    let missing: Vec<_> = used.difference(&defined).collect();
    assert!(missing.is_empty(), "not defined: {missing:?}");
    // A comment stands anywhere, so that no rule uses it.
    let roots = ["file", "comment"];
    let idle: Vec<_> = defined.difference(&used).filter(|n| !roots.contains(&n.as_str())).collect();
    assert!(idle.is_empty(), "never used: {idle:?}");
}
