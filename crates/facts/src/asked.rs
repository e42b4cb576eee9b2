//! A model whose facts are worked out when they are asked for.

use crate::{Facts, Options};
use curtilage_model::Model;

/// A model, and its facts for whoever needs them: most of what an editor asks is answered by the
/// names alone, before the facts are there.
pub trait Asked {
    /// The model.
    fn model(&self) -> &Model<'_>;

    /// What the facts are told from outside.
    fn options(&self) -> Options;

    /// The facts.
    fn facts(&self) -> &Facts<'_, '_>;
}

impl Asked for Facts<'_, '_> {
    fn model(&self) -> &Model<'_> {
        self.model
    }

    fn options(&self) -> Options {
        self.options
    }

    fn facts(&self) -> &Facts<'_, '_> {
        self
    }
}
