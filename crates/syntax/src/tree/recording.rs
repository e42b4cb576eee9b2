//! `recording CONTROLLER`: which footage is kept, when, and how much of it fits.

use super::{Name, Names, Spanned};
use crate::form::{BlockForm, many, once};
use crate::phrase::word_for;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A class of footage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// What a response asks for.
    Events,
    /// What moves in the picture.
    Motion,
    /// Everything.
    Continuous,
}

const CLASSES: &[(&str, Class)] =
    &[("events", Class::Events), ("motion", Class::Motion), ("continuous", Class::Continuous)];

impl Class {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(CLASSES, self)
    }
}

/// `keep events of dock-cam during always`.
#[derive(Clone, Debug)]
pub struct Keep {
    /// The class.
    pub class: Spanned<Class>,
    /// The cameras.
    pub cameras: Names,
    /// When.
    pub during: Option<Name>,
    /// The whole statement.
    pub line: Span,
}

/// A recording plan.
#[derive(Clone, Debug)]
pub struct Recording {
    /// The controller that records.
    pub controller: Name,
    /// The first line.
    pub line: Span,
    /// What is kept.
    pub keeps: Vec<Keep>,
    /// The store, bytes.
    pub store: Option<Spanned<f64>>,
    /// The store, as a part.
    pub store_part: Option<Name>,
    /// How long footage has to be kept, ms.
    pub retention: Option<Spanned<f64>>,
    /// The share of time in which something moves, a ratio.
    pub motion: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Recording> = BlockForm {
    thing: "a recording plan",
    forms: &[
        many(
            "keep",
            "events|motion|continuous of CAMERAS [during SCHEDULE]",
            "which footage is kept, and when",
            |plan, p| {
                let class = p.one_of(CLASSES)?;
                p.need("of")?;
                let cameras = p.list(|p| p.name("the name of a camera"))?;
                let during =
                    if p.eat("during") { Some(p.name("the name of a schedule")?) } else { None };
                plan.keeps.push(Keep { class, cameras, during, line: p.line() });
                Some(())
            },
        ),
        once(
            "store",
            "DATA|PART [, at least TIME]",
            "how much it holds, and how long footage has to last",
            |plan, p| {
                if p.is_quantity(Dimension::Data) || p.is_number() {
                    plan.store = Some(p.positive(Dimension::Data)?);
                } else {
                    plan.store_part =
                        Some(p.name("an amount of data, such as `4 TB`, or a store part")?);
                }
                if p.comma() {
                    plan.retention = Some(p.at_least(Dimension::Time)?);
                }
                Some(())
            },
        ),
        once(
            "motion",
            "PERCENTAGE of the time",
            "the share of time in which something moves",
            |plan, p| {
                let share = p.positive(Dimension::Ratio)?;
                p.need("of")?;
                p.need("the")?;
                p.need("time")?;
                if share.value > 1.0 {
                    let why = "a share of the time is at most 100 %";
                    return p.bad(share.span, why, "write a share, such as `30 %`");
                }
                plan.motion = Some(share);
                Some(())
            },
        ),
    ],
    other: None,
};
