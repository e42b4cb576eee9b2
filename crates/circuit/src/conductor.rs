//! Conductor resistance: from a standard size, at a temperature, over a run.

mod mend;
mod run;
mod size;

pub use mend::{longest_run, longest_run_within, smallest_size};
pub use run::{Leg, out_and_back};
pub use size::{
    Certainty, Class, Conductor, Size, awg_sizes, awg_wire_diameter_mm, iec60228_sizes,
};

use crate::input::BadInput;
use std::fmt;

/// Resistivity of the International Annealed Copper Standard at 20 degC,
/// ohm mm2/m: 1/58 = 0.0172414 (IEC 60028; C).
pub const IACS_OHM_MM2_PER_M: f64 = 1.0 / 58.0;

/// Temperature coefficient of copper at 20 degC, per kelvin: 0.00393
/// (IEC 60028; C). Other texts give 0.004041 for the pure element; see
/// [`Conductor::stated`].
pub const COPPER_PER_KELVIN: f64 = 0.00393;

/// The coldest conductor that is accepted, degC.
pub const COLDEST_C: f64 = -100.0;

/// The hottest conductor that is accepted, degC.
pub const HOTTEST_C: f64 = 250.0;

/// Why a conductor cannot be calculated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConductorError {
    /// A number that cannot be used.
    Input(BadInput),
    /// The size is not in the standard's table; the neighbours that are.
    NotAStandardSize {
        /// The area asked for, mm2.
        area_mm2: f64,
        /// The nearest size below, mm2.
        below: Option<f64>,
        /// The nearest size above, mm2.
        above: Option<f64>,
    },
    /// The gauge is outside 4/0 (-3) to 40.
    NotAGauge {
        /// The gauge asked for.
        gauge: i32,
    },
}

impl From<BadInput> for ConductorError {
    fn from(e: BadInput) -> Self {
        Self::Input(e)
    }
}

impl fmt::Display for ConductorError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(e) => e.fmt(f),
            Self::NotAStandardSize { area_mm2, .. } => {
                write!(f, "{area_mm2} mm2 is not a size of IEC 60228")
            }
            Self::NotAGauge { gauge } => write!(f, "AWG {gauge} is outside 4/0 to 40"),
        }
    }
}

impl std::error::Error for ConductorError {}

/// `1 + per_kelvin * (T - 20)`, the factor on the resistance at 20 degC
/// (IEC 60028 for copper; X).
///
/// # Errors
/// [`BadInput`] for a temperature outside [`COLDEST_C`] to [`HOTTEST_C`] or a
/// coefficient outside 0 to 0.008 per kelvin.
pub fn temperature_factor(temperature_c: f64, per_kelvin: f64) -> Result<f64, BadInput> {
    let t = crate::input::in_range("conductor temperature", temperature_c, COLDEST_C, HOTTEST_C)?;
    let a = crate::input::in_range("temperature coefficient", per_kelvin, 0.0, 0.008)?;
    Ok(1.0 + a * (t - 20.0))
}
