//! What a check leaves out: what no change since a commit can have touched, what a baseline knows,
//! and what goes beyond the number that is wanted.

use crate::arguments::Gate;
use crate::report::{Counts, Known, Run, resolved};
use crate::{Ending, output};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Options;
use curtilage_project::baseline::{Baseline, BaselineProblem, Entry, Held};
use curtilage_project::git::GitProblem;
use curtilage_project::{Affected, Loader, Since, check, check_only, marks, relative};
use std::cmp::Reverse;
use std::collections::{HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};

/// Checks the files of one workspace, or those that a change can have touched. `asked` are the paths
/// that were to be checked.
pub(crate) fn checked(
    gate: &Gate,
    loader: &Loader,
    files: &[PathBuf],
    asked: &[PathBuf],
    options: Options,
    here: &Path,
) -> Result<Run, String> {
    let (checked, untouched) = match &gate.since {
        None => (check(loader, files, options), Vec::new()),
        Some(revision) => {
            let told = |problem| format!("--since: {problem}");
            let since = since(asked, loader.root(), revision).map_err(told)?;
            let Affected { touched, untouched } = since.affected(loader, files).map_err(told)?;
            let untouched = untouched.iter().map(|path| loader.shown(path)).collect();
            (check_only(loader, &touched, options), untouched)
        }
    };
    Ok(Run {
        marks: marks(&checked),
        checked,
        known: Vec::new(),
        held_back: Vec::new(),
        untouched,
        root: loader.root().to_path_buf(),
        here: here.to_path_buf(),
    })
}

/// A file that lies in a workspace of its own, and is used from the one around it, was checked in
/// both: what both found there stays in its own alone.
pub(crate) fn once(runs: &mut [Run]) {
    let folder = |run: &Run| run.root.components().count();
    let mut owners: HashMap<PathBuf, usize> = HashMap::new();
    for run in runs.iter() {
        for path in &run.checked.paths {
            let depth = owners.entry(run.root.join(path)).or_default();
            *depth = folder(run).max(*depth);
        }
    }
    let elsewhere = |run: &Run, path: &str| {
        owners.get(&run.root.join(path)).is_some_and(|depth| *depth > folder(run))
    };
    let key = |run: &Run, finding: &Diagnostic| {
        let path = run.root.join(run.file(finding));
        (path, finding.at.at.span, finding.rule, finding.headline.clone())
    };
    let own: HashSet<_> = runs
        .iter()
        .flat_map(|run| run.checked.findings.iter().map(move |finding| (run, finding)))
        .filter(|(run, finding)| !elsewhere(run, run.file(finding)))
        .map(|(run, finding)| key(run, finding))
        .collect();
    for run in runs {
        let twice = |finding: &Diagnostic| {
            elsewhere(run, run.file(finding)) && own.contains(&key(run, finding))
        };
        let stays: Vec<bool> = run.checked.findings.iter().map(|one| !twice(one)).collect();
        let paths = run.checked.paths.iter().map(|path| !elsewhere(run, path));
        let paths: Vec<bool> = paths.collect();
        run.checked.files -= paths.iter().filter(|stays| !**stays).count();
        keep(&mut run.checked.findings, &stays);
        keep(&mut run.marks, &stays);
        keep(&mut run.checked.paths, &paths);
    }
}

fn keep<T>(list: &mut Vec<T>, stays: &[bool]) {
    let mut stays = stays.iter();
    list.retain(|_| stays.next().copied().unwrap_or(true));
}

/// The commit that is meant for a workspace: one of the repository in which it was asked for. A
/// repository further down has commits of its own.
fn since(asked: &[PathBuf], root: &Path, revision: &str) -> Result<Since, GitProblem> {
    let above = asked.iter().find(|path| root.starts_with(path));
    match above.map(|folder| Since::new(folder, revision)) {
        None | Some(Err(GitProblem::NoRepository(_))) => Since::new(root, revision),
        Some(since) => since,
    }
}

