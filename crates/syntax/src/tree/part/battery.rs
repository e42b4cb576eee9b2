//! `part ... is battery`: a standby battery.

use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// A battery part.
#[derive(Clone, Debug, Default)]
pub struct Battery {
    /// Capacities, each Ah over a discharge of so many ms.
    pub holds: Vec<Holds>,
    /// Nominal voltage, V.
    pub voltage: Option<Spanned<f64>>,
    /// Peukert's exponent.
    pub peukert: Option<Spanned<f64>>,
    /// Internal resistance, ohm.
    pub inside: Option<Spanned<f64>>,
}

/// A capacity, Ah, and the time over which a battery gives it, ms.
pub type Holds = (Spanned<f64>, Spanned<u64>);

impl Battery {
    /// Two capacities that no battery has both of, the one over the shorter time first. In a longer
    /// time a battery gives more, and at a lower current.
    #[must_use]
    pub fn contradiction(&self) -> Option<(Holds, Holds)> {
        let mut holds = self.holds.clone();
        holds.sort_by_key(|(_, over)| over.value);
        let pairs = holds.iter().zip(holds.iter().skip(1));
        let contradict = |((short, in_short), (long, in_long)): &(&Holds, &Holds)| {
            if in_short.value == in_long.value {
                return short.value != long.value;
            }
            #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
            let (in_short, in_long) = (in_short.value as f64, in_long.value as f64);
            short.value > long.value || short.value * in_long <= long.value * in_short
        };
        pairs.into_iter().find(contradict).map(|(short, long)| (*short, *long))
    }
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
                    let why = "Peukert's exponent lies between 1 and 2";
                    return p.bad(exponent.span, why, "write what the sheet gives, such as `1.15`");
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
