//! Follows the `use` lines of a file: what it sees, and what is wrong with the way there.

use crate::analysis::Need;
use crate::load::Loader;
use crate::read::ReadProblem;
use curtilage_model::{Fault, FaultKind, ImportProblem, Scope, Source};
use curtilage_syntax::nearest;
use curtilage_syntax::tree::{Import, Item};
use curtilage_text::{Place, Span};
use std::collections::HashMap;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

/// What the file at a resolved path sees.
///
/// # Errors
/// When the file itself cannot be read.
pub fn scope(loader: &Loader, path: &Path) -> Result<Scope, ReadProblem> {
    Ok(scope_and_needs(loader, path)?.0)
}

/// What the file at a resolved path sees, and every file that was looked at for it, the file itself
/// first, whether it could be read or not.
pub(crate) fn scope_and_needs(
    loader: &Loader,
    path: &Path,
) -> Result<(Scope, Vec<Need>), ReadProblem> {
    let walk = walk(loader, path)?;
    Ok((walk.out, walk.needs))
}

/// The files on which what is found in a file depends.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Reach {
    /// The file itself, and every file that it uses, straight or through others.
    pub(crate) sources: Vec<PathBuf>,
    /// The calendars that its site names.
    pub(crate) calendars: Vec<PathBuf>,
    /// Whether the way to one of them led nowhere, was refused, or went over a link: what is found
    /// then depends on more than the content of files.
    pub(crate) unsure: bool,
}

/// What is found in the file at a resolved path depends on these files.
pub(crate) fn reach(loader: &Loader, path: &Path) -> Reach {
    let Ok(walk) = walk(loader, path) else {
        return Reach { sources: vec![path.to_path_buf()], unsure: true, ..Reach::default() };
    };
    let mut sources: Vec<PathBuf> = walk.seen.into_keys().collect();
    sources.sort();
    Reach { sources, calendars: walk.calendars, unsure: walk.unsure }
}

fn walk<'a>(loader: &'a Loader, path: &Path) -> Result<Walk<'a>, ReadProblem> {
    // The stamp is taken before the text, so that a text that comes between is never missed.
    let first = Need { path: path.to_path_buf(), stamp: loader.stamp(path) };
    let root = loader.source(path)?;
    let mut walk = Walk {
        loader,
        root_path: path.to_path_buf(),
        out: Scope::default(),
        seen: HashMap::new(),
        chain: Vec::new(),
        needs: vec![first],
        calendars: Vec::new(),
        unsure: false,
    };
    walk.out.files.push(Arc::clone(&root));
    walk.seen.insert(path.to_path_buf(), None);
    walk.file(path, &root);
    walk.calendars(path, &root);
    Ok(walk)
}

struct Walk<'a> {
    loader: &'a Loader,
    root_path: PathBuf,
    out: Scope,
    /// Each file that was reached, with the file that used it first.
    seen: HashMap<PathBuf, Option<PathBuf>>,
    /// Files that are still to be looked into: their path, and the `use` of the root that led there.
    chain: Vec<(PathBuf, Arc<Source>, Place)>,
    needs: Vec<Need>,
    /// The calendars that were read.
    calendars: Vec<PathBuf>,
    /// See [`Reach`].
    unsure: bool,
}

