//! The site files of a commit, read from git's objects: nothing is checked out, nothing is written,
//! and nothing of the work tree is seen.
//!
//! Each workspace of the commit gets a loader whose root is a path that cannot exist on disk, with
//! the bytes of the commit laid over it. So a `use` that leads out of the workspace is refused as
//! always, and one that leads to a file which only the work tree has finds nothing.

use crate::ENDING;
use crate::discover::MARKER;
use crate::git::{Blob, GitProblem, Repository};
use crate::load::Loader;
use curtilage_syntax::tree::Item;
use curtilage_text::{MAX_FILE_BYTES, decode};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};

/// So many links in a row are followed.
const LINKS: usize = 8;

/// The files of one workspace of a commit.
#[derive(Debug)]
pub struct CommitFiles {
    /// What reads them.
    pub loader: Loader,
    /// The site files that were asked for: the path for the loader, and the path from the top of the
    /// repository.
    pub files: Vec<(PathBuf, PathBuf)>,
    /// Paths from the top of the repository that cannot be read, and why.
    pub problems: Vec<(PathBuf, String)>,
}

/// The site files of a commit below some paths (from the top of the repository; the top itself is
/// the empty path), by workspace.
///
/// # Errors
/// When git cannot read the commit.
pub fn at_commit(
    repository: &Repository,
    commit: &str,
    below: &[PathBuf],
) -> Result<Vec<CommitFiles>, GitProblem> {
    let Whole { tree, modules, unheld } = Whole::of(repository, commit)?;
    let wanted: Vec<&PathBuf> = tree
        .keys()
        .filter(|path| is_asked(path, below) && tree.get(*path).is_some_and(is_readable))
        .collect();
    let mut roots: BTreeMap<PathBuf, Vec<&PathBuf>> = BTreeMap::new();
    for path in wanted {
        roots.entry(workspace(&tree, &modules, path)).or_default().push(path);
    }
    // What lies in a submodule whose commit is not here is asked for as well.
    let unheld: Vec<PathBuf> = unheld
        .into_iter()
        .filter(|module| below.iter().any(|one| module.starts_with(one) || one.starts_with(module)))
        .collect();
    if !unheld.is_empty() {
        roots.entry(PathBuf::new()).or_default();
    }
    let top = repository.top().join(".git").join("commit").join(commit);
    let each = roots.into_iter().map(|(root, files)| {
        let read = BTreeMap::new();
        let mut shelf = Shelf { repository, modules: &modules, tree: &tree, read };
        shelf.fill(&root)?;
        let mut loader = Loader::new(joined(&top, &root));
        let mut problems = Vec::new();
        for (path, read) in shelf.read {
            match read {
                Ok(bytes) => loader.overlay(top.join(&path), bytes),
                Err(why) => problems.push((path, why)),
            }
        }
        if root.as_os_str().is_empty() {
            let why = "this clone of the submodule does not hold its commit; fetch it first";
            problems.extend(unheld.iter().map(|module| (module.clone(), why.to_owned())));
        }
        let files = files.into_iter().map(|path| (top.join(path), path.clone())).collect();
        Ok(CommitFiles { loader, files, problems })
    });
    each.collect()
}

fn is_readable(blob: &Blob) -> bool {
    blob.is_file() || blob.mode == "120000"
}

/// Whether a path is a site file that was asked for: by its own name, or below a folder, hidden
/// folders apart.
fn is_asked(path: &Path, below: &[PathBuf]) -> bool {
    let ends = path.extension().is_some_and(|end| end == ENDING);
    below.iter().any(|folder| {
        if path == folder {
            return true;
        }
        path.strip_prefix(folder).is_ok_and(|rest| ends && !is_hidden(rest))
    })
}

fn is_hidden(path: &Path) -> bool {
    let folder = path.parent().unwrap_or(Path::new(""));
    folder.components().any(|part| part.as_os_str().to_string_lossy().starts_with('.'))
}

/// The workspace of a path: the nearest folder above with a marker, else the top of its repository.
fn workspace(tree: &BTreeMap<PathBuf, Blob>, modules: &Modules, path: &Path) -> PathBuf {
    let marked = path.ancestors().skip(1).find(|above| tree.contains_key(&above.join(MARKER)));
    let module = || path.ancestors().find(|above| modules.contains_key(*above));
    marked.or_else(module).map(Path::to_path_buf).unwrap_or_default()
}

/// The submodules that are checked out, by their path from the top.
type Modules = BTreeMap<PathBuf, Repository>;

/// The files of a commit, those of the submodules included that are checked out: a walk over the work
/// tree meets them too.
#[derive(Default)]
pub(crate) struct Whole {
    pub(crate) tree: BTreeMap<PathBuf, Blob>,
    modules: Modules,
    /// Submodules of which this clone does not hold the commit.
    unheld: Vec<PathBuf>,
}

impl Whole {
    pub(crate) fn of(repository: &Repository, commit: &str) -> Result<Self, GitProblem> {
        let mut whole = Self { tree: repository.tree(commit)?, ..Self::default() };
        let links = |tree: &BTreeMap<PathBuf, Blob>| -> Vec<(PathBuf, String)> {
            let links = tree.iter().filter(|(_, blob)| blob.mode == "160000");
            links.map(|(path, blob)| (path.clone(), blob.id.clone())).collect()
        };
        let mut todo = links(&whole.tree);
        while let Some((path, id)) = todo.pop() {
            let folder = repository.top().join(&path);
            let module = Repository::around(&folder).ok().filter(|one| one.top() == folder);
            let Some(module) = module else { continue };
            match module.tree(&id) {
                Ok(tree) => {
                    let tree: BTreeMap<PathBuf, Blob> =
                        tree.into_iter().map(|(inside, blob)| (path.join(inside), blob)).collect();
                    todo.extend(links(&tree));
                    whole.tree.extend(tree);
                    whole.modules.insert(path, module);
                }
                Err(GitProblem::NoGit(why)) => return Err(GitProblem::NoGit(why)),
                Err(_) => whole.unheld.push(path),
            }
        }
        Ok(whole)
    }
}

