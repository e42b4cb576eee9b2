//! Keeps the analyses of the files that are being worked on, so that all who ask about one version
//! share one.

use crate::analysis::Analysis;
use crate::load::Loader;
use crate::read::ReadProblem;
use curtilage_facts::{Before, Options};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The analysis of one file, and what the engines were asked for it.
struct Shelf {
    kept: Mutex<Option<Arc<Analysis>>>,
    before: Arc<Mutex<Before>>,
}

impl Default for Shelf {
    fn default() -> Self {
        Self { kept: Mutex::default(), before: Arc::new(Mutex::new(Before::kept())) }
    }
}

/// Analyses by root file. One that holds no longer is worked out anew when it is asked for; nothing
/// has to be told what changed.
#[derive(Default)]
pub struct Memo {
    shelves: Mutex<HashMap<PathBuf, Arc<Shelf>>>,
    /// What was replaced. To take it apart takes as long as a good part of the work.
    spent: Mutex<Vec<Arc<Analysis>>>,
}

impl Memo {
    /// The analysis of the file at a path as a loader sees it. Threads that ask for the same one
    /// wait for the first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn analysis(
        &self,
        loader: &Loader,
        path: &Path,
        options: Options,
    ) -> Result<Arc<Analysis>, ReadProblem> {
        let shelf = {
            let mut shelves = self.shelves.lock().unwrap_or_else(PoisonError::into_inner);
            match shelves.get(path) {
                Some(shelf) => Arc::clone(shelf),
                None => Arc::clone(shelves.entry(path.to_path_buf()).or_default()),
            }
        };
        let mut kept = shelf.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(analysis) = kept.as_ref().filter(|kept| kept.holds(loader, options)) {
            return Ok(Arc::clone(analysis));
        }
        let analysis = Arc::new(Analysis::new(loader, path, options)?.after(&shelf.before));
        let spent = kept.replace(Arc::clone(&analysis));
        self.spent.lock().unwrap_or_else(PoisonError::into_inner).extend(spent);
        Ok(analysis)
    }

    /// What was replaced and is not needed any more, to be taken apart where nobody waits for it.
    #[must_use]
    pub fn spent(&self) -> Vec<Arc<Analysis>> {
        std::mem::take(&mut *self.spent.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Lets go of the analysis of a file.
    pub fn forget(&self, path: &Path) {
        self.shelves.lock().unwrap_or_else(PoisonError::into_inner).remove(path);
    }
}
