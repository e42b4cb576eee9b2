//! `part ... is supply`: a source of current.

use crate::form::{BlockForm, once};
use crate::tree::value::CURRENT_KINDS;
use crate::tree::{CurrentKind, Interval, Spanned};
use curtilage_units::Dimension;

/// A supply part.
#[derive(Clone, Debug, Default)]
pub struct Supply {
    /// V, in operation on mains (for a battery-backed supply its float voltage).
    pub gives: Option<Spanned<Interval>>,
    /// dc or ac.
    pub kind: Option<Spanned<CurrentKind>>,
    /// Rated current, A.
    pub most: Option<Spanned<f64>>,
    /// V at which it gives up on battery.
    pub empty: Option<Spanned<f64>>,
    /// Internal resistance, ohm.
    pub inside: Option<Spanned<f64>>,
    /// Charging current, A.
    pub charges: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Supply> = BlockForm {
    thing: "a supply part",
    forms: &[
        once(
            "gives",
            "VOLTAGE [to VOLTAGE] dc|ac [, at most CURRENT]",
            "its voltage in operation, and its rated current",
            |part, p| {
                let gives = p.interval(Dimension::Voltage)?;
                if gives.value.high == 0.0 {
                    let why = "a supply gives a voltage above zero";
                    return p.bad(gives.span, why, "write a voltage, such as `13.5 V to 13.8 V`");
                }
                part.gives = Some(gives);
                part.kind = Some(p.one_of(CURRENT_KINDS)?);
                if p.comma() {
                    part.most = Some(p.at_most(Dimension::Current)?);
                }
                Some(())
            },
        ),
        once("empty", "at VOLTAGE", "the voltage at which it gives up on battery", |part, p| {
            p.need("at")?;
            part.empty = Some(p.positive(Dimension::Voltage)?);
            Some(())
        }),
        once("inside", "RESISTANCE", "its internal resistance", |part, p| {
            part.inside = Some(p.positive(Dimension::Resistance)?);
            Some(())
        }),
        once(
            "charges",
            "at most CURRENT",
            "the current with which it charges a battery",
            |part, p| {
                part.charges = Some(p.at_most(Dimension::Current)?);
                Some(())
            },
        ),
    ],
    other: None,
};
