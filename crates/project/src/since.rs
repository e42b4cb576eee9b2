//! What a change since a commit can affect: a file is left out only when everything on which its
//! findings depend is, byte for byte as git keeps it, what it was in that commit.
//!
//! Nothing is asked of the index, which can be told to look away. The content of each file is
//! compared with the commit itself; so a new, a renamed, an ignored and an uncommitted file are all
//! simply files that the commit does not hold as they are.

use crate::ENDING;
use crate::commit::Whole;
use crate::discover::MARKER;
use crate::git::{Blob, GitProblem, Repository};
use crate::load::Loader;
use crate::scope::{Reach, reach};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A commit with which the work tree is compared.
#[derive(Debug)]
pub struct Since {
    repository: Repository,
    tree: BTreeMap<PathBuf, Blob>,
}

/// The files that a change can affect, and those that it cannot.
#[derive(Debug, Default)]
pub struct Affected {
    /// To check, in order of path; used files included.
    pub touched: Vec<PathBuf>,
    /// What is found in these is what was found at the commit, in order of path.
    pub untouched: Vec<PathBuf>,
}

impl Since {
    /// The commit that `revision` names in the repository around a folder, with what it holds in
    /// submodules.
    ///
    /// # Errors
    /// When there is no repository, or no such commit in it.
    pub fn new(folder: &Path, revision: &str) -> Result<Self, GitProblem> {
        let repository = Repository::around(folder)?;
        let commit = repository.commit(revision)?;
        let Whole { tree, .. } = Whole::of(&repository, &commit)?;
        Ok(Self { repository, tree })
    }

    /// Parts the files at some resolved paths, and every file that they use, into those that a
    /// change since the commit can affect and those that it cannot.
    ///
    /// # Errors
    /// When git cannot read a file.
    pub fn affected(&self, loader: &Loader, paths: &[PathBuf]) -> Result<Affected, GitProblem> {
        let mut reaches: BTreeMap<PathBuf, Reach> = BTreeMap::new();
        let mut todo = paths.to_vec();
        while let Some(path) = todo.pop() {
            if reaches.contains_key(&path) {
                continue;
            }
            let reach = reach(loader, &path);
            todo.extend(reach.sources.iter().cloned());
            reaches.insert(path, reach);
        }
        let kept = self.kept(&reaches)?;
        let mut affected = Affected::default();
        for (path, reach) in reaches {
            let same = !reach.unsure
                && reach.sources.iter().chain(&reach.calendars).all(|file| kept.contains(file))
                && self.markers(&path).all(|marker| self.as_it_was(&marker, &kept));
            let list = if same { &mut affected.untouched } else { &mut affected.touched };
            list.push(path);
        }
        Ok(affected)
    }

    /// Whether the commit has a site file at a resolved path, or below it.
    #[must_use]
    pub fn had_sites(&self, path: &Path) -> bool {
        let Some(path) = self.inside(path) else { return false };
        let is_site = |file: &PathBuf| file.extension().is_some_and(|end| end == ENDING);
        self.tree.keys().any(|file| file.starts_with(&path) && is_site(file))
    }

    /// The files that are what they were in the commit.
    fn kept(&self, reaches: &BTreeMap<PathBuf, Reach>) -> Result<BTreeSet<PathBuf>, GitProblem> {
        let mut asked: BTreeSet<PathBuf> = BTreeSet::new();
        for (path, reach) in reaches {
            asked.extend(reach.sources.iter().chain(&reach.calendars).cloned());
            asked.extend(self.markers(path).filter(|marker| marker.exists()));
        }
        let inside: Vec<PathBuf> = asked.iter().filter_map(|path| self.inside(path)).collect();
        let ids = self.repository.ids(&inside)?;
        let same = ids.into_iter().filter(|(path, id)| {
            let was = self.tree.get(path);
            was.is_some_and(|was| was.is_file() && was.id == *id)
        });
        Ok(same.map(|(path, _)| self.repository.top().join(path)).collect())
    }

    /// The files above a path that decide where its workspace begins, there or not.
    fn markers(&self, path: &Path) -> impl Iterator<Item = PathBuf> {
        let top = self.repository.top();
        let folders = path.ancestors().skip(1).take_while(move |folder| folder.starts_with(top));
        folders.map(|folder| folder.join(MARKER))
    }

    fn as_it_was(&self, marker: &Path, kept: &BTreeSet<PathBuf>) -> bool {
        let was = self.inside(marker).is_some_and(|path| self.tree.contains_key(&path));
        if marker.exists() { was && kept.contains(marker) } else { !was }
    }

    /// A resolved path as the commit names it; none outside the work tree.
    fn inside(&self, path: &Path) -> Option<PathBuf> {
        path.strip_prefix(self.repository.top()).ok().map(Path::to_path_buf)
    }
}
