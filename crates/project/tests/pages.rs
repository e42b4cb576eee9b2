//! The page of every rule is true: its faulty site has exactly one finding, of that rule, and its
//! mended site has none.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_rules::{RULES, Rule};
use curtilage_testkit::{Block, Text, blocks, check_texts, root};

fn text(path: &str, text: impl Into<String>) -> Text {
    Text { path: path.to_owned(), text: text.into() }
}

/// The texts of a block: the block itself, behind the base when it brings no site of its own, and
/// every file that it can use.
fn texts(block: &Block, page: &[Block]) -> Vec<Text> {
    let base = std::fs::read_to_string(root().join("docs/rules/base.site")).unwrap();
    let parts = std::fs::read_to_string(root().join("examples/parts/general.site")).unwrap();
    let own_site = block.text.lines().any(|line| line.starts_with("site "));
    let alone = own_site || block.info.contains("shared");
    let whole = if alone { block.text.clone() } else { format!("{base}\n{}", block.text) };
    let mut out = vec![text("example.site", whole), text("parts.site", parts)];
    for file in page {
        if let Some(path) = file.info.strip_prefix("site file ") {
            out.push(text(path, file.text.clone()));
        }
    }
    out
}

fn findings(block: &Block, page: &[Block]) -> Vec<(&'static str, String)> {
    let checked = check_texts(&texts(block, page));
    let own = checked.findings.iter().filter(|finding| {
        let source = checked.sources.get(&finding.at.at.file);
        source.is_some_and(|source| source.path == "example.site")
    });
    own.map(|finding| (finding.rule, finding.headline.clone())).collect()
}

fn complaint(rule: &Rule) -> Option<String> {
    let page = blocks(rule.page);
    let of = |kind: &str| {
        page.iter()
            .find(|block| block.info.split(' ').next() == Some("site") && block.info.contains(kind))
    };
    let (Some(faulty), Some(mended)) = (of("faulty"), of("mended")) else {
        return Some("has no `site faulty` and `site mended` blocks".to_owned());
    };
    let found = findings(faulty, &page);
    if found.iter().map(|(rule, _)| *rule).collect::<Vec<_>>() != [rule.name] {
        return Some(format!("its faulty site gives {found:?}"));
    }
    let left = findings(mended, &page);
    (!left.is_empty()).then(|| format!("its mended site gives {left:?}"))
}

#[test]
fn every_page_is_true() {
    let complaints: Vec<String> = RULES
        .iter()
        .filter_map(|rule| Some(format!("{}: {}", rule.name, complaint(rule)?)))
        .collect();
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

/// A page says what it finds, why that matters on site, what the fix changes and where it comes
/// from, under the same headings everywhere.
#[test]
fn every_page_has_its_parts() {
    for rule in RULES {
        let title = format!("# {}\n", rule.name);
        assert!(rule.page.starts_with(&title), "{} begins with its name", rule.name);
        for heading in [
            "## Why it matters on site",
            "## A site that has it",
            "## The same site, mended",
            "## Source",
        ] {
            assert!(rule.page.contains(heading), "{} has no `{heading}`", rule.name);
        }
    }
}

#[test]
fn the_list_of_rules_is_the_folder() {
    let folder = root().join("crates/rules/src");
    let mut files: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter_map(|name| name.strip_suffix(".md").map(|name| name.replace('_', "-")))
        .collect();
    files.sort();
    let listed: Vec<&str> = RULES.iter().map(|rule| rule.name).collect();
    assert_eq!(listed, files, "each page belongs to one rule of the sorted list");
    for rule in &listed {
        let code = folder.join(format!("{}.rs", rule.replace('-', "_")));
        assert!(code.exists(), "{rule} has no code beside its page");
    }
}
