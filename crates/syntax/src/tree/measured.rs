//! `measured DATE`: meter readings.

use super::{Date, Path, Spanned};
use crate::form::BlockForm;
use crate::phrase::word_for;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// Readings of one day.
#[derive(Clone, Debug)]
pub struct Measured {
    /// The day.
    pub date: Spanned<Date>,
    /// The first line.
    pub line: Span,
    /// The readings.
    pub readings: Vec<Reading>,
}

/// One reading.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    /// A terminal, an output or a supply.
    pub at: Path,
    /// In which condition.
    pub condition: Spanned<Condition>,
    /// The dimension: resistance, voltage or current.
    pub dimension: Dimension,
    /// The value in its base unit.
    pub value: Spanned<f64>,
    /// The whole line.
    pub line: Span,
}

/// The condition in which something is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Everything at rest.
    Resting,
    /// The sensor active.
    Active,
    /// The tamper contact moved.
    Tamper,
    /// A wire cut.
    Cut,
    /// The wires shorted.
    Shorted,
    /// An output or a load on.
    Running,
    /// A supply on mains.
    Floating,
    /// A supply on battery.
    Battery,
}

const CONDITIONS: &[(&str, Condition)] = &[
    ("resting", Condition::Resting),
    ("active", Condition::Active),
    ("tamper", Condition::Tamper),
    ("cut", Condition::Cut),
    ("shorted", Condition::Shorted),
    ("running", Condition::Running),
    ("floating", Condition::Floating),
    ("on-battery", Condition::Battery),
];

impl Condition {
    /// The word that is written.
    #[must_use]
    pub fn word(self) -> &'static str {
        word_for(CONDITIONS, self)
    }
}

pub(crate) static FORM: BlockForm<Measured> = BlockForm {
    thing: "readings",
    forms: &[],
    other: Some((
        |measured, p| {
            let at = p.path("a terminal, an output or a supply")?;
            let condition = p.one_of(CONDITIONS)?;
            let dimension = [Dimension::Voltage, Dimension::Current]
                .into_iter()
                .find(|dimension| p.is_quantity(*dimension))
                .unwrap_or(Dimension::Resistance);
            let value = p.positive(dimension)?;
            let line = p.line();
            measured.readings.push(Reading { at, condition, dimension, value, line });
            Some(())
        },
        "TERMINAL CONDITION RESISTANCE|VOLTAGE|CURRENT",
        "a meter reading; conditions: resting, active, tamper, cut, shorted, running, floating, on-battery",
    )),
};
