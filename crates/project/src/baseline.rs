//! The findings that were there when a portfolio was taken over: they are held back, so that what is
//! new stands out. A baseline only shrinks; it grows when somebody says so.
//!
//! The file has one finding a line, in an order that does not depend on the run, so that a change of
//! it can be read:
//!
//! ```text
//! MARK <tab> LEVEL <tab> RULE <tab> PATH <tab> HEADLINE
//! ```
//!
//! The mark, the rule and the path tell the finding; the headline is for people.

use crate::read::{ReadProblem, read};
use crate::write::create;
use curtilage_diagnostic::Level;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::Path;

/// The first line of the file; its number rises when an old reader would misread a new file.
const HEAD: &str = "# curtilage baseline 1";
const NOTE: &str =
    "# Known findings. `curtilage check --baseline THIS --shrink` takes out what is gone.";

/// A finding that is known, or that could become so.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    /// The path of its file, from the folder of the baseline, with `/`.
    pub path: String,
    /// The rule.
    pub rule: String,
    /// Its words when it was written down.
    pub headline: String,
    /// How grave it was.
    pub level: Level,
    /// Its mark, as [`crate::marks`] gives it.
    pub mark: String,
}

/// The known findings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Baseline {
    /// In order, none twice.
    pub entries: BTreeSet<Entry>,
}

/// Why a baseline cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BaselineProblem {
    /// There is no such file.
    NotFound,
    /// It cannot be read.
    Unreadable(String),
    /// A line of it is not understood.
    Line {
        /// The line, from 1.
        line: usize,
        /// What is wrong with it.
        why: String,
    },
}

impl std::fmt::Display for BaselineProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotFound => f.write_str("there is no such file; `--adopt` makes it"),
            Self::Unreadable(why) => f.write_str(why),
            Self::Line { line, why } => write!(f, "line {line}: {why}"),
        }
    }
}

/// What came of holding the findings of a run against a baseline.
#[derive(Clone, Debug, Default)]
pub struct Held {
    /// For each finding, in order, the entry that knows it.
    pub known: Vec<Option<Entry>>,
    /// The entries that no longer occur though their file was checked, or is no longer there.
    pub gone: Vec<Entry>,
}

impl Baseline {
    /// Reads the file.
    ///
    /// # Errors
    /// [`BaselineProblem`]; nothing in it is passed over.
    pub fn read(path: &Path) -> Result<Self, BaselineProblem> {
        let bytes = read(path).map_err(|problem| match problem {
            ReadProblem::NotFound => BaselineProblem::NotFound,
            ReadProblem::Unreadable(why) => BaselineProblem::Unreadable(why),
        })?;
        let text = String::from_utf8(bytes)
            .map_err(|_| BaselineProblem::Unreadable("it is not UTF-8 text".to_owned()))?;
        Self::from_text(&text)
    }

    /// Writes the file, whole or not at all.
    ///
    /// # Errors
    /// When it cannot be written; the old file is then as it was.
    pub fn write(&self, path: &Path) -> io::Result<()> {
        create(path, &self.text())
    }

    /// The entries in a text.
    ///
    /// # Errors
    /// The first line that is not understood.
    pub fn from_text(text: &str) -> Result<Self, BaselineProblem> {
        let wrong = |line: usize, why: &str| BaselineProblem::Line { line, why: why.to_owned() };
        let mut lines = text.lines().enumerate().map(|(at, line)| (at + 1, line.trim_end()));
        match lines.next() {
            Some((_, HEAD)) => {}
            _ => return Err(wrong(1, &format!("a baseline begins with `{HEAD}`"))),
        }
        let mut entries = BTreeSet::new();
        for (at, line) in lines {
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let mut fields = line.splitn(5, '\t');
            let mut field = || fields.next().map(unescape);
            let (Some(mark), Some(level), Some(rule), Some(path), Some(headline)) =
                (field(), field(), field(), field(), field())
            else {
                return Err(wrong(at, "five fields are wanted, with tabs between them"));
            };
            let Some(level) = Level::from_word(&level) else {
                return Err(wrong(at, &format!("`{level}` is no level")));
            };
            if mark.len() != 16 || !mark.bytes().all(|byte| byte.is_ascii_hexdigit()) {
                return Err(wrong(at, "it begins with no mark of sixteen hexadecimal digits"));
            }
            entries.insert(Entry { path, rule, headline, level, mark });
        }
        Ok(Self { entries })
    }

