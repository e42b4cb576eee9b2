//! `relay ... is PART`: a relay between a contact and a load.

use super::wiring::{Contact, Feed};
use super::{Name, Spanned};
use crate::form::{BlockForm, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A relay.
#[derive(Clone, Debug)]
pub struct Relay {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its part.
    pub part: Name,
    /// The contact that its coil hangs on.
    pub through: Option<Contact>,
    /// What feeds its coil.
    pub fed: Option<Feed>,
    /// The fuse of its coil, A.
    pub fuse: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Relay> = BlockForm {
    thing: "a relay",
    forms: &[
        once(
            "through",
            "CONTACT [closing|opening]",
            "the contact that its coil hangs on",
            |relay, p| {
                relay.through = Some(p.contact()?);
                Some(())
            },
        ),
        once("fed", "from PLACE [over LENGTH of CABLE]", "what feeds its coil", |relay, p| {
            relay.fed = Some(p.feed()?);
            Some(())
        }),
        once("fuse", "CURRENT", "the fuse of its coil", |relay, p| {
            relay.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
