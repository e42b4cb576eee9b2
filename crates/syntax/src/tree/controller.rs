//! `controller ... is PART`: a controller of the site.

use super::wiring::Feed;
use super::{Name, Spanned};
use crate::form::{BlockForm, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A controller.
#[derive(Clone, Debug)]
pub struct Controller {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its part.
    pub part: Name,
    /// What feeds it.
    pub fed: Option<Feed>,
    /// Its fuse, A.
    pub fuse: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Controller> = BlockForm {
    thing: "a controller",
    forms: &[
        once("fed", "from PLACE [over LENGTH of CABLE]", "what feeds it", |controller, p| {
            controller.fed = Some(p.feed()?);
            Some(())
        }),
        once("fuse", "CURRENT", "its fuse", |controller, p| {
            controller.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
