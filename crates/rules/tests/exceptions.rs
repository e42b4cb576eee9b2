//! An exception takes away the findings of its rule and nothing else, and rules do not see each
//! other: their order changes nothing.

#![allow(clippy::unwrap_used, clippy::disallowed_methods, reason = "a test reads the examples")]

use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_rules::{RULES, check, detect, settle};
use curtilage_testkit::{TODAY, root, site_files, unmarked};
use std::path::{Path, PathBuf};

/// What an example gives, with some lines added to it.
fn facts_of<T>(path: &Path, more: &str, look: impl FnOnce(&Facts<'_, '_>) -> T) -> T {
    let mut loader = Loader::new(root());
    let text = unmarked(&std::fs::read_to_string(path).unwrap()) + more;
    loader.overlay(path.to_path_buf(), text);
    let scope = scope(&loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    look(&Facts::new(&model, Options { today: TODAY }))
}

/// Rule and headline of every finding, sorted.
fn findings(path: &Path, more: &str) -> Vec<(&'static str, String)> {
    let mut list: Vec<_> = facts_of(path, more, |facts| {
        check(facts).into_iter().map(|finding| (finding.rule, finding.headline)).collect()
    });
    list.sort();
    list
}

fn examples() -> Vec<PathBuf> {
    let files = site_files("examples/faulty");
    assert!(files.len() > 50);
    files
}

#[test]
fn an_exception_takes_away_its_rule_and_nothing_else() {
    let mut tried = 0;
    for path in examples() {
        let before = findings(&path, "");
        let mut rules: Vec<&str> = before.iter().map(|(rule, _)| *rule).collect();
        rules.dedup();
        // An exception is itself what these are about, or cannot be read behind them.
        rules.retain(|rule| !rule.starts_with("exception-") && *rule != "syntax");
        for rule in rules {
            tried += 1;
            let allow = format!("\nallow {rule} until 2027-12-31 because \"a test\"\n");
            let wanted: Vec<_> =
                before.iter().filter(|(found, _)| *found != rule).cloned().collect();
            assert_eq!(findings(&path, &allow), wanted, "{rule} in {}", path.display());
        }
    }
    assert!(tried > 50, "{tried}");
}

#[test]
fn the_order_of_rules_changes_nothing() {
    let mut random = 7_u64;
    for path in examples() {
        facts_of(&path, "", |facts| {
            let wanted = check(facts);
            let mut rules: Vec<_> = RULES.iter().collect();
            for last in (1..rules.len()).rev() {
                random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                rules.swap(last, usize::try_from(random >> 33).unwrap() % (last + 1));
            }
            let found = rules.into_iter().flat_map(|rule| detect(rule, facts)).collect();
            assert_eq!(settle(facts, found), wanted, "{}", path.display());
        });
    }
}