/// Whether all site files of some paths have gone since the commit.
pub(crate) fn all_gone(gate: &Gate, asked: &[PathBuf]) -> bool {
    let Some(revision) = &gate.since else { return false };
    let had = |path: &PathBuf| Since::new(path, revision).is_ok_and(|since| since.had_sites(path));
    asked.iter().any(had)
}

/// Takes the findings that the baseline knows out of the runs, and writes the baseline when that is
/// asked for. Gives an ending when the baseline cannot be used.
pub(crate) fn baseline(gate: &Gate, runs: &mut [Run]) -> io::Result<Option<Ending>> {
    let Some(path) = &gate.baseline else { return Ok(None) };
    let shown = path.display();
    let old = match Baseline::read(path) {
        Ok(_) if gate.adopt => {
            output::complain(&format!(
                "{shown} is there already; `--shrink` takes out what is gone, `--grow` puts in what is new"
            ));
            return Ok(Some(Ending::Usage));
        }
        Err(BaselineProblem::NotFound) if gate.adopt => Baseline::default(),
        Ok(old) => old,
        Err(problem) => {
            output::complain(&format!("{shown}: {problem}"));
            return Ok(Some(Ending::Unreadable));
        }
    };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = resolved(folder.unwrap_or(Path::new(".")))?;
    let entry = |run: &Run, finding: &Diagnostic, mark: &str| Entry {
        path: relative(&folder, &run.root.join(run.file(finding))),
        rule: finding.rule.to_owned(),
        headline: finding.headline.clone(),
        level: finding.level,
        mark: mark.to_owned(),
    };
    let entries: Vec<Entry> = runs
        .iter()
        .flat_map(|run| run.findings().map(move |(finding, mark)| entry(run, finding, mark)))
        .collect();
    let covered: HashSet<String> = runs
        .iter()
        .flat_map(|run| wholly_read(run).map(|path| relative(&folder, &run.root.join(path))))
        .collect();
    let there = |path: &str| folder.join(path).exists();
    let held = old.hold(&entries, |path| covered.contains(path), there);
    let new = written(gate, &old, &entries, &held);
    if new != old || gate.adopt {
        new.write(path)
            .map_err(|error| io::Error::new(error.kind(), format!("{shown}: {error}")))?;
        let (before, now) = (old.entries.len(), new.entries.len());
        let known = if now == 1 { "known finding" } else { "known findings" };
        output::complain(&format!("{shown}: {now} {known}, {before} before"));
    }
    tell(gate, path, &entries, &held);
    let known = if gate.adopt || gate.grow {
        // What has just been written down is known.
        entries.iter().cloned().map(Some).collect()
    } else {
        held.known
    };
    take_out(runs, known);
    Ok(None)
}

/// The baseline as it is to be from now on.
fn written(gate: &Gate, old: &Baseline, entries: &[Entry], held: &Held) -> Baseline {
    let mut new = if gate.shrink { old.shrunk(entries, held) } else { old.clone() };
    if gate.adopt || gate.grow {
        for (entry, known) in entries.iter().zip(&held.known) {
            if known.is_none() {
                // One that has become graver takes the place of what it was.
                new.entries.retain(|old| {
                    (&old.path, &old.rule, &old.mark) != (&entry.path, &entry.rule, &entry.mark)
                });
                new.entries.insert(entry.clone());
            }
        }
    }
    new
}

/// The files of a run in which, and in what they use, everything could be made out. Of any other file
/// nobody knows what would be found in it.
fn wholly_read(run: &Run) -> impl Iterator<Item = &str> {
    let paths = run.checked.paths.iter().filter(|path| !run.checked.in_part.contains(*path));
    paths.map(String::as_str)
}

