//! `part ... is store`: where footage is kept.

use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// A store part.
#[derive(Clone, Debug, Default)]
pub struct Store {
    /// Bytes.
    pub holds: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Store> = BlockForm {
    thing: "a store part",
    forms: &[once("holds", "DATA", "how much it holds", |part, p| {
        part.holds = Some(p.positive(Dimension::Data)?);
        Some(())
    })],
    other: None,
};
