//! One root file, worked out and kept: its scope, model, facts and findings in one owned value that
//! threads share. Each part borrows the one before it.

use crate::load::{Loader, Stamp};
use crate::read::ReadProblem;
use crate::scope::scope_and_needs;
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Facts, Options};
use curtilage_model::{Model, Scope, Source};
use self_cell::self_cell;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

type FactsOf<'a> = Facts<'a, 'a>;

self_cell!(
    /// A scope with its model.
    struct ModelCell {
        owner: Scope,
        #[covariant]
        dependent: Model,
    }
);

self_cell!(
    /// A model with its facts.
    struct FactsCell {
        owner: ModelCell,
        #[covariant]
        dependent: FactsOf,
    }
);

/// A file that was looked at on the way, there or not, and which content it had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// Its path.
    pub path: PathBuf,
    /// Its content.
    pub stamp: Stamp,
}

/// The names of one root file, resolved.
pub struct Named {
    cell: ModelCell,
    needs: Vec<Need>,
}

impl Named {
    /// Reads a root file and what it uses.
    ///
    /// # Errors
    /// When the file itself cannot be read.
    pub fn new(loader: &Loader, path: &Path) -> Result<Self, ReadProblem> {
        let (scope, needs) = scope_and_needs(loader, path)?;
        Ok(Self { cell: ModelCell::new(scope, curtilage_model::build), needs })
    }

    /// The model.
    #[must_use]
    pub fn model(&self) -> &Model<'_> {
        self.cell.borrow_dependent()
    }

    /// The files that it sees, itself first.
    #[must_use]
    pub fn files(&self) -> &[Arc<Source>] {
        &self.cell.borrow_owner().files
    }

    /// Every file that was looked at.
    #[must_use]
    pub fn needs(&self) -> &[Need] {
        &self.needs
    }
}

/// Everything about one root file.
pub struct Analysis {
    cell: FactsCell,
    needs: Vec<Need>,
    options: Options,
    findings: OnceLock<Vec<Diagnostic>>,
}

impl Analysis {
    /// Reads a root file and works it out.
    ///
    /// # Errors
    /// When the file itself cannot be read.
    pub fn new(loader: &Loader, path: &Path, options: Options) -> Result<Self, ReadProblem> {
        let Named { cell, needs } = Named::new(loader, path)?;
        let cell = FactsCell::new(cell, |model| Facts::new(model.borrow_dependent(), options));
        Ok(Self { cell, needs, options, findings: OnceLock::new() })
    }

    /// The facts, and through them the model.
    #[must_use]
    pub fn facts(&self) -> &Facts<'_, '_> {
        self.cell.borrow_dependent()
    }

    /// The model.
    #[must_use]
    pub fn model(&self) -> &Model<'_> {
        self.cell.borrow_owner().borrow_dependent()
    }

    /// The files that it sees, itself first.
    #[must_use]
    pub fn files(&self) -> &[Arc<Source>] {
        &self.cell.borrow_owner().borrow_owner().files
    }

    /// What is wrong, worked out when it is first asked for.
    #[must_use]
    pub fn findings(&self) -> &[Diagnostic] {
        self.findings.get_or_init(|| curtilage_rules::check(self.facts()))
    }

    /// The same, worked out by two threads at once when that is worth it. For a file that somebody
    /// waits for; who checks many files has threads enough.
    #[must_use]
    pub fn findings_soon(&self) -> &[Diagnostic] {
        self.findings.get_or_init(|| {
            let length = self.files().first().map_or(0, |root| root.text.len());
            let facts = self.facts();
            let threads = std::thread::available_parallelism().map_or(1, usize::from);
            if length < WORTH_A_THREAD || threads < 2 {
                return curtilage_rules::check(facts);
            }
            side_by_side(facts)
        })
    }

    /// Every file that was looked at.
    #[must_use]
    pub fn needs(&self) -> &[Need] {
        &self.needs
    }

    /// Whether working it out again would give the same.
    #[must_use]
    pub fn holds(&self, loader: &Loader, options: Options) -> bool {
        self.options == options && still(&self.needs, loader)
    }
}

/// Whether all these files still have the content that they had.
#[must_use]
pub fn still(needs: &[Need], loader: &Loader) -> bool {
    needs.iter().all(|need| loader.stamp(&need.path) == need.stamp)
}

/// A file of fewer bytes is checked before a second thread has begun.
const WORTH_A_THREAD: usize = 20_000;

/// Runs the rules on two threads. The order of the findings does not depend on which runs what.
fn side_by_side(facts: &Facts<'_, '_>) -> Vec<Diagnostic> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut found = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(rule) = curtilage_rules::RULES.get(index) else { return found };
            found.push((index, curtilage_rules::detect(rule, facts)));
        }
    };
    let mut found = std::thread::scope(|scope| {
        // Where no more threads are allowed, this one runs them all.
        let other = std::thread::Builder::new().spawn_scoped(scope, work).ok();
        let mut found = work();
        match other.map(std::thread::ScopedJoinHandle::join) {
            None => {}
            Some(Ok(more)) => found.extend(more),
            Some(Err(panic)) => std::panic::resume_unwind(panic),
        }
        found
    });
    found.sort_by_key(|(index, _)| *index);
    curtilage_rules::settle(facts, found.into_iter().flat_map(|(_, list)| list).collect())
}
