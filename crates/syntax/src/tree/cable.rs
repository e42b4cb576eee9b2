//! `cable ... is PART`: a cable with taps, shared by several loads.

use super::{Name, Path, Spanned};
use crate::form::{BlockForm, many, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A cable of the site.
#[derive(Clone, Debug)]
pub struct Cable {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its part.
    pub part: Name,
    /// Where it starts.
    pub from: Option<Path>,
    /// Its taps.
    pub taps: Vec<Tap>,
    /// How many cores lie in parallel each way.
    pub cores: Option<Spanned<u32>>,
    /// The fuse at its start, A.
    pub fuse: Option<Spanned<f64>>,
}

/// A place on a cable.
#[derive(Clone, Copy, Debug)]
pub struct Tap {
    /// Its name.
    pub name: Name,
    /// Length from the tap before, m.
    pub length: Spanned<f64>,
    /// The tap before; none is the cable's start.
    pub from: Option<Name>,
}

pub(crate) static FORM: BlockForm<Cable> = BlockForm {
    thing: "a cable",
    forms: &[
        once("from", "PLACE", "where it starts: a supply, an outlet or a tap", |cable, p| {
            cable.from = Some(p.path("a supply, an outlet or a tap")?);
            Some(())
        }),
        many(
            "tap",
            "NAME at LENGTH from start|TAP",
            "a place where something hangs on it",
            |cable, p| {
                let name = p.name("a name for the tap")?;
                p.need("at")?;
                let length = p.positive(Dimension::Length)?;
                p.need("from")?;
                let from = if p.eat("start") {
                    None
                } else {
                    Some(p.name("`start` or the name of a tap")?)
                };
                cable.taps.push(Tap { name, length, from });
                Some(())
            },
        ),
        once("cores", "NUMBER each way", "how many cores lie in parallel", |cable, p| {
            cable.cores = Some(p.count(1, "a number of cores")?);
            p.need("each")?;
            p.need("way")?;
            Some(())
        }),
        once("fuse", "CURRENT", "the fuse at its start", |cable, p| {
            cable.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
