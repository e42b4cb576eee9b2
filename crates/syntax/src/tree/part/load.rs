//! `part ... is load`: what an output drives.

use super::sensor::{DISTURBANCES, Disturbance};
use super::{DRAW, Draw};
use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// What a load is to the contact that switches it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nature {
    /// Resistive.
    Resistive,
    /// Inductive, with a diode or another suppression.
    InductiveSuppressed,
    /// Inductive and bare.
    Inductive,
    /// A filament lamp.
    Lamp,
}

/// A load part.
#[derive(Clone, Debug, Default)]
pub struct Load {
    /// What it draws when it is on.
    pub draws: Option<Draw>,
    /// What it draws when it is off but fed, A.
    pub idles: Option<Spanned<f64>>,
    /// Inrush, A, and how long, ms.
    pub inrush: Option<(Spanned<f64>, Option<Spanned<u64>>)>,
    /// What it is to a contact.
    pub nature: Option<Spanned<Nature>>,
    /// Sound level, dB, and the distance, m.
    pub loudness: Option<(Spanned<f64>, Spanned<f64>)>,
    /// What it gives off that can disturb a sensor.
    pub gives: Vec<Spanned<Disturbance>>,
}

pub(crate) static FORM: BlockForm<Load> = BlockForm {
    thing: "a load part",
    forms: &[
        once("draws", DRAW, "what it draws when it is on", |part, p| {
            part.draws = Some(p.draw()?);
            Some(())
        }),
        once("idles", "at CURRENT", "what it draws when it is off but fed", |part, p| {
            p.need("at")?;
            part.idles = Some(p.positive(Dimension::Current)?);
            Some(())
        }),
        once("inrush", "CURRENT [for TIME]", "the current at switching on", |part, p| {
            let current = p.positive(Dimension::Current)?;
            let time = if p.eat("for") { Some(p.time()?) } else { None };
            part.inrush = Some((current, time));
            Some(())
        }),
        once(
            "inductive",
            "[suppressed]",
            "that it is inductive, with or without suppression",
            |part, p| {
                let suppressed = p.eat("suppressed");
                let value =
                    if suppressed { Nature::InductiveSuppressed } else { Nature::Inductive };
                part.nature = Some(Spanned { value, span: p.line() });
                Some(())
            },
        ),
        once("resistive", "", "that it is resistive", |part, p| {
            part.nature = Some(Spanned { value: Nature::Resistive, span: p.line() });
            Some(())
        }),
        once("lamp", "", "that it is a filament lamp", |part, p| {
            part.nature = Some(Spanned { value: Nature::Lamp, span: p.line() });
            Some(())
        }),
        once("loudness", "LEVEL at LENGTH", "its sound level", |part, p| {
            let level = p.quantity(Dimension::SoundLevel)?;
            p.need("at")?;
            part.loudness = Some((level, p.positive(Dimension::Length)?));
            Some(())
        }),
        once(
            "gives",
            "light|sound|motion|heat, ...",
            "what it gives off that can disturb a sensor",
            |part, p| {
                part.gives = p.list(|p| p.one_of(DISTURBANCES))?;
                Some(())
            },
        ),
    ],
    other: None,
};
