//! Whether a figure is beyond its limit. What meets a limit to the digit keeps it, and a sum of
//! decimals is off in its last digits: three times 0.1 A are 0.30000000000000004 A.

/// Far more than rounding brings, far less than anybody measures.
const ROUNDING: f64 = 1e-9;

/// Whether a figure is above the most that is allowed; both in one unit, whatever it is.
#[must_use]
pub fn above(value: f64, most: f64) -> bool {
    value > most + most.abs() * ROUNDING
}

/// Whether a figure is below the least that is asked for; both in one unit, whatever it is.
#[must_use]
pub fn below(value: f64, least: f64) -> bool {
    value < least - least.abs() * ROUNDING
}
