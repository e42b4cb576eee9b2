//! `part ... is camera`.

use super::{DRAW, Draw};
use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// A camera part.
#[derive(Clone, Debug, Default)]
pub struct Camera {
    /// bit/s.
    pub bit_rate: Option<Spanned<f64>>,
    /// What it draws.
    pub draws: Option<Draw>,
}

pub(crate) static FORM: BlockForm<Camera> = BlockForm {
    thing: "a camera part",
    forms: &[
        once("bit-rate", "BIT-RATE", "the rate of its stream", |part, p| {
            part.bit_rate = Some(p.positive(Dimension::BitRate)?);
            Some(())
        }),
        once("draws", DRAW, "what it draws", |part, p| {
            part.draws = Some(p.draw()?);
            Some(())
        }),
    ],
    other: None,
};
