//! Sizes: by mm2 and class, by gauge, ideal, or as a part states it.

use super::{COPPER_PER_KELVIN, ConductorError, IACS_OHM_MM2_PER_M, temperature_factor};
use crate::input::{in_range, positive};
use crate::working::{Mark, PART, Source, Step};
use libm::pow;

/// Construction class of IEC 60228.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// Solid.
    One,
    /// Stranded.
    Two,
    /// Flexible.
    Five,
}

/// How a conductor was named.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// A size of IEC 60228, mm2.
    Mm2 {
        /// Nominal area, mm2.
        area: f64,
        /// Construction class.
        class: Class,
    },
    /// American wire gauge; 1/0 is 0, 4/0 is -3.
    Awg(i32),
    /// Any area of ideal copper, mm2.
    Ideal(f64),
    /// Resistance as a part states it.
    Stated,
}

/// What the resistance figure is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Certainty {
    /// The most that the standard allows.
    StandardMaximum,
    /// Ideal copper: a real conductor is worse (IEC 60228 maxima of classes 1 and 5
    /// lie 4 to 16 % above it, seven strands of a gauge about 2 %).
    LowerBound,
    /// As the part states it.
    Stated,
}

/// A conductor: its resistance a metre at 20 degC and how that changes with heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductor {
    size: Size,
    ohm_per_m_20: f64,
    per_kelvin: f64,
}

/// IEC 60228:2004 maximum dc resistance at 20 degC, plain copper, ohm/km (C):
/// area, class 1, class 2, class 5.
const IEC_60228: [(f64, f64, f64, f64); 11] = [
    (0.5, 36.0, 36.0, 39.0),
    (0.75, 24.5, 24.5, 26.0),
    (1.0, 18.1, 18.1, 19.5),
    (1.5, 12.1, 12.1, 13.3),
    (2.5, 7.41, 7.41, 7.98),
    (4.0, 4.61, 4.61, 4.95),
    (6.0, 3.08, 3.08, 3.3),
    (10.0, 1.83, 1.83, 1.91),
    (16.0, 1.15, 1.15, 1.21),
    (25.0, 0.727, 0.727, 0.78),
    (35.0, 0.524, 0.524, 0.554),
];

/// The thickest gauge, 4/0.
const THICKEST: i32 = -3;
/// The thinnest gauge.
const THINNEST: i32 = 40;

fn row_ohm_per_km(row: &(f64, f64, f64, f64), class: Class) -> f64 {
    match class {
        Class::One => row.1,
        Class::Two => row.2,
        Class::Five => row.3,
    }
}

/// Diameter of a round wire, mm: `0.127 * 92^((36 - gauge) / 39)` (ASTM B258; C).
#[must_use]
pub fn awg_wire_diameter_mm(gauge: i32) -> f64 {
    0.127 * pow(92.0, (36.0 - f64::from(gauge)) / 39.0)
}

/// The sizes of IEC 60228 in one class, 0.5 to 35 mm2, smallest first.
pub fn iec60228_sizes(class: Class) -> impl Iterator<Item = Conductor> {
    IEC_60228.iter().map(move |row| Conductor::of_row(row, class))
}

/// The gauges from 40 to 4/0, thinnest first.
pub fn awg_sizes() -> impl Iterator<Item = Conductor> {
    (THICKEST..=THINNEST).rev().map(Conductor::of_gauge)
}

impl Conductor {
    fn of_row(row: &(f64, f64, f64, f64), class: Class) -> Self {
        Self {
            size: Size::Mm2 { area: row.0, class },
            ohm_per_m_20: row_ohm_per_km(row, class) / 1000.0,
            per_kelvin: COPPER_PER_KELVIN,
        }
    }

    fn of_gauge(gauge: i32) -> Self {
        let d = awg_wire_diameter_mm(gauge);
        let area = std::f64::consts::FRAC_PI_4 * d * d;
        Self {
            size: Size::Awg(gauge),
            ohm_per_m_20: IACS_OHM_MM2_PER_M / area,
            per_kelvin: COPPER_PER_KELVIN,
        }
    }

    /// A size of IEC 60228 at its maximum resistance: 0.5 to 35 mm2, copper.
    ///
    /// # Errors
    /// [`ConductorError::NotAStandardSize`] with the neighbours for any other area
    /// (0.22 and 0.34 mm2 are in no table of the standard: see [`Conductor::ideal`]).
    pub fn iec60228(area_mm2: f64, class: Class) -> Result<Self, ConductorError> {
        let area = positive("conductor area", area_mm2)?;
        if let Some(row) = IEC_60228.iter().find(|r| (r.0 - area).abs() < 1e-9 * area) {
            return Ok(Self::of_row(row, class));
        }
        let below = IEC_60228.iter().rev().find(|r| r.0 < area).map(|r| r.0);
        let above = IEC_60228.iter().find(|r| r.0 > area).map(|r| r.0);
        Err(ConductorError::NotAStandardSize { area_mm2, below, above })
    }

    /// A gauge from 4/0 (-3) to 40: solid round wire of ASTM B258 geometry and IACS
    /// resistivity. A lower bound: strands add about 2 % (NEC chapter 9 table 8; C).
    ///
    /// # Errors
    /// [`ConductorError::NotAGauge`] outside that range.
    pub fn awg(gauge: i32) -> Result<Self, ConductorError> {
        if !(THICKEST..=THINNEST).contains(&gauge) {
            return Err(ConductorError::NotAGauge { gauge });
        }
        Ok(Self::of_gauge(gauge))
    }

