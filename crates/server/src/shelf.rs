//! What each file amounts to, in diagnostics, for as long as nothing it depends on changes.

use crate::diagnose;
use crate::listed::Listed;
use crate::pages::Pages;
use crate::settings::Settings;
use crate::state::Snapshot;
use curtilage_facts::Options;
use curtilage_project::{Analysis, Loader, Need, ReadProblem, still};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// What was found in one file.
pub(crate) struct Checked {
    /// Names the list: the same id is the same list, also when it was worked out again.
    pub(crate) id: u64,
    /// Names this result: what else was worked out with the list may differ when it does.
    pub(crate) work: u64,
    /// Every file that was looked at, itself first.
    pub(crate) needs: Vec<Need>,
    pub(crate) items: Listed,
    options: Options,
    settings: Arc<Settings>,
}

impl Checked {
    /// Whether two results are about the same texts.
    fn is_same(&self, other: &Self) -> bool {
        self.needs == other.needs
            && self.options == other.options
            && self.settings == other.settings
    }
}

/// The results by path.
pub(crate) struct Shelf {
    pages: Arc<Pages>,
    known: Mutex<HashMap<PathBuf, Arc<Checked>>>,
    ids: AtomicU64,
    /// The site files below the folders of the client.
    files: Mutex<Option<Arc<Vec<PathBuf>>>>,
    /// The calendars there.
    calendars: Mutex<Arc<Vec<PathBuf>>>,
}

impl Shelf {
    pub(crate) fn new(pages: Arc<Pages>) -> Self {
        Self {
            pages,
            known: Mutex::default(),
            ids: AtomicU64::new(1),
            files: Mutex::default(),
            calendars: Mutex::default(),
        }
    }

    pub(crate) fn pages(&self) -> &Pages {
        &self.pages
    }

    /// What is known of a file and still holds.
    pub(crate) fn known(&self, snapshot: &Snapshot, path: &Path) -> Option<Arc<Checked>> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner).get(path).cloned()?;
        let loader = snapshot.loader(path)?;
        let same = known.options == snapshot.options() && known.settings == snapshot.settings;
        let holds = same && still(&known.needs, loader);
        holds.then_some(known)
    }

    /// What is wrong with a file; worked out unless it is known.
    pub(crate) fn checked(&self, snapshot: &Snapshot, path: &Path) -> Option<Arc<Checked>> {
        if let Some(known) = self.known(snapshot, path) {
            return Some(known);
        }
        let loader = snapshot.loader(path)?;
        let mut checked = self.check(snapshot, loader, path);
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        match known.get(path) {
            // Two threads may have worked it out at once: both give the result of the first.
            Some(first) if first.is_same(&checked) => return Some(Arc::clone(first)),
            Some(before) if before.items == checked.items => checked.id = before.id,
            _ => {}
        }
        let checked = Arc::new(checked);
        known.insert(path.to_path_buf(), Arc::clone(&checked));
        Some(checked)
    }

    /// The site files below the folders of the client, in order. A request that comes before they
    /// were looked through looks itself.
    pub(crate) fn files(&self, snapshot: &Snapshot) -> Arc<Vec<PathBuf>> {
        let known = self.files.lock().unwrap_or_else(PoisonError::into_inner).clone();
        known.unwrap_or_else(|| Arc::new(curtilage_project::discover(&snapshot.folders).files))
    }

    /// The calendars there, in order.
    pub(crate) fn calendars(&self) -> Arc<Vec<PathBuf>> {
        Arc::clone(&self.calendars.lock().unwrap_or_else(PoisonError::into_inner))
    }

    pub(crate) fn set_files(&self, files: Vec<PathBuf>, calendars: Vec<PathBuf>) {
        *self.files.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::new(files));
        *self.calendars.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(calendars);
    }

    /// Lets go of a file that is not there any more.
    pub(crate) fn forget(&self, path: &Path) {
        self.known.lock().unwrap_or_else(PoisonError::into_inner).remove(path);
    }

    fn check(&self, snapshot: &Snapshot, loader: &Loader, path: &Path) -> Checked {
        let options = snapshot.options();
        let open = snapshot.documents.contains_key(path);
        let stamp = loader.stamp(path);
        let settings = Arc::clone(&snapshot.settings);
        // What is open is asked about again soon.
        let analysis = match open.then(|| snapshot.analysis(path)).flatten() {
            Some(analysis) => analysis,
            None => Analysis::new(loader, path, options).map(Arc::new),
        };
        let id = self.ids.fetch_add(1, Ordering::Relaxed);
        let work = id;
        match analysis {
            Ok(analysis) => {
                let found = diagnose::of_analysis(snapshot, loader.root(), &analysis, &self.pages);
                let items = Listed::new(&found);
                let needs = analysis.needs().to_vec();
                // A site is used by no other file: nobody else wants its text.
                if !open && analysis.model().site.is_some() {
                    drop(analysis);
                    loader.release(path);
                }
                Checked { id, work, needs, items, options, settings }
            }
            Err(ReadProblem::NotFound | ReadProblem::Unreadable(_)) => {
                let needs = vec![Need { path: path.to_path_buf(), stamp }];
                Checked { id, work, needs, items: Listed::default(), options, settings }
            }
        }
    }
}
