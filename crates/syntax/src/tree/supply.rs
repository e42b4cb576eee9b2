//! `supply ... is PART`: a supply of the site.

use super::{Name, Spanned};
use crate::form::{BlockForm, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A supply.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its part.
    pub part: Name,
    /// How many of which battery, in parallel.
    pub battery: Option<(Option<Spanned<u32>>, Name)>,
    /// Fuse at its output, A.
    pub fuse: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Supply> = BlockForm {
    thing: "a supply",
    forms: &[
        once("battery", "[NUMBER of] PART", "its standby battery", |supply, p| {
            let count = if p.is_number() {
                let count = p.count(1, "a number of batteries")?;
                p.need("of")?;
                Some(count)
            } else {
                None
            };
            supply.battery = Some((count, p.name("the name of a battery part")?));
            Some(())
        }),
        once("fuse", "CURRENT", "the fuse at its output", |supply, p| {
            supply.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
