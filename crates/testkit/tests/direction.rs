//! The crates use each other only as the table in DEVELOPERS.md says.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_testkit::root;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

type Edges = BTreeMap<String, BTreeSet<String>>;

fn table() -> (Vec<String>, Edges) {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let mut order = Vec::new();
    let mut edges = Edges::new();
    let rows = text.lines().skip_while(|line| !line.starts_with("| crate |")).skip(2);
    for row in rows.take_while(|line| line.starts_with('|')) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let uses = cells[1].split(',').map(str::trim).filter(|name| !name.is_empty());
        order.push(cells[0].to_owned());
        edges.insert(cells[0].to_owned(), uses.map(str::to_owned).collect());
    }
    (order, edges)
}

fn crates() -> Edges {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(root())
        .output()
        .unwrap();
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let short = |name: &str| name.strip_prefix("curtilage-").map(str::to_owned);
    let packages = metadata["packages"].as_array().unwrap();
    packages
        .iter()
        .map(|package| {
            let uses = package["dependencies"].as_array().unwrap().iter();
            let uses = uses.filter(|used| used["kind"].is_null());
            let uses = uses.filter_map(|used| short(used["name"].as_str().unwrap())).collect();
            (short(package["name"].as_str().unwrap()).unwrap(), uses)
        })
        .collect()
}

#[test]
fn crates_use_each_other_as_the_table_says() {
    let (order, table) = table();
    assert_eq!(crates(), table, "cargo metadata on the left, DEVELOPERS.md on the right");
    for (place, name) in order.iter().enumerate() {
        for used in &table[name] {
            let at = order.iter().position(|other| other == used).unwrap();
            assert!(at < place, "`{name}` uses `{used}`, which stands below it");
        }
    }
}