    /// Ideal copper of any area: `(1/58) / area` ohm a metre (IACS; X). A lower bound.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for an area outside 0.001 to 10,000 mm2.
    pub fn ideal(area_mm2: f64) -> Result<Self, ConductorError> {
        let area = in_range("conductor area", area_mm2, 1e-3, 1e4)?;
        Ok(Self {
            size: Size::Ideal(area),
            ohm_per_m_20: IACS_OHM_MM2_PER_M / area,
            per_kelvin: COPPER_PER_KELVIN,
        })
    }

    /// A conductor as a part states it: ohm a kilometre at 20 degC, and the
    /// temperature coefficient per kelvin.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a resistance that is not positive or a
    /// coefficient outside 0 to 0.008.
    pub fn stated(ohm_per_km_20: f64, per_kelvin: f64) -> Result<Self, ConductorError> {
        let r = positive("conductor resistance", ohm_per_km_20)?;
        Ok(Self {
            size: Size::Stated,
            ohm_per_m_20: r / 1000.0,
            per_kelvin: in_range("temperature coefficient", per_kelvin, 0.0, 0.008)?,
        })
    }

    /// How the conductor was named.
    #[must_use]
    pub const fn size(&self) -> Size {
        self.size
    }

    /// What its resistance figure is worth.
    #[must_use]
    pub const fn certainty(&self) -> Certainty {
        match self.size {
            Size::Mm2 { .. } => Certainty::StandardMaximum,
            Size::Awg(_) | Size::Ideal(_) => Certainty::LowerBound,
            Size::Stated => Certainty::Stated,
        }
    }

    /// Copper area, mm2; none for a stated resistance.
    #[must_use]
    pub fn area_mm2(&self) -> Option<f64> {
        match self.size {
            Size::Mm2 { area, .. } | Size::Ideal(area) => Some(area),
            Size::Awg(gauge) => {
                let d = awg_wire_diameter_mm(gauge);
                Some(std::f64::consts::FRAC_PI_4 * d * d)
            }
            Size::Stated => None,
        }
    }

    /// Resistance of one conductor, ohm a metre at 20 degC.
    #[must_use]
    pub const fn ohm_per_m_at_20(&self) -> f64 {
        self.ohm_per_m_20
    }

    /// Resistance of one conductor, ohm a metre:
    /// `R20 * (1 + coefficient * (T - 20))`.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a temperature outside -100 to 250 degC.
    pub fn ohm_per_m(&self, temperature_c: f64) -> Result<f64, ConductorError> {
        Ok(self.ohm_per_m_20 * temperature_factor(temperature_c, self.per_kelvin)?)
    }

    /// The next standard size up in the same series; none at the end, or for an
    /// ideal or a stated conductor (which belong to no series).
    #[must_use]
    pub fn next_size_up(&self) -> Option<Self> {
        match self.size {
            Size::Mm2 { area, class } => {
                IEC_60228.iter().find(|r| r.0 > area).map(|r| Self::of_row(r, class))
            }
            Size::Awg(gauge) => (gauge > THICKEST).then(|| Self::of_gauge(gauge - 1)),
            Size::Ideal(_) | Size::Stated => None,
        }
    }

    /// Where the figure at 20 degC comes from.
    #[must_use]
    pub const fn source(&self) -> Source {
        match self.size {
            Size::Mm2 { .. } => {
                Source::new("IEC 60228, maximum dc resistance at 20 degC", Mark::Confirmed)
            }
            Size::Awg(_) => {
                Source::new("ASTM B258 geometry, IACS resistivity (lower bound)", Mark::Calculated)
            }
            Size::Ideal(_) => Source::new("IACS resistivity (lower bound)", Mark::Calculated),
            Size::Stated => PART,
        }
    }

    /// The working of [`Conductor::ohm_per_m`].
    ///
    /// # Errors
    /// As [`Conductor::ohm_per_m`].
    pub fn explain(&self, temperature_c: f64) -> Result<Vec<Step>, ConductorError> {
        let r = self.ohm_per_m(temperature_c)?;
        let first = match self.size {
            Size::Mm2 { area, .. } => Step::new(
                "R20",
                "table value for A",
                &[("A", area, "mm2")],
                self.ohm_per_m_20 * 1000.0,
                "ohm/km",
                self.source(),
            ),
            Size::Awg(gauge) => Step::new(
                "R20",
                "1000 * rho / (pi/4 * (0.127 * 92^((36 - n) / 39))^2)",
                &[("rho", IACS_OHM_MM2_PER_M, "ohm mm2/m"), ("n", f64::from(gauge), "AWG")],
                self.ohm_per_m_20 * 1000.0,
                "ohm/km",
                self.source(),
            ),
            Size::Ideal(area) => Step::new(
                "R20",
                "1000 * rho / A",
                &[("rho", IACS_OHM_MM2_PER_M, "ohm mm2/m"), ("A", area, "mm2")],
                self.ohm_per_m_20 * 1000.0,
                "ohm/km",
                self.source(),
            ),
            Size::Stated => Step::new(
                "R20",
                "as stated",
                &[],
                self.ohm_per_m_20 * 1000.0,
                "ohm/km",
                self.source(),
            ),
        };
        let heat = Step::new(
            "R(T)",
            "R20 * (1 + a * (T - 20))",
            &[
                ("R20", self.ohm_per_m_20 * 1000.0, "ohm/km"),
                ("a", self.per_kelvin, "1/K"),
                ("T", temperature_c, "degC"),
            ],
            r * 1000.0,
            "ohm/km",
            Source::new("IEC 60028 coefficient of copper, 0.00393/K", Mark::Confirmed),
        );
        Ok(vec![first, heat])
    }
}
