//! `part ... is battery`: a standby battery.

use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// A battery part.
#[derive(Clone, Debug, Default)]
pub struct Battery {
    /// Capacities, each Ah over a discharge of so many ms.
    pub holds: Vec<(Spanned<f64>, Spanned<u64>)>,
    /// Nominal voltage, V.
    pub voltage: Option<Spanned<f64>>,
    /// Peukert's exponent.
    pub peukert: Option<Spanned<f64>>,
    /// Internal resistance, ohm.
    pub inside: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Battery> = BlockForm {
    thing: "a battery part",
    forms: &[
        once(
            "holds",
            "CHARGE over TIME, ...",
            "its capacity at one or more rates: 17 Ah over 20 h",
            |part, p| {
                part.holds = p.list(|p| {
                    let charge = p.above_zero(Dimension::Charge, "a battery")?;
                    p.need("over")?;
                    Some((charge, p.time()?))
                })?;
                Some(())
            },
        ),
        once("voltage", "VOLTAGE", "its nominal voltage", |part, p| {
            part.voltage = Some(p.above_zero(Dimension::Voltage, "a battery")?);
            Some(())
        }),
        once(
            "peukert",
            "NUMBER",
            "Peukert's exponent, about 1.1 to 1.3 for lead-acid",
            |part, p| {
                let exponent = p.factor("a number, such as `1.2`")?;
                if !(1.0..=2.0).contains(&exponent.value) {
                    return p.bad(exponent.span, "Peukert's exponent lies between 1 and 2");
                }
                part.peukert = Some(exponent);
                Some(())
            },
        ),
        once("inside", "RESISTANCE", "its internal resistance", |part, p| {
            part.inside = Some(p.positive(Dimension::Resistance)?);
            Some(())
        }),
    ],
    other: None,
};