    /// The text of the file.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = format!("{HEAD}\n{NOTE}\n");
        for entry in &self.entries {
            let fields = [
                &entry.mark,
                entry.level.word(),
                &entry.rule,
                &escape(&entry.path),
                &escape(&entry.headline),
            ];
            out.push_str(&fields.join("\t"));
            out.push('\n');
        }
        out
    }

    /// Holds findings against the entries. A finding is known when an entry has its rule, its file
    /// and its mark, and was at least as grave; or when the file of such an entry is no longer there
    /// and nothing else claims it, as after a rename. `covered` tells whether a path was checked in
    /// this run, `there` whether its file exists.
    #[must_use]
    pub fn hold(
        &self,
        findings: &[Entry],
        covered: impl Fn(&str) -> bool,
        there: impl Fn(&str) -> bool,
    ) -> Held {
        let key = |entry: &Entry| (entry.path.clone(), entry.rule.clone(), entry.mark.clone());
        let mut open: BTreeMap<_, &Entry> =
            self.entries.iter().map(|entry| (key(entry), entry)).collect();
        let mut known: Vec<Option<Entry>> = vec![None; findings.len()];
        // Findings that an entry tells, but that have become graver: new, and the entry is not gone.
        let mut graver = vec![false; findings.len()];
        for ((finding, known), graver) in findings.iter().zip(&mut known).zip(&mut graver) {
            if let Some(entry) = open.remove(&key(finding)) {
                *graver = finding.level > entry.level;
                *known = (!*graver).then(|| entry.clone());
            }
        }
        for ((finding, known), graver) in findings.iter().zip(&mut known).zip(&graver) {
            if known.is_some() || *graver {
                continue;
            }
            let moved = open.iter().find(|((path, rule, mark), entry)| {
                *rule == finding.rule
                    && *mark == finding.mark
                    && finding.level <= entry.level
                    && !there(path)
            });
            if let Some(key) = moved.map(|(key, _)| key.clone()) {
                *known = open.remove(&key).cloned();
            }
        }
        let gone = open.into_values().filter(|entry| covered(&entry.path) || !there(&entry.path));
        let mut gone: Vec<Entry> = gone.cloned().collect();
        gone.sort();
        Held { known, gone }
    }

    /// The baseline without the entries that are gone, and with those whose file was renamed under
    /// its new name. It never has more entries than before.
    #[must_use]
    pub fn shrunk(&self, findings: &[Entry], held: &Held) -> Self {
        let mut entries = self.entries.clone();
        for entry in &held.gone {
            entries.remove(entry);
        }
        for (finding, known) in findings.iter().zip(&held.known) {
            if let Some(known) = known
                && known.path != finding.path
                && entries.remove(known)
            {
                entries.insert(Entry { path: finding.path.clone(), ..known.clone() });
            }
        }
        Self { entries }
    }
}

/// One field: a tab or a line end in a path or a headline would end it.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '\\' => out.push_str("\\\\"),
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            other => out.push(other),
        }
    }
    out
}

fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        if character != '\\' {
            out.push(character);
            continue;
        }
        match characters.next() {
            Some('t') => out.push('\t'),
            Some('n') => out.push('\n'),
            Some('r') => out.push('\r'),
            Some(other) => out.push(other),
            None => out.push('\\'),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_text_is_a_baseline_or_is_told(text in "(?s).{0,60}", body in "[a-f0-9\t\n\\\\ hint]{0,80}") {
            let _ = Baseline::from_text(&text);
            if let Ok(read) = Baseline::from_text(&format!("{HEAD}\n{body}")) {
                prop_assert_eq!(Baseline::from_text(&read.text()), Ok(read));
            }
        }

        #[test]
        fn shrinking_never_grows_and_loses_nothing_that_is_found(
            old in prop::collection::vec((0..3u8, 0..2u8, 0..3u64), 0..8),
            now in prop::collection::vec((0..3u8, 0..2u8, 0..3u64), 0..8),
            lost in 0..4u8,
        ) {
            let one = |(path, level, mark): &(u8, u8, u64)| {
                let level = if *level == 0 { Level::Warning } else { Level::Error };
                entry(&format!("{path}.site"), "r", level, *mark)
            };
            // A file has no two findings of one rule and mark.
            let distinct = |list: &[(u8, u8, u64)]| -> Vec<Entry> {
                let all: BTreeMap<(u8, u64), Entry> =
                    list.iter().map(|key| ((key.0, key.2), one(key))).collect();
                all.into_values().collect()
            };
            let there = |path: &str| path != format!("{lost}.site");
            let old = baseline(&distinct(&old));
            let now: Vec<Entry> =
                distinct(&now).into_iter().filter(|entry| there(&entry.path)).collect();
            let held = old.hold(&now, |_| true, there);
            let shrunk = old.shrunk(&now, &held);
            prop_assert!(shrunk.entries.len() <= old.entries.len());
            // What was known is known by the shrunk one too, and it has nothing more to lose.
            let again = shrunk.hold(&now, |_| true, there);
            let known = |held: &Held| held.known.iter().map(Option::is_some).collect::<Vec<_>>();
            prop_assert_eq!(known(&again), known(&held));
            prop_assert_eq!(again.gone, vec![]);
            prop_assert_eq!(shrunk.shrunk(&now, &shrunk.hold(&now, |_| true, there)), shrunk);
        }
    }

    fn entry(path: &str, rule: &str, level: Level, mark: u64) -> Entry {
        Entry {
            path: path.to_owned(),
            rule: rule.to_owned(),
            headline: format!("{rule} in {path}"),
            level,
            mark: format!("{mark:016x}"),
        }
    }

    fn baseline(entries: &[Entry]) -> Baseline {
        Baseline { entries: entries.iter().cloned().collect() }
    }

    #[test]
    fn a_baseline_is_read_as_it_was_written() {
        let mut odd = entry("a b/\tc\n\\.site", "silent-zone", Level::Hint, 1);
        odd.headline = "`x\\ty`\r\nruns".to_owned();
        let one = baseline(&[odd, entry("b.site", "syntax", Level::Error, 2)]);
        assert_eq!(Baseline::from_text(&one.text()), Ok(one.clone()));
        assert_eq!(one.text().lines().count(), 4, "{}", one.text());
    }

    #[test]
    fn what_is_no_baseline_is_told_at_its_line() {
        let line = |text: &str| match Baseline::from_text(text) {
            Err(BaselineProblem::Line { line, .. }) => line,
            other => panic!("{other:?}"),
        };
        assert_eq!(line(""), 1);
        assert_eq!(line("# curtilage baseline 2\n"), 1);
        assert_eq!(line(&format!("{HEAD}\n\nabc\n")), 3);
        assert_eq!(line(&format!("{HEAD}\nxyz\thint\tr\tp\th\n")), 2);
        assert_eq!(line(&format!("{HEAD}\n0123456789abcdef\tgrave\tr\tp\th\n")), 2);
    }

    #[test]
    fn known_findings_are_held_back_and_graver_ones_are_not() {
        let old = baseline(&[
            entry("a.site", "r", Level::Warning, 1),
            entry("a.site", "r", Level::Warning, 2),
            entry("a.site", "r", Level::Warning, 3),
            entry("b.site", "r", Level::Warning, 1),
        ]);
        let now = [
            entry("a.site", "r", Level::Warning, 1),
            entry("a.site", "r", Level::Error, 2),
            entry("a.site", "s", Level::Hint, 1),
        ];
        let held = old.hold(&now, |path| path == "a.site", |_| true);
        let known: Vec<bool> = held.known.iter().map(Option::is_some).collect();
        assert_eq!(known, [true, false, false]);
        // `b.site` was not checked in this run: nothing is known of its entry.
        assert_eq!(held.gone, [entry("a.site", "r", Level::Warning, 3)]);
        let shrunk = old.shrunk(&now, &held);
        assert_eq!(shrunk.entries.len(), 3);
        assert!(shrunk.entries.is_subset(&old.entries));
    }

    #[test]
    fn a_renamed_file_keeps_its_entries_and_a_copied_one_does_not_borrow_them() {
        let old = baseline(&[entry("old.site", "r", Level::Error, 1)]);
        let moved = [entry("new.site", "r", Level::Error, 1)];
        let held = old.hold(&moved, |path| path == "new.site", |path| path == "new.site");
        assert!(held.known.iter().all(Option::is_some) && held.gone.is_empty());
        let shrunk = old.shrunk(&moved, &held);
        let paths: Vec<&str> = shrunk.entries.iter().map(|entry| entry.path.as_str()).collect();
        assert_eq!(paths, ["new.site"]);
        let held = old.hold(&moved, |path| path == "new.site", |_| true);
        assert!(held.known.iter().all(Option::is_none));
    }
}
