//! The tables of words in the language reference are those of the parser. The test writes them
//! anew and fails when that changed anything: run it again and look at the difference.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test writes the reference")]

use curtilage_syntax::{Vocabulary, vocabulary};
use std::path::Path;

const START: &str = "<!-- vocabulary:";
const END: &str = "<!-- /vocabulary -->";

fn table(block: &str) -> String {
    let entries: Vec<Vocabulary> =
        vocabulary().into_iter().filter(|entry| entry.block == block).collect();
    assert!(!entries.is_empty(), "no block is called `{block}`");
    let mut out = String::from("\n| statement | says |\n|---|---|\n");
    for entry in entries {
        // In a table a bar would end the cell.
        let form = format!("{} {}", entry.word, entry.pattern).trim().replace('|', "\\|");
        out.push_str(&format!("| `{form}` | {} |\n", entry.about));
    }
    out.push('\n');
    out
}

#[test]
fn the_tables_of_the_reference_are_fresh() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/language.md");
    let old = std::fs::read_to_string(&path).unwrap();
    let mut new = String::new();
    let mut inside = false;
    let mut written: Vec<&str> = Vec::new();
    for line in old.lines() {
        if line == END {
            inside = false;
        }
        if !inside {
            new.push_str(line);
            new.push('\n');
        }
        if let Some(block) = line.strip_prefix(START) {
            let block = block.strip_suffix(" -->").unwrap();
            new.push_str(&table(block));
            written.push(block);
            inside = true;
        }
    }
    let all: std::collections::BTreeSet<&str> =
        vocabulary().iter().map(|entry| entry.block).collect();
    let missing: Vec<_> = all.iter().filter(|block| !written.contains(*block)).collect();
    assert!(missing.is_empty(), "the reference has no table for {missing:?}");
    if new != old {
        std::fs::write(&path, &new).unwrap();
        panic!("docs/language.md was stale; its tables are written anew");
    }
}
