//! `part ... is cable`.

use crate::form::{BlockForm, once};
use crate::tree::Spanned;
use curtilage_units::Dimension;

/// The size of a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conductor {
    /// mm2 and the class of IEC 60228 (1, 2, 5 or 6) when it is said.
    Area(f64, Option<u32>),
    /// AWG.
    Gauge(f64),
}

/// A cable part.
#[derive(Clone, Debug, Default)]
pub struct Cable {
    /// How many cores.
    pub cores: Option<Spanned<u32>>,
    /// Size of a core.
    pub conductor: Option<Spanned<Conductor>>,
    /// Resistance of one core at 20 degC, ohm/m, where the sheet gives it.
    pub resistance: Option<Spanned<f64>>,
    /// Current of one core, A.
    pub most: Option<Spanned<f64>>,
}

pub(crate) static FORM: BlockForm<Cable> = BlockForm {
    thing: "a cable part",
    forms: &[
        once("cores", "NUMBER", "how many cores it has", |part, p| {
            part.cores = Some(p.count(1, "a number of cores")?);
            Some(())
        }),
        once(
            "conductor",
            "CROSS-SECTION [class NUMBER] | GAUGE",
            "the size of a core",
            |part, p| {
                part.conductor = Some(if p.is_quantity(Dimension::Gauge) {
                    let gauge = p.quantity(Dimension::Gauge)?;
                    if gauge.value.fract() != 0.0 || !(-3.0..=40.0).contains(&gauge.value) {
                        let why = "the gauges are whole numbers from -3 (4/0) to 40";
                        return p.bad(gauge.span, why, "write a gauge, such as `24 AWG`");
                    }
                    Spanned { value: Conductor::Gauge(gauge.value), span: gauge.span }
                } else {
                    let area = p.positive(Dimension::Area)?;
                    if !(1e-3..=1e4).contains(&area.value) {
                        let why = "a core has 0.001 mm2 to 10000 mm2";
                        return p.bad(area.span, why, "write a cross-section, such as `0.75 mm2`");
                    }
                    let class = if p.eat("class") {
                        let class = p.count(1, "a class of IEC 60228: 1, 2, 5 or 6")?;
                        if !matches!(class.value, 1 | 2 | 5 | 6) {
                            let why = "the classes of IEC 60228 are 1, 2, 5 and 6";
                            let help = "`class 1` is solid, `class 2` stranded, `class 5` and `class 6` flexible";
                            return p.bad(class.span, why, help);
                        }
                        Some(class.value)
                    } else {
                        None
                    };
                    Spanned { value: Conductor::Area(area.value, class), span: area.span }
                });
                Some(())
            },
        ),
        once(
            "resistance",
            "RESISTANCE-PER-LENGTH",
            "resistance of one core at 20 degC",
            |part, p| {
                part.resistance = Some(p.above_zero(Dimension::ResistancePerLength, "a core")?);
                Some(())
            },
        ),
        once("carries", "at most CURRENT", "what one core carries", |part, p| {
            part.most = Some(p.at_most(Dimension::Current)?);
            Some(())
        }),
    ],
    other: None,
};
