//! `output ... drives LOAD`: what is switched, through which contact, from which supply.

use super::wiring::{Contact, Feed};
use super::{Name, Names, Spanned};
use crate::form::{BlockForm, once};
use curtilage_text::Span;
use curtilage_units::Dimension;
use smallvec::SmallVec;

/// Whether an output obeys its responses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// It obeys.
    Automatic,
    /// It stays off.
    ForcedOff,
    /// It stays on.
    ForcedOn,
}

/// An output.
#[derive(Clone, Debug)]
pub struct Output {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// How many of which load parts.
    pub loads: SmallVec<[(Option<Spanned<u32>>, Name); 1]>,
    /// The contact that switches it.
    pub through: Option<Contact>,
    /// What feeds it.
    pub fed: Option<Feed>,
    /// Its fuse, A.
    pub fuse: Option<Spanned<f64>>,
    /// Whether it obeys.
    pub mode: Option<Spanned<Mode>>,
    /// Areas and zones that it can disturb.
    pub reaches: Names,
    /// Where it is.
    pub area: Option<Name>,
    /// The longest that it may run, ms.
    pub most: Option<Spanned<u64>>,
    /// Whether suppression is fitted on site.
    pub suppressed: Option<Span>,
}

pub(crate) static FORM: BlockForm<Output> = BlockForm {
    thing: "an output",
    forms: &[
        once(
            "through",
            "CONTACT [closing|opening]",
            "the contact that switches it",
            |output, p| {
                output.through = Some(p.contact()?);
                Some(())
            },
        ),
        once("fed", "from PLACE [over LENGTH of CABLE]", "what feeds it", |output, p| {
            output.fed = Some(p.feed()?);
            Some(())
        }),
        once("fuse", "CURRENT", "its fuse", |output, p| {
            output.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
        once(
            "mode",
            "automatic | forced off | forced on",
            "whether it obeys its responses",
            |output, p| {
                let span = p.line();
                let value = if p.eat("automatic") {
                    Mode::Automatic
                } else if p.eat_two("forced", "off") {
                    Mode::ForcedOff
                } else if p.eat_two("forced", "on") {
                    Mode::ForcedOn
                } else {
                    return p.expected("`automatic`, `forced off` or `forced on`");
                };
                output.mode = Some(Spanned { value, span });
                Some(())
            },
        ),
        once(
            "reaches",
            "AREA|ZONE, ...",
            "what it can disturb: its light, its sound",
            |output, p| {
                output.reaches = p.list(|p| p.name("the name of an area or a zone"))?;
                Some(())
            },
        ),
        once("area", "AREA", "where it is", |output, p| {
            output.area = Some(p.name("the name of an area")?);
            Some(())
        }),
        once("runs", "at most TIME", "the longest that it may run at a stretch", |output, p| {
            p.need("at")?;
            p.need("most")?;
            output.most = Some(p.time()?);
            Some(())
        }),
        once(
            "suppressed",
            "",
            "that a diode or another suppression is fitted at the load",
            |output, p| {
                output.suppressed = Some(p.line());
                Some(())
            },
        ),
    ],
    other: None,
};
