//! Checks texts that are not on disk, and finds those that are.

use curtilage_diagnostic::Diagnostic;
use curtilage_facts::Options;
use curtilage_project::{Checked, Loader, check, discover};
use curtilage_syntax::tree::Date;
use std::path::{Path, PathBuf};

/// The day on which tests take place.
pub const TODAY: Date = Date { year: 2026, month: 11, day: 25 };

/// A text and the path that it stands for.
#[derive(Clone, Debug)]
pub struct Text {
    /// The path below the workspace root.
    pub path: String,
    /// The text.
    pub text: String,
}

/// The root of this repository.
#[must_use]
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    here.canonicalize().unwrap_or(here)
}

/// The site files below a folder of this repository.
#[must_use]
pub fn site_files(folder: &str) -> Vec<PathBuf> {
    discover(&[root().join(folder)]).files
}

/// Checks the first of some texts, which may use the others.
#[must_use]
pub fn check_texts(texts: &[Text]) -> Checked {
    let mut loader = Loader::new(PathBuf::from("/nowhere"));
    let path = |text: &Text| Path::new("/nowhere").join(&text.path);
    for text in texts {
        loader.overlay(path(text), text.text.clone());
    }
    let first: Vec<PathBuf> = texts.iter().take(1).map(path).collect();
    check(&loader, &first, Options { today: TODAY })
}

/// The line on which a finding begins, from 1.
#[must_use]
pub fn line_of(checked: &Checked, finding: &Diagnostic) -> usize {
    let source = checked.sources.get(&finding.at.at.file);
    source.map_or(0, |source| source.lines().position(finding.at.at.span.start).line as usize + 1)
}