/// Tells what is in the baseline and no longer in the sites, and what reads differently now.
fn tell(gate: &Gate, path: &Path, entries: &[Entry], held: &Held) {
    if gate.quiet {
        return;
    }
    let shown = path.display();
    if !held.gone.is_empty() && !gate.shrink {
        let told = match held.gone.len() {
            1 => "1 of its findings no longer occurs; `--shrink` takes it out".to_owned(),
            more => format!("{more} of its findings no longer occur; `--shrink` takes them out"),
        };
        output::complain(&format!("{shown}: {told}"));
    }
    if gate.verbose {
        for entry in &held.gone {
            output::complain(&format!("gone: {}: {} [{}]", entry.path, entry.headline, entry.rule));
        }
    }
    let changed = entries.iter().zip(&held.known).filter_map(|(entry, known)| {
        let known = known.as_ref()?;
        (known.headline != entry.headline).then_some((entry, known))
    });
    let changed: Vec<_> = changed.collect();
    if !changed.is_empty() {
        let reads = if changed.len() == 1 { "reads" } else { "read" };
        output::complain(&format!(
            "{} of the known findings {reads} differently now{}",
            changed.len(),
            if gate.verbose { "" } else { "; `--verbose` shows them" }
        ));
    }
    for (entry, known) in changed.iter().filter(|_| gate.verbose) {
        output::complain(&format!("was: {}: {}", known.path, known.headline));
        output::complain(&format!("now: {}: {}", entry.path, entry.headline));
    }
}

/// Moves the findings that are known out of those that are printed.
fn take_out(runs: &mut [Run], known: Vec<Option<Entry>>) {
    let mut known = known.into_iter();
    for run in runs {
        let findings = std::mem::take(&mut run.checked.findings);
        let marks = std::mem::take(&mut run.marks);
        for (finding, mark) in findings.into_iter().zip(marks) {
            match known.next().flatten() {
                Some(_) => run.known.push(Known { finding, mark }),
                None => {
                    run.checked.findings.push(finding);
                    run.marks.push(mark);
                }
            }
        }
    }
}

/// Counts the findings, then leaves those that are to be printed: at or above the bar when it is to
/// be quiet, and no more than are wanted, the gravest first.
pub(crate) fn print_only(gate: &Gate, bar: Level, runs: &mut [Run]) -> Counts {
    let mut counts = Counts::default();
    let mut ranks: Vec<(Reverse<Level>, usize)> = Vec::new();
    let all = runs.iter().flat_map(|run| &run.checked.findings);
    for (at, finding) in all.enumerate() {
        counts.add(finding.level);
        if !gate.quiet || finding.level >= bar {
            ranks.push((Reverse(finding.level), at));
        }
    }
    ranks.sort_unstable();
    ranks.truncate(gate.max.unwrap_or(usize::MAX));
    let wanted: HashSet<usize> = ranks.into_iter().map(|(_, at)| at).collect();
    let mut at = 0;
    for run in runs {
        let findings = std::mem::take(&mut run.checked.findings);
        let marks = std::mem::take(&mut run.marks);
        for (finding, mark) in findings.into_iter().zip(marks) {
            if wanted.contains(&at) {
                run.checked.findings.push(finding);
                run.marks.push(mark);
            } else if !gate.quiet || finding.level >= bar {
                run.held_back.push(finding);
            }
            at += 1;
        }
    }
    counts
}

/// Tells what was checked and what was left out.
pub(crate) fn tell_all(gate: &Gate, runs: &[Run]) {
    if !gate.verbose {
        return;
    }
    for run in runs {
        for path in &run.checked.paths {
            output::complain(&format!("checked: {}", run.path(path)));
        }
        for path in &run.untouched {
            output::complain(&format!("untouched: {}", run.path(path)));
        }
        for Known { finding, .. } in &run.known {
            let (path, rule) = (run.path(run.file(finding)), finding.rule);
            output::complain(&format!("known: {path}: {} [{rule}]", finding.headline));
        }
    }
}
