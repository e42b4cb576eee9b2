//! `camera ... on CHANNEL`.

use super::wiring::Feed;
use super::{Name, Path, Spanned};
use crate::form::{BlockForm, many, once};
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A camera.
#[derive(Clone, Debug)]
pub struct Camera {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// Its part, when it has one.
    pub part: Option<Name>,
    /// The channel.
    pub channel: Path,
    /// bit/s.
    pub bit_rate: Option<Spanned<f64>>,
    /// Where it is.
    pub area: Option<Name>,
    /// What feeds it.
    pub fed: Option<Feed>,
    /// The fuse of that feed, A.
    pub fuse: Option<Spanned<f64>>,
    /// Places that it can turn to.
    pub presets: Vec<Name>,
}

pub(crate) static FORM: BlockForm<Camera> = BlockForm {
    thing: "a camera",
    forms: &[
        once("bit-rate", "BIT-RATE", "the rate of its stream", |camera, p| {
            camera.bit_rate = Some(p.positive(Dimension::BitRate)?);
            Some(())
        }),
        once("area", "AREA", "where it is", |camera, p| {
            camera.area = Some(p.name("the name of an area")?);
            Some(())
        }),
        once("fed", "from PLACE [over LENGTH of CABLE]", "what feeds it", |camera, p| {
            camera.fed = Some(p.feed()?);
            Some(())
        }),
        once("fuse", "CURRENT", "the fuse of that feed", |camera, p| {
            camera.fuse = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
        many("preset", "NAME", "a place that it can turn to", |camera, p| {
            camera.presets.push(p.name("a name for the preset")?);
            Some(())
        }),
    ],
    other: None,
};
