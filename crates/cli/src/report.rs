//! What came of a check, as every form of report reads it.

use crate::output;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_project::{Checked, Unreadable, fingerprint, relative};
use curtilage_text::Place;
use std::path::{Path, PathBuf};

/// A check of one or more workspaces.
#[derive(Debug)]
pub(crate) struct Report {
    pub(crate) runs: Vec<Run>,
    pub(crate) unreadable: Vec<Unreadable>,
    /// The least level that makes the run fail.
    pub(crate) bar: Level,
    /// Whether nothing but what makes the run fail is printed.
    pub(crate) quiet: bool,
    /// How many findings there are of each level, known ones apart, printed or not.
    pub(crate) counts: Counts,
    /// The commit since which changes count, as it was given.
    pub(crate) since: Option<String>,
}

/// The check of one workspace.
#[derive(Debug)]
pub(crate) struct Run {
    /// Its findings are those that are printed.
    pub(crate) checked: Checked,
    /// The mark of each of them.
    pub(crate) marks: Vec<String>,
    /// The findings that a baseline knows.
    pub(crate) known: Vec<Known>,
    /// The findings that are not printed because no more are wanted.
    pub(crate) held_back: Vec<Diagnostic>,
    /// The files that were left out, because no change can have touched what is found in them.
    pub(crate) untouched: Vec<String>,
    /// The root of the workspace.
    pub(crate) root: PathBuf,
    /// The folder in which the program runs.
    pub(crate) here: PathBuf,
}

/// A finding that a baseline knows.
#[derive(Debug)]
pub(crate) struct Known {
    pub(crate) finding: Diagnostic,
    pub(crate) mark: String,
}

/// How many findings of each level.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Counts {
    pub(crate) errors: usize,
    pub(crate) warnings: usize,
    pub(crate) hints: usize,
}

impl Counts {
    pub(crate) fn add(&mut self, level: Level) {
        match level {
            Level::Error => self.errors += 1,
            Level::Warning => self.warnings += 1,
            Level::Hint => self.hints += 1,
        }
    }

    fn all(self) -> usize {
        self.errors + self.warnings + self.hints
    }
}

/// A stretch of a file: lines and columns from 1, columns in characters, the end behind the last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Region {
    pub(crate) path: String,
    pub(crate) line: u32,
    pub(crate) column: u32,
    pub(crate) end_line: u32,
    pub(crate) end_column: u32,
}

impl Run {
    /// The path of a file of the workspace as seen from here, with `/`.
    pub(crate) fn path(&self, shown: &str) -> String {
        let path = relative(&self.here, &self.root.join(shown));
        if path.is_empty() { shown.to_owned() } else { path }
    }

    /// Where a place is.
    pub(crate) fn region(&self, at: Place) -> Region {
        let Some(source) = self.checked.sources.get(&at.file) else {
            return Region { line: 1, column: 1, end_line: 1, end_column: 1, ..Region::default() };
        };
        let start = source.lines().position_chars(&source.text, at.span.start);
        let end = source.lines().position_chars(&source.text, at.span.end);
        Region {
            path: self.path(&source.path),
            line: start.line + 1,
            column: start.column + 1,
            end_line: end.line + 1,
            end_column: end.column + 1,
        }
    }

    /// The findings that are printed, with their marks.
    pub(crate) fn findings(&self) -> impl Iterator<Item = (&Diagnostic, &str)> {
        self.checked.findings.iter().zip(self.marks.iter().map(String::as_str))
    }

    /// What tells a finding from all others of the project.
    pub(crate) fn fingerprint(&self, finding: &Diagnostic, mark: &str) -> String {
        let path = self.checked.sources.get(&finding.at.at.file);
        fingerprint(path.map_or("", |source| source.path.as_str()), mark)
    }

    /// The path of the file in which a finding lies, as it is shown.
    pub(crate) fn file(&self, finding: &Diagnostic) -> &str {
        let source = self.checked.sources.get(&finding.at.at.file);
        source.map_or("", |source| source.path.as_str())
    }
}

impl Report {
    /// How many files were checked.
    pub(crate) fn files(&self) -> usize {
        self.runs.iter().map(|run| run.checked.files).sum()
    }

    /// Whether a finding makes the run fail.
    pub(crate) fn fails(&self) -> bool {
        let Counts { errors, warnings, hints } = self.counts;
        match self.bar {
            Level::Error => errors > 0,
            Level::Warning => errors + warnings > 0,
            Level::Hint => errors + warnings + hints > 0,
        }
    }

    /// One line: how many files, how many findings of each level, what is known, what is left out.
    pub(crate) fn summary(&self) -> String {
        let files = self.files();
        let mut out = format!("{} checked", count(files, "file"));
        if let Some(since) = &self.since {
            let untouched: usize = self.runs.iter().map(|run| run.untouched.len()).sum();
            out.push_str(&format!(", {untouched} untouched since {since}"));
        }
        let Counts { errors, warnings, hints } = self.counts;
        let parts = [(errors, "error"), (warnings, "warning"), (hints, "hint")];
        let parts = parts.into_iter().filter(|(number, _)| *number > 0);
        let parts: Vec<String> = parts.map(|(number, word)| count(number, word)).collect();
        match parts.as_slice() {
            // Where nobody looked nothing is found.
            [] if files == 0 && self.since.is_none() => {}
            [] => out.push_str(": nothing found"),
            parts => out.push_str(&format!(": {}", parts.join(", "))),
        }
        let known: usize = self.runs.iter().map(|run| run.known.len()).sum();
        if known > 0 {
            out.push_str(&format!("; {known} known"));
        }
        let printed: usize = self.runs.iter().map(|run| run.checked.findings.len()).sum();
        if printed < self.counts.all() {
            out.push_str(&format!("; {printed} of them printed"));
        }
        out
    }
}

pub(crate) fn count(number: usize, word: &str) -> String {
    if number == 1 { format!("1 {word}") } else { format!("{number} {word}s") }
}

/// The folder in which the program runs, resolved.
pub(crate) fn here() -> std::io::Result<PathBuf> {
    Path::new(".").canonicalize()
}

/// A folder with links followed; what is wrong with it is told with its path.
pub(crate) fn resolved(folder: &Path) -> std::io::Result<PathBuf> {
    folder.canonicalize().map_err(|error| output::at(folder.display(), &error))
}
