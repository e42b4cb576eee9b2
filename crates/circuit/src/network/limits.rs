//! One load on one cable, in closed form.

use super::{Load, NetworkError};
use crate::input::positive;
use crate::working::{Mark, Source, Step};

/// The most power one load can take through a cable, W: `E^2 / (4 R)`, at half the
/// voltage (maximum power transfer; X).
///
/// # Errors
/// [`NetworkError::Input`] for a voltage or resistance that is not positive.
pub fn most_power_w(emf_v: f64, loop_ohm: f64) -> Result<f64, NetworkError> {
    let e = positive("supply voltage", emf_v)?;
    Ok(e * e / (4.0 * positive("cable resistance", loop_ohm)?))
}

/// The working of [`most_power_w`].
///
/// # Errors
/// As [`most_power_w`].
pub fn explain_most_power(emf_v: f64, loop_ohm: f64) -> Result<Step, NetworkError> {
    Ok(Step::new(
        "Pmax",
        "E^2 / (4 * R)",
        &[("E", emf_v, "V"), ("R", loop_ohm, "ohm")],
        most_power_w(emf_v, loop_ohm)?,
        "W",
        Source::new("maximum power transfer", Mark::Calculated),
    ))
}

/// The most resistance, out and back and inside the supply, that leaves one load at
/// least `least_v`, ohm: `(E - V) / I(V)`. For constant power below half the supply
/// voltage it is `E^2 / (4 P)`: with more, the voltage collapses.
///
/// None for a load that draws nothing, and for a curve (search with
/// [`crate::conductor::longest_run`]). Zero if the supply is not above `least_v`.
///
/// # Errors
/// [`NetworkError::Input`] for a voltage that is not positive or a bad load.
pub fn allowed_loop_ohm(
    emf_v: f64,
    least_v: f64,
    load: &Load,
) -> Result<Option<f64>, NetworkError> {
    let e = positive("supply voltage", emf_v)?;
    let v = positive("least voltage", least_v)?;
    let v = match load.clone().checked()? {
        Load::Curve(_) => return Ok(None),
        Load::ConstantPower(_) => v.max(e / 2.0),
        _ => v,
    };
    let amps = load.amps(v);
    if amps == 0.0 {
        return Ok(None);
    }
    Ok(Some((e - v).max(0.0) / amps))
}
