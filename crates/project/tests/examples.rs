//! The clean examples have no finding at all, and the faulty ones exactly those that they mark.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_facts::Options;
use curtilage_project::{Loader, check};
use curtilage_testkit::{Expected, TODAY, expected, line_of, root, site_files};

fn found(path: &std::path::Path) -> (Vec<Expected>, Vec<String>) {
    let loader = Loader::new(root());
    let checked = check(&loader, &[path.to_path_buf()], Options { today: TODAY });
    let shown = loader.shown(path);
    let mut list = Vec::new();
    let mut told = Vec::new();
    for finding in &checked.findings {
        let line = line_of(&checked, finding);
        let file = &checked.sources[&finding.at.at.file].path;
        told.push(format!("{file}:{line}: {} ({})", finding.headline, finding.rule));
        if *file == shown {
            list.push(Expected { line, rule: finding.rule.to_owned() });
        }
    }
    list.sort();
    (list, told)
}

#[test]
fn clean_sites_have_no_finding() {
    let mut told = Vec::new();
    for folder in ["examples/sites", "examples/parts", "examples/policy"] {
        for path in site_files(folder) {
            told.extend(found(&path).1);
        }
    }
    assert!(told.is_empty(), "\n{}", told.join("\n"));
    assert!(site_files("examples/sites").len() >= 10, "ten real-sized sites");
}

#[test]
fn faulty_sites_have_the_findings_that_they_mark() {
    let mut complaints = Vec::new();
    for path in site_files("examples/faulty") {
        let text = std::fs::read_to_string(&path).unwrap();
        let (found, told) = found(&path);
        let wanted = expected(&text);
        if found != wanted {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            complaints
                .push(format!("{name}: marks {wanted:?}, found\n    {}", told.join("\n    ")));
        }
    }
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

/// Every rule has a faulty twin, so that none can go silent unnoticed.
#[test]
fn every_rule_has_a_faulty_twin() {
    let mut marked: Vec<String> = Vec::new();
    for path in site_files("examples/faulty") {
        let text = std::fs::read_to_string(&path).unwrap();
        marked.extend(expected(&text).into_iter().map(|expected| expected.rule));
    }
    let missing: Vec<&str> = curtilage_rules::RULES
        .iter()
        .map(|rule| rule.name)
        .filter(|name| !marked.iter().any(|marked| marked == name))
        .collect();
    assert!(missing.is_empty(), "no faulty twin for {missing:?}");
}
