//! Every fix that a finding offers mends it: afterwards the file can be read, the finding is gone,
//! and no new one came.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use curtilage_diagnostic::{Diagnostic, Fix};
use curtilage_project::Checked;
use curtilage_testkit::{Text, check_texts, root, site_files, unmarked};

/// The examples' folder as texts, the one of interest first.
fn texts(first: &str, text: String) -> Vec<Text> {
    let mut out = vec![Text { path: first.to_owned(), text }];
    for path in site_files("examples") {
        let shown = path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
        if shown != first {
            out.push(Text { path: shown, text: std::fs::read_to_string(&path).unwrap() });
        }
    }
    out
}

fn apply(text: &str, fix: &Fix) -> String {
    let mut edits: Vec<_> = fix.edits.iter().collect();
    edits.sort_by_key(|edit| edit.at.span.start);
    for pair in edits.windows(2) {
        assert!(pair[0].at.span.end <= pair[1].at.span.start, "edits overlap");
    }
    let mut out = text.to_owned();
    for edit in edits.into_iter().rev() {
        let span = edit.at.span;
        out.replace_range(span.start as usize..span.end as usize, &edit.text);
    }
    out
}

fn in_root<'a>(checked: &'a Checked, path: &str) -> Vec<&'a Diagnostic> {
    let of = |finding: &&Diagnostic| checked.sources[&finding.at.at.file].path == path;
    checked.findings.iter().filter(of).collect()
}

#[test]
fn every_fix_mends_its_finding() {
    let mut tried = 0;
    let mut complaints = Vec::new();
    for path in site_files("examples/faulty") {
        let shown = path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
        let text = unmarked(&std::fs::read_to_string(&path).unwrap());
        let before = check_texts(&texts(&shown, text.clone()));
        let found = in_root(&before, &shown);
        for finding in &found {
            for fix in &finding.fixes {
                tried += 1;
                let mended = apply(&text, fix);
                let after = check_texts(&texts(&shown, mended));
                let left: Vec<String> = in_root(&after, &shown)
                    .iter()
                    .map(|finding| format!("{}: {}", finding.rule, finding.headline))
                    .collect();
                if left.len() >= found.len()
                    || left.iter().any(|left| left.ends_with(&finding.headline))
                {
                    complaints.push(format!("{shown}, \"{}\": left {left:?}", fix.title));
                }
            }
        }
    }
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
    assert!(tried >= 8, "only {tried} fixes were tried");
}
