//! Reads pages of cases, asks, and draws answers on the source.
//!
//! A case is a heading, a `site` block and an `answer` block. In the block `$0` is the cursor, or
//! two of them are the ends of a selection; a line `--- path` begins another file. A block marked
//! `site base` has the base site behind it. A page whose answers are stale is written anew, and the
//! test fails: look at the difference.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::disallowed_methods,
    dead_code,
    reason = "tests read and write their pages, and fail loudly"
)]

use curtilage_facts::{Facts, Options};
use curtilage_model::{Model, Scope, Source};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root};
use curtilage_text::{FileId, Place, Span};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The files of one case.
pub(crate) struct Case {
    /// What stands behind `site` in the first line of the block.
    pub(crate) info: String,
    pub(crate) scope: Scope,
    /// Scopes of further root files: those with a `site`.
    pub(crate) others: Vec<Scope>,
    /// The file with the cursor.
    pub(crate) file: FileId,
    /// Where the cursors stand.
    pub(crate) cursors: Vec<u32>,
}

const BASE: &str = include_str!("../answers/base.site");

impl Case {
    pub(crate) fn new(info: &str, text: &str) -> Self {
        let mut files: Vec<(String, String)> = vec![("mill.site".to_owned(), String::new())];
        for line in text.lines() {
            match line.strip_prefix("--- ") {
                Some(path) => files.push((path.to_owned(), String::new())),
                None => {
                    let last = &mut files.last_mut().unwrap().1;
                    last.push_str(line);
                    last.push('\n');
                }
            }
        }
        if info.split(' ').any(|word| word == "base") {
            files[0].1.push('\n');
            files[0].1.push_str(BASE);
        }
        let mut loader = Loader::new(PathBuf::from("/nowhere"));
        for shared in ["parts/general.site", "policy/house.site", "policy/strict.site"] {
            let text = std::fs::read_to_string(root().join("examples").join(shared)).unwrap();
            loader.overlay(Path::new("/nowhere").join(shared), text);
        }
        let mut cursors = Vec::new();
        let mut with_cursor = "mill.site".to_owned();
        for (path, text) in &files {
            let mut text = text.clone();
            while let Some(at) = text.find("$0") {
                cursors.push(u32::try_from(at).unwrap());
                with_cursor.clone_from(path);
                text.replace_range(at..at + 2, "");
            }
            loader.overlay(Path::new("/nowhere").join(path), text);
        }
        let all = |path: &str| scope(&loader, &Path::new("/nowhere").join(path)).unwrap();
        let first = all("mill.site");
        let others: Vec<Scope> = files.iter().skip(1).map(|(path, _)| all(path)).collect();
        let sources = first.files.iter().chain(others.iter().flat_map(|scope| &scope.files));
        let file = sources.into_iter().find(|source| source.path == with_cursor).unwrap().file;
        Self { info: info.to_owned(), scope: first, others, file, cursors }
    }

    pub(crate) fn cursor(&self) -> u32 {
        self.cursors[0]
    }

    /// Calls `ask` with the facts of the root file that sees the cursor, and all models.
    pub(crate) fn with<T>(&self, ask: impl FnOnce(&Facts<'_, '_>, &[&Model<'_>]) -> T) -> T {
        let first = curtilage_model::build(&self.scope);
        let others: Vec<Model<'_>> = self.others.iter().map(curtilage_model::build).collect();
        let sees = |model: &&Model<'_>| model.sources().iter().any(|s| s.file == self.file);
        let all: Vec<&Model<'_>> = std::iter::once(&first).chain(&others).collect();
        let own = all.iter().copied().find(sees).unwrap();
        let facts = Facts::new(own, Options { today: TODAY });
        ask(&facts, &all)
    }

    pub(crate) fn source(&self, file: FileId) -> &Source {
        let all: Vec<&Arc<Source>> = self
            .scope
            .files
            .iter()
            .chain(self.others.iter().flat_map(|scope| &scope.files))
            .collect();
        all.into_iter().find(|source| source.file == file).unwrap()
    }

    /// The lines of some places with a mark below each.
    pub(crate) fn draw(&self, marks: &[(Place, String)]) -> String {
        let mut out = String::new();
        let mut last = None;
        for (at, words) in marks {
            let source = self.source(at.file);
            let (line, column) = position(source, at.span.start);
            let text = source.text.lines().nth(line).unwrap_or("");
            if last != Some((at.file, line)) {
                if last.map(|(file, _)| file) != Some(at.file) && at.file != self.file {
                    writeln!(out, "{}", source.path).unwrap();
                }
                writeln!(out, "{text}").unwrap();
            }
            last = Some((at.file, line));
            let end = (at.span.end as usize).min(at.span.start as usize + text.len() - column);
            let words_marked =
                &source.text[at.span.start as usize..end.max(at.span.start as usize)];
            let width = words_marked.chars().count().max(1);
            let before = text[..column].chars().count();
            writeln!(out, "{}{} {words}", " ".repeat(before), "^".repeat(width)).unwrap();
        }
        trim_lines(&out)
    }
}

pub(crate) fn position(source: &Source, offset: u32) -> (usize, usize) {
    let at = source.lines().position(offset);
    (at.line as usize, at.column as usize)
}

pub(crate) fn trim_lines(text: &str) -> String {
    let mut out: String = text.lines().map(|line| format!("{}\n", line.trim_end())).collect();
    if out.is_empty() {
        out = "(nothing)\n".to_owned();
    }
    out
}

/// Marks without words.
pub(crate) fn plain(places: impl IntoIterator<Item = Place>) -> Vec<(Place, String)> {
    places.into_iter().map(|at| (at, String::new())).collect()
}

pub(crate) fn here(file: FileId, span: Span) -> Place {
    Place::new(file, span)
}

/// Asks every case of a page. Stale answers are written anew.
#[track_caller]
pub(crate) fn page(name: &str, ask: impl Fn(&Case) -> String) {
    let path = root().join("crates/ide/tests/answers").join(name);
    let old = std::fs::read_to_string(&path).unwrap();
    let mut new = String::new();
    let mut lines = old.lines().peekable();
    let mut cases = 0;
    while let Some(line) = lines.next() {
        new.push_str(line);
        new.push('\n');
        let Some(info) = line.strip_prefix("```site") else { continue };
        let mut text = String::new();
        for line in lines.by_ref().take_while(|line| *line != "```") {
            text.push_str(line);
            text.push('\n');
        }
        write!(new, "{text}```\n\n````answer\n").unwrap();
        new.push_str(&ask(&Case::new(info.trim(), &text)));
        new.push_str("````\n");
        cases += 1;
        // The old answer is dropped.
        while lines.peek().is_some_and(|line| line.trim().is_empty()) {
            lines.next();
        }
        if lines.next_if(|line| line.starts_with("````answer")).is_some() {
            for line in lines.by_ref() {
                if line == "````" {
                    break;
                }
            }
        }
        while lines.peek().is_some_and(|line| line.trim().is_empty()) {
            lines.next();
        }
        if lines.peek().is_some() {
            new.push('\n');
        }
    }
    assert!(cases > 0, "{name} has no cases");
    if new != old {
        std::fs::write(&path, &new).unwrap();
        panic!("{name} was stale; its answers are written anew, look at the difference");
    }
}
