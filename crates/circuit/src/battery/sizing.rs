//! Factors on the capacity, the plain sum, and recharging.

use super::{BatteryError, Duty};
use crate::input::{BadInput, in_range, positive, zero_or_more};
use crate::working::{Mark, Source, Step};

/// The usual ageing factor: replaced at 80 % of its capacity, 1 / 0.80 (IEEE 485; M).
pub const AGEING_FACTOR: f64 = 1.25;

/// IEEE 485 table 1, lead-acid, 25 degC: degrees Celsius and the factor on the
/// capacity needed. From memory (M); two independent fits agree within 0.015 (X).
pub const TEMPERATURE_FACTORS: [(f64, f64); 24] = [
    (-3.9, 1.52),
    (-1.1, 1.43),
    (1.7, 1.35),
    (4.4, 1.3),
    (7.2, 1.25),
    (10.0, 1.19),
    (12.8, 1.15),
    (15.6, 1.11),
    (18.3, 1.08),
    (20.0, 1.056),
    (21.1, 1.04),
    (23.9, 1.011),
    (25.0, 1.0),
    (26.7, 0.98),
    (29.4, 0.96),
    (30.0, 0.956),
    (32.2, 0.94),
    (35.0, 0.93),
    (37.8, 0.91),
    (40.6, 0.89),
    (43.3, 0.88),
    (46.1, 0.87),
    (48.9, 0.86),
    (51.7, 0.85),
];

/// The factor on the capacity needed at a temperature, straight between the points of
/// [`TEMPERATURE_FACTORS`]. Its reciprocal is the factor on the capacity there is.
///
/// # Errors
/// [`BatteryError::OutsideTable`] below -3.9 or above 51.7 degC.
pub fn temperature_factor(celsius: f64) -> Result<f64, BatteryError> {
    let t = in_range("battery temperature", celsius, -273.15, 1000.0)?;
    let mut before: Option<(f64, f64)> = None;
    for &(x, f) in &TEMPERATURE_FACTORS {
        if t == x {
            return Ok(f);
        }
        if t < x {
            return match before {
                Some((x0, f0)) => Ok(f0 + (f - f0) * (t - x0) / (x - x0)),
                None => Err(BatteryError::OutsideTable { celsius: t }),
            };
        }
        before = Some((x, f));
    }
    Err(BatteryError::OutsideTable { celsius: t })
}

/// The working of [`temperature_factor`].
///
/// # Errors
/// As [`temperature_factor`].
pub fn explain_temperature_factor(celsius: f64) -> Result<Step, BatteryError> {
    Ok(Step::new(
        "fT",
        "table value at T, straight between its points",
        &[("T", celsius, "degC")],
        temperature_factor(celsius)?,
        "",
        Source::new("IEEE 485 table 1", Mark::Memory),
    ))
}

/// The plain sum of ampere-hours with a margin, Ah: `(Is Ts + Ia Ta) * factor`
/// (form of NFPA 72: 24 h and 5 min, factor 1.20 to 2019, 1.25 from 2022; C).
///
/// # Errors
/// [`BatteryError::Input`] for a factor outside 1 to 10.
pub fn ampere_hours(duty: &Duty, factor: f64) -> Result<f64, BatteryError> {
    let f = in_range("margin factor", factor, 1.0, 10.0)?;
    Ok((duty.standby_a() * duty.standby_h() + duty.alarm_a() * duty.alarm_h()) * f)
}

/// The working of [`ampere_hours`].
///
/// # Errors
/// As [`ampere_hours`].
pub fn explain_ampere_hours(duty: &Duty, factor: f64) -> Result<Step, BatteryError> {
    Ok(Step::new(
        "C",
        "(Is * Ts + Ia * Ta) * m",
        &[
            ("Is", duty.standby_a(), "A"),
            ("Ts", duty.standby_h(), "h"),
            ("Ia", duty.alarm_a(), "A"),
            ("Ta", duty.alarm_h(), "h"),
            ("m", factor, ""),
        ],
        ampere_hours(duty, factor)?,
        "Ah",
        Source::new("form of NFPA 72", Mark::Confirmed),
    ))
}

/// The capacity to install, Ah: `needed * temperature * ageing * margin`, each factor
/// from 0.5 to 10 (IEEE 485; M).
///
/// # Errors
/// [`BatteryError::Input`].
pub fn sized_ampere_hours(
    needed_ah: f64,
    temperature: f64,
    ageing: f64,
    margin: f64,
) -> Result<f64, BatteryError> {
    let q = zero_or_more("capacity needed", needed_ah)?;
    let t = in_range("temperature factor", temperature, 0.5, 10.0)?;
    let a = in_range("ageing factor", ageing, 0.5, 10.0)?;
    let m = in_range("margin factor", margin, 0.5, 10.0)?;
    Ok(q * t * a * m)
}

/// The working of [`sized_ampere_hours`].
///
/// # Errors
/// As [`sized_ampere_hours`].
pub fn explain_sized(
    needed_ah: f64,
    temperature: f64,
    ageing: f64,
    margin: f64,
) -> Result<Step, BatteryError> {
    Ok(Step::new(
        "C",
        "Cn * fT * fa * fm",
        &[("Cn", needed_ah, "Ah"), ("fT", temperature, ""), ("fa", ageing, ""), ("fm", margin, "")],
        sized_ampere_hours(needed_ah, temperature, ageing, margin)?,
        "Ah",
        Source::new("IEEE 485", Mark::Memory),
    ))
}

/// The time to put charge back, h: `removed * charge factor / spare current`.
///
/// It assumes that the spare current flows in full until the charge is back. A real
/// charger tapers towards the end, which the charge factor (1.2 for lead-acid, common
/// practice, no source) covers only in part: ask for 80 % of the capacity rather than
/// all of it, as standards do.
///
/// # Errors
/// [`BadInput`] for a negative charge, a current that is not positive, or a charge
/// factor outside 1 to 3.
pub fn recharge_hours(removed_ah: f64, spare_a: f64, charge_factor: f64) -> Result<f64, BadInput> {
    let q = zero_or_more("charge to put back", removed_ah)?;
    let i = positive("spare current", spare_a)?;
    Ok(q * in_range("charge factor", charge_factor, 1.0, 3.0)? / i)
}

/// The working of [`recharge_hours`].
///
/// # Errors
/// As [`recharge_hours`].
pub fn explain_recharge(
    removed_ah: f64,
    spare_a: f64,
    charge_factor: f64,
) -> Result<Step, BadInput> {
    let inputs = [("Q", removed_ah, "Ah"), ("f", charge_factor, ""), ("I", spare_a, "A")];
    let hours = recharge_hours(removed_ah, spare_a, charge_factor)?;
    let source = Source::new("constant current, charge factor", Mark::CommonPractice);
    Ok(Step::new("t", "Q * f / I", &inputs, hours, "h", source))
}
