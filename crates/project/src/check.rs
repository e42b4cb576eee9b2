//! Runs the rules over many files, on as many threads as the machine has, and gives the findings in
//! an order that does not depend on them.

use crate::load::Loader;
use crate::parts::after_parts;
use crate::read::ReadProblem;
use crate::scope::scope;
use crate::threads::together;
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Facts, Options};
use curtilage_model::Source;
use curtilage_text::FileId;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// A path that could not be read, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// The path as it is shown.
    pub path: String,
    /// Why.
    pub why: String,
}

/// What a check found.
#[derive(Debug, Default)]
pub struct Checked {
    /// Every file that a finding speaks of, by number.
    pub sources: HashMap<FileId, Arc<Source>>,
    /// The findings, by path of the file, then by place.
    pub findings: Vec<Diagnostic>,
    /// Paths that could not be read.
    pub unreadable: Vec<Unreadable>,
    /// How many files were checked, used ones included.
    pub files: usize,
    /// The paths of the files that were checked, as they are shown, in order.
    pub paths: Vec<String>,
    /// Those of which something is not known, because a statement, a file or a name in what they see
    /// could not be made out: what is not found in them may be there.
    pub in_part: HashSet<String>,
}

/// Checks the files at some resolved paths, and every file that they use.
#[must_use]
pub fn check(loader: &Loader, paths: &[PathBuf], options: Options) -> Checked {
    let mut results: BTreeMap<String, One> = BTreeMap::new();
    let mut todo: Vec<PathBuf> = paths.to_vec();
    let mut known: HashSet<PathBuf> = todo.iter().cloned().collect();
    // A file that is used is checked as a file of its own, once, whoever uses it.
    while !todo.is_empty() {
        let done = each(loader, &todo, options);
        let mut next = Vec::new();
        for (path, one) in todo.iter().zip(done) {
            for used in &one.used {
                let used = loader.root().join(used);
                if known.insert(used.clone()) {
                    next.push(used);
                }
            }
            results.insert(loader.shown(path), one);
        }
        todo = next;
    }
    gather(results)
}

/// Checks the files at some resolved paths, each as a file of its own, and no other.
#[must_use]
pub fn check_only(loader: &Loader, paths: &[PathBuf], options: Options) -> Checked {
    let done = each(loader, paths, options);
    gather(paths.iter().map(|path| loader.shown(path)).zip(done).collect())
}

fn gather(results: BTreeMap<String, One>) -> Checked {
    let mut checked = Checked { files: results.len(), ..Checked::default() };
    for (path, one) in results {
        checked.paths.push(path.clone());
        if !one.whole {
            checked.in_part.insert(path.clone());
        }
        if let Some(why) = one.problem {
            checked.unreadable.push(Unreadable { path, why });
        }
        checked.findings.extend(one.findings);
        checked.sources.extend(one.sources.into_iter().map(|source| (source.file, source)));
    }
    checked
}

/// What came of one file.
#[derive(Default)]
struct One {
    findings: Vec<Diagnostic>,
    /// The files that its findings may speak of.
    sources: Vec<Arc<Source>>,
    /// The paths of the files that it uses.
    used: Vec<String>,
    /// Whether everything that it sees could be made out.
    whole: bool,
    problem: Option<String>,
}

fn each(loader: &Loader, paths: &[PathBuf], options: Options) -> Vec<One> {
    let next = AtomicUsize::new(0);
    let slots: Vec<Mutex<One>> = paths.iter().map(|_| Mutex::default()).collect();
    together(pieces(paths), || {
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let (Some(path), Some(slot)) = (paths.get(index), slots.get(index)) else {
                return;
            };
            let result = one(loader, path, options);
            *slot.lock().unwrap_or_else(PoisonError::into_inner) = result;
        }
    });
    slots
        .into_iter()
        .map(|slot| slot.into_inner().unwrap_or_else(PoisonError::into_inner))
        .collect()
}

/// How many threads are worth while: a second one needs more memory than a small file, and has hardly
/// begun when that is done.
fn pieces(paths: &[PathBuf]) -> usize {
    const SMALL: u64 = 32 * 1024;
    let small = |path: &PathBuf| path.metadata().is_ok_and(|file| file.len() <= SMALL);
    if paths.len() == 2 && paths.iter().any(small) { 1 } else { paths.len() }
}

fn one(loader: &Loader, path: &Path, options: Options) -> One {
    let scope = match scope(loader, path) {
        Ok(scope) => scope,
        Err(problem) => {
            let why = match problem {
                ReadProblem::NotFound => "there is no such file".to_owned(),
                ReadProblem::Unreadable(why) => why,
            };
            return One { problem: Some(why), ..One::default() };
        }
    };
    let model = curtilage_model::build(&scope);
    let facts = after_parts(|before| Facts::after(&model, options, before));
    let (findings, whole) = (curtilage_rules::check(&facts), !facts.doubt.anything());
    let used = scope.files.iter().skip(1).map(|source| source.path.clone()).collect();
    let sources = if findings.is_empty() { Vec::new() } else { scope.files.clone() };
    // Nobody uses a site, so nobody asks for it again: many sites need no more memory than few.
    if model.site.is_some() {
        loader.release(path);
    }
    One { findings, sources, used, whole, problem: None }
}
