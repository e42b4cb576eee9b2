//! Any text can be checked as a site: every finding lies within a file that is there, says no
//! figure that is none, is told in order, and again the same; a fix leaves a text that can be read.

use crate::site::{OPTIONS, choice, loader, path};
use curtilage_diagnostic::{Diagnostic, Fix};
use curtilage_project::{Checked, check_only};
use curtilage_syntax::parse;
use curtilage_text::Place;

/// Checks the text.
pub fn holds(data: &[u8]) {
    let checked = run(data);
    assert!(checked.unreadable.is_empty(), "{:?}", checked.unreadable);
    for finding in &checked.findings {
        sound(&checked, finding);
    }
    let order: Vec<_> = checked.findings.iter().map(|one| (one.at.at, one.rule)).collect();
    assert!(order.is_sorted(), "findings are told in order: {order:?}");
    if choice(data) % 16 == 0 {
        assert_eq!(checked.findings, run(data).findings, "a second time");
    }
}

fn run(data: &[u8]) -> Checked {
    check_only(&loader(data), &[path()], OPTIONS)
}

fn sound(checked: &Checked, finding: &Diagnostic) {
    let labels = std::iter::once(&finding.at).chain(&finding.others);
    for label in labels {
        place(checked, label.at);
    }
    let working = finding.working.iter().flat_map(|step| [&step.what, &step.result]);
    let words = [&finding.headline, &finding.at.text].into_iter();
    let words = words.chain(&finding.help).chain(finding.why.iter()).chain(working);
    for words in words {
        // Words of the text are repeated; a text that says so itself proves nothing.
        let said = |odd: &str| checked.sources.values().any(|source| source.text.contains(odd));
        let odd = ["NaN", " inf ", "-inf", "Infinity"];
        let odd = odd.iter().any(|odd| words.contains(odd) && !said(odd));
        assert!(!odd, "{}: {words}", finding.rule);
    }
    assert!(!finding.headline.contains(['\n', '\r']), "{:?}", finding.headline);
    for fix in &finding.fixes {
        mends(checked, finding, fix);
    }
}

fn place(checked: &Checked, at: Place) {
    let source = checked.sources.get(&at.file).expect("the file of a place is told");
    let range = at.span.start as usize..at.span.end as usize;
    assert!(source.text.get(range).is_some(), "{at:?} is no place in {}", source.path);
}

/// The edits of a fix do not overlap, and afterwards the file can still be read.
fn mends(checked: &Checked, finding: &Diagnostic, fix: &Fix) {
    let mut edits: Vec<_> = fix.edits.iter().collect();
    edits.sort_by_key(|edit| (edit.at.file, edit.at.span.start));
    for pair in edits.windows(2) {
        let apart =
            pair[0].at.file != pair[1].at.file || pair[0].at.span.end <= pair[1].at.span.start;
        assert!(apart, "edits overlap: {fix:?}");
    }
    for (file, source) in &checked.sources {
        let mut text = source.text.to_string();
        for edit in edits.iter().rev().filter(|edit| edit.at.file == *file) {
            place(checked, edit.at);
            let span = edit.at.span;
            text.replace_range(span.start as usize..span.end as usize, &edit.text);
        }
        // A word that is mended may bring to light what stands behind it.
        if source.parsed.faults.is_empty() {
            let after = parse(&text, &[]).faults;
            assert_eq!(after, [], "{}: {fix:?}", finding.rule);
        }
    }
}
