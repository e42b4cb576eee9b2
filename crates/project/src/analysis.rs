//! One root file, worked out and kept: its scope, model, facts and findings in one owned value that
//! threads share. Each part borrows the one before it.

use crate::load::{Loader, Stamp};
use crate::parts::after_parts;
use crate::read::ReadProblem;
use crate::scope::scope_and_needs;
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Asked, Before, Facts, Options};
use curtilage_model::{Model, Scope, Source};
use self_cell::self_cell;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, TryLockError};

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
        owner: Arc<ModelCell>,
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

/// Everything about one root file. The names are there from the start; facts and findings are worked
/// out when they are first asked for, by one thread for all.
pub struct Analysis {
    model: Arc<ModelCell>,
    facts: OnceLock<FactsCell>,
    needs: Vec<Need>,
    options: Options,
    findings: OnceLock<Vec<Diagnostic>>,
    before: Option<Arc<Mutex<Before>>>,
}

impl Analysis {
    /// Reads a root file and resolves its names.
    ///
    /// # Errors
    /// When the file itself cannot be read.
    pub fn new(loader: &Loader, path: &Path, options: Options) -> Result<Self, ReadProblem> {
        let Named { cell, needs } = Named::new(loader, path)?;
        let (facts, findings) = Default::default();
        Ok(Self { model: Arc::new(cell), facts, needs, options, findings, before: None })
    }

    /// The same for the next version of a file, after what the engines were asked for the versions
    /// before it.
    #[must_use]
    pub(crate) fn after(self, before: &Arc<Mutex<Before>>) -> Self {
        Self { before: Some(Arc::clone(before)), ..self }
    }

    /// The facts, and through them the model.
    #[must_use]
    pub fn facts(&self) -> &Facts<'_, '_> {
        let worked_out = || match self.before.as_ref().map(|before| before.try_lock()) {
            Some(Ok(mut kept)) => self.facts_after(&mut kept),
            Some(Err(TryLockError::Poisoned(kept))) => self.facts_after(&mut kept.into_inner()),
            // Somebody asks about another version at this very moment, or nobody asks twice.
            Some(Err(TryLockError::WouldBlock)) | None => {
                after_parts(|before| self.facts_after(before))
            }
        };
        self.facts.get_or_init(worked_out).borrow_dependent()
    }

    fn facts_after(&self, before: &mut Before) -> FactsCell {
        FactsCell::new(Arc::clone(&self.model), |model| {
            Facts::after(model.borrow_dependent(), self.options, before)
        })
    }

    /// The model.
    #[must_use]
    pub fn model(&self) -> &Model<'_> {
        self.model.borrow_dependent()
    }

    /// The files that it sees, itself first.
    #[must_use]
    pub fn files(&self) -> &[Arc<Source>] {
        &self.model.borrow_owner().files
    }

    /// What is wrong, worked out when it is first asked for.
    #[must_use]
    pub fn findings(&self) -> &[Diagnostic] {
        self.findings.get_or_init(|| curtilage_rules::check(self.facts()))
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

impl Asked for Analysis {
    fn model(&self) -> &Model<'_> {
        self.model()
    }

    fn options(&self) -> Options {
        self.options
    }

    fn facts(&self) -> &Facts<'_, '_> {
        self.facts()
    }
}

/// Whether all these files still have the content that they had.
#[must_use]
pub fn still(needs: &[Need], loader: &Loader) -> bool {
    needs.iter().all(|need| loader.stamp(&need.path) == need.stamp)
}