impl Walk<'_> {
    fn file(&mut self, path: &Path, root: &Arc<Source>) {
        self.uses(path, root, None);
        let mut next = 0;
        while let Some((path, source, from)) = self.chain.get(next).cloned() {
            self.uses(&path, &source, Some(from));
            next += 1;
        }
    }

    /// Follows the `use` lines of one file. `from` is the root's `use` that led to it.
    fn uses(&mut self, path: &Path, source: &Arc<Source>, from: Option<Place>) {
        for item in &source.parsed.file.items {
            let Item::Import(import) = item else { continue };
            let at = Place::new(source.file, import.path);
            let root_at = from.unwrap_or(at);
            if let Err(problem) = self.one(path, source, import, root_at) {
                self.unsure = true;
                // What is wrong with the `use` of another file is told when that file is the root,
                // except for a ring through this one.
                let ring = matches!(problem, ImportProblem::Cycle(_));
                if from.is_none() || ring {
                    self.out.faults.push(Fault { kind: FaultKind::Import(problem), at: root_at });
                }
            }
        }
    }

    fn one(
        &mut self,
        path: &Path,
        source: &Source,
        import: &Import,
        root_at: Place,
    ) -> Result<(), ImportProblem> {
        let target = self.target(path, source, import.path)?;
        if target == self.root_path {
            return Err(ImportProblem::Cycle(self.ring(path)));
        }
        if self.seen.contains_key(&target) {
            return Ok(());
        }
        self.need(&target);
        let used = self.loader.source(&target).map_err(|problem| self.told(&target, problem))?;
        self.seen.insert(target.clone(), Some(path.to_path_buf()));
        if used.parsed.file.items.iter().any(|item| matches!(item, Item::Site(_))) {
            return Err(ImportProblem::IsSite { path: used.path.clone() });
        }
        self.out.files.push(Arc::clone(&used));
        self.out.through.push((used.file, root_at));
        self.chain.push((target, used, root_at));
        Ok(())
    }

    fn need(&mut self, path: &Path) {
        self.needs.push(Need { path: path.to_path_buf(), stamp: self.loader.stamp(path) });
    }

    /// The resolved path that a written one stands for.
    fn target(
        &mut self,
        path: &Path,
        source: &Source,
        written: Span,
    ) -> Result<PathBuf, ImportProblem> {
        let text = source.quoted(written);
        let written = Path::new(text);
        if written.is_absolute() || text.contains('\0') || text.contains(':') {
            return Err(ImportProblem::Outside);
        }
        let folder = path.parent().unwrap_or(path);
        let target = lexical(&folder.join(written));
        if !target.starts_with(self.loader.root()) {
            return Err(ImportProblem::Outside);
        }
        // A link may still lead out.
        match self.loader.resolved(&target) {
            Some(resolved) if resolved.starts_with(self.loader.root()) => {
                self.unsure |= resolved != target;
                Ok(resolved)
            }
            Some(_) => Err(ImportProblem::Outside),
            // An unsaved file has no place on disk; the loader knows.
            None => Ok(target),
        }
    }

    fn told(&mut self, target: &Path, problem: ReadProblem) -> ImportProblem {
        let path = self.loader.shown(target);
        match problem {
            ReadProblem::NotFound => {
                // What is told then depends on what else lies there.
                if let Some(folder) = target.parent() {
                    self.need(folder);
                }
                ImportProblem::NotFound { nearest: self.near(target), path }
            }
            ReadProblem::Unreadable(why) => ImportProblem::Unreadable { path, why },
        }
    }

    /// A file in the folder of the missing one whose name is near, as the root would write it.
    fn near(&self, target: &Path) -> Option<String> {
        let folder = target.parent()?;
        let wanted = target.file_name()?.to_str()?;
        let entries = std::fs::read_dir(folder).ok()?;
        let names: Vec<String> = entries
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .filter(|name| name.ends_with(".site") || name.ends_with(".ics"))
            .collect();
        let near = nearest(wanted, names.iter().map(String::as_str))?;
        let from = self.root_path.parent()?;
        Some(relative(from, &folder.join(near)))
    }

    /// The paths from the root to `last`, and back to the root.
    fn ring(&self, last: &Path) -> Vec<String> {
        let mut back = vec![self.loader.shown(&self.root_path)];
        let mut at = Some(last.to_path_buf());
        while let Some(path) = at {
            back.push(self.loader.shown(&path));
            at = self.seen.get(&path).cloned().flatten();
        }
        back.reverse();
        back
    }

    /// Reads the holiday files that the root's site names.
    fn calendars(&mut self, path: &Path, root: &Arc<Source>) {
        for item in &root.parsed.file.items {
            let Item::Site(site) = item else { continue };
            for written in &site.holiday_files {
                let at = Place::new(root.file, *written);
                let read = self.target(path, root, *written).and_then(|target| {
                    self.need(&target);
                    self.calendars.push(target.clone());
                    let read = self.loader.holidays(&target);
                    let read = read.map_err(|problem| self.told(&target, problem))?;
                    match read.as_ref() {
                        Ok(file) => Ok(file.clone()),
                        Err(why) => Err(ImportProblem::BadCalendar { why: why.clone() }),
                    }
                });
                match read {
                    Ok(mut file) => {
                        file.at = at;
                        self.out.holidays.push(file);
                    }
                    Err(problem) => {
                        // A calendar that cannot be taken is what its bytes say.
                        self.unsure |= !matches!(problem, ImportProblem::BadCalendar { .. });
                        self.out.faults.push(Fault { kind: FaultKind::Import(problem), at });
                    }
                }
            }
        }
    }
}

/// Takes `.` and `..` out of a path without asking the disk.
fn lexical(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    out
}

/// The path of `to` as seen from the folder `from`, with `/`.
#[must_use]
pub fn relative(from: &Path, to: &Path) -> String {
    let (from, to): (Vec<_>, Vec<_>) = (from.components().collect(), to.components().collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = std::iter::repeat_n("..".to_owned(), from.len() - shared);
    let down = to.iter().skip(shared).map(|part| part.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}