/// Without the slash that an empty path would leave at the end.
fn joined(top: &Path, root: &Path) -> PathBuf {
    if root.as_os_str().is_empty() { top.to_path_buf() } else { top.join(root) }
}

/// The files of one workspace while they are read.
struct Shelf<'a> {
    repository: &'a Repository,
    modules: &'a Modules,
    tree: &'a BTreeMap<PathBuf, Blob>,
    read: BTreeMap<PathBuf, Result<Vec<u8>, String>>,
}

impl<'a> Shelf<'a> {
    /// Reads every site file and calendar of a workspace, and what else they use.
    fn fill(&mut self, root: &Path) -> Result<(), GitProblem> {
        let usual = |path: &&PathBuf| {
            let end = path.extension().is_some_and(|end| end == ENDING || end == "ics");
            end && path.starts_with(root)
        };
        let mut todo: BTreeSet<PathBuf> = self.tree.keys().filter(usual).cloned().collect();
        while !todo.is_empty() {
            let paths: Vec<PathBuf> = std::mem::take(&mut todo).into_iter().collect();
            self.take(root, &paths)?;
            for path in &paths {
                todo.extend(self.uses(root, path));
            }
            todo.retain(|path| !self.read.contains_key(path) && self.tree.contains_key(path));
        }
        Ok(())
    }

    /// Reads some paths, all by one run of git.
    fn take(&mut self, root: &Path, paths: &[PathBuf]) -> Result<(), GitProblem> {
        let mut asked: Vec<(&PathBuf, &str)> = Vec::new();
        for path in paths {
            match self.followed(root, path)? {
                Ok(id) => asked.push((path, id)),
                Err(why) => {
                    self.read.insert(path.clone(), Err(why));
                }
            }
        }
        // Git is run once for each repository.
        let mut by_module: BTreeMap<Option<&Path>, Vec<(&PathBuf, &str)>> = BTreeMap::new();
        for (path, id) in asked {
            by_module.entry(self.module(path)).or_default().push((path, id));
        }
        for (module, asked) in by_module {
            let repository = module.and_then(|module| self.modules.get(module));
            let ids: Vec<&str> = asked.iter().map(|(_, id)| *id).collect();
            let blobs = repository.unwrap_or(self.repository).blobs(&ids)?;
            for ((path, _), bytes) in asked.into_iter().zip(blobs) {
                let read = match bytes {
                    Some(bytes) if bytes.len() > MAX_FILE_BYTES => {
                        Err(format!("it is larger than {} MiB", MAX_FILE_BYTES / 1024 / 1024))
                    }
                    Some(bytes) => Ok(bytes),
                    None => Err("this clone does not hold its content; fetch it first".to_owned()),
                };
                self.read.insert(path.clone(), read);
            }
        }
        Ok(())
    }

    /// The submodule in which a path lies.
    fn module<'p>(&self, path: &'p Path) -> Option<&'p Path> {
        path.ancestors().find(|above| self.modules.contains_key(*above))
    }

    /// The id of the content of a path, links inside the workspace followed.
    fn followed(&self, root: &Path, path: &Path) -> Result<Result<&'a str, String>, GitProblem> {
        let module = self.module(path);
        let repository = module.and_then(|module| self.modules.get(module));
        let repository = repository.unwrap_or(self.repository);
        let mut at = path.to_path_buf();
        for _ in 0..LINKS {
            let tree: &'a BTreeMap<PathBuf, Blob> = self.tree;
            let Some(blob) = tree.get(&at) else {
                return Ok(Err("it is a link that leads nowhere in this commit".to_owned()));
            };
            if self.module(&at) != module {
                return Ok(Err("it is a link that leads into another repository".to_owned()));
            }
            if blob.is_file() {
                return Ok(Ok(&blob.id));
            }
            if blob.mode != "120000" {
                return Ok(Err("it is a repository of its own".to_owned()));
            }
            let to = repository.blob(&blob.id)?;
            let to = String::from_utf8_lossy(&to).into_owned();
            let folder = at.parent().unwrap_or(Path::new(""));
            let inside = lexical(&folder.join(to)).filter(|path| path.starts_with(root));
            let Some(inside) = inside else {
                return Ok(Err("it is a link that leads out of the workspace".to_owned()));
            };
            at = inside;
        }
        Ok(Err("it is a link to a link to a link, without end".to_owned()))
    }

    /// What a file uses, inside the workspace.
    fn uses(&self, root: &Path, path: &Path) -> Vec<PathBuf> {
        let Some(Ok(bytes)) = self.read.get(path) else { return Vec::new() };
        let decoded = decode(bytes.clone());
        let parsed = curtilage_syntax::parse(&decoded.text, &[]);
        let folder = path.parent().unwrap_or(Path::new(""));
        let used = parsed.file.items.iter().filter_map(|item| match item {
            Item::Import(import) => Some(import.path),
            _ => None,
        });
        let paths = used.filter_map(|span| {
            let written = span.of(&decoded.text).trim_matches('"');
            lexical(&folder.join(written)).filter(|path| path.starts_with(root))
        });
        paths.collect()
    }
}

/// Takes `.` and `..` out of a path from the top; none when it leaves the top.
fn lexical(path: &Path) -> Option<PathBuf> {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                if !out.pop() {
                    return None;
                }
            }
            Component::Normal(part) => out.push(part),
            Component::RootDir | Component::Prefix(_) => return None,
        }
    }
    Some(out)
}
