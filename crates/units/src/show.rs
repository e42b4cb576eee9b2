//! Figures as people write them: four significant digits, the prefix that reads best.

use crate::{Dimension, Quantity};
use std::fmt;

/// `value` with at most `digits` significant digits, without trailing zeros or an exponent.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".into() } else { format!("{value}") };
    }
    // Rounding first, by way of the exponent form, so that 999.96 becomes 1000 and not 1000.0.
    let exponent_form = format!("{:.*e}", digits.saturating_sub(1), value);
    let rounded: f64 = exponent_form.parse().unwrap_or(value);
    #[expect(clippy::cast_possible_truncation, reason = "a base-ten exponent of a double fits")]
    let magnitude = rounded.abs().log10().floor() as i32;
    let decimals = (i32::try_from(digits).unwrap_or(4) - 1 - magnitude).max(0);
    let text = format!("{:.*}", usize::try_from(decimals).unwrap_or(0), rounded);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A time in ms as days, hours, minutes and seconds: `3 min 5 s`, `61 h 30 min`.
#[must_use]
pub fn duration(milliseconds: f64) -> String {
    if !milliseconds.is_finite() {
        return "for ever".into();
    }
    #[expect(clippy::cast_possible_truncation, reason = "saturates at 292 million years")]
    let mut left = milliseconds.abs().round() as i64;
    let sign = if milliseconds < 0.0 && left > 0 { "-" } else { "" };
    let days = left / 86_400_000;
    let mut parts = Vec::new();
    if days >= 7 || (days > 0 && left % 86_400_000 == 0) {
        parts.push(format!("{days} d"));
        left %= 86_400_000;
    }
    for (size, unit) in [(3_600_000, "h"), (60_000, "min")] {
        if left >= size {
            parts.push(format!("{} {unit}", left / size));
            left %= size;
        }
    }
    if left > 0 || parts.is_empty() {
        if left % 1000 == 0 {
            parts.push(format!("{} s", left / 1000));
        } else if left < 1000 {
            parts.push(format!("{left} ms"));
        } else {
            parts.push(
                format!("{}.{:03}", left / 1000, left % 1000).trim_end_matches('0').to_owned()
                    + " s",
            );
        }
    }
    format!("{sign}{}", parts.join(" "))
}

/// A number of minutes as hours and minutes: `61 h 30 min`, `168 h`.
#[must_use]
pub fn hours(minutes: u64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// A current in A: `1.35 A`, `15 mA`.
#[must_use]
pub fn amps(ampere: f64) -> String {
    Quantity::new(ampere, Dimension::Current).to_string()
}

/// A resistance in ohm, infinite where nothing connects: `4.7 kohm`, `no connection`.
#[must_use]
pub fn ohms(ohm: f64) -> String {
    if ohm.is_infinite() {
        return "no connection".to_owned();
    }
    Quantity::new(ohm, Dimension::Resistance).to_string()
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let v = self.value;
        // The first step whose threshold is reached gives the unit: (threshold, factor, unit).
        let scaled = |f: &mut fmt::Formatter<'_>, steps: &[(f64, f64, &str)]| {
            let reached = steps.iter().find(|(from, _, _)| v.abs() >= *from * 0.999_95);
            let step =
                if v == 0.0 { steps.iter().find(|(_, one, _)| *one == 1.0) } else { reached };
            let (_, factor, unit) = step.or(steps.last()).copied().unwrap_or((0.0, 1.0, ""));
            write!(f, "{} {unit}", significant(v / factor, 4))
        };
        match self.dimension {
            Dimension::Time => f.write_str(&duration(v)),
            Dimension::Length => write!(f, "{} m", significant(v, 4)),
            Dimension::Area => write!(f, "{} mm2", significant(v, 4)),
            Dimension::Gauge => write!(f, "{} AWG", significant(v, 4)),
            Dimension::Resistance => scaled(
                f,
                &[(1e6, 1e6, "Mohm"), (1e3, 1e3, "kohm"), (0.1, 1.0, "ohm"), (0.0, 1e-3, "mohm")],
            ),
            Dimension::ResistancePerLength => write!(f, "{} ohm/km", significant(v * 1e3, 4)),
            Dimension::Voltage => scaled(
                f,
                &[(1e3, 1e3, "kV"), (0.1, 1.0, "V"), (1e-3, 1e-3, "mV"), (0.0, 1e-6, "uV")],
            ),
            Dimension::Current => {
                scaled(f, &[(0.1, 1.0, "A"), (1e-3, 1e-3, "mA"), (0.0, 1e-6, "uA")])
            }
            Dimension::Power => scaled(f, &[(1e3, 1e3, "kW"), (0.1, 1.0, "W"), (0.0, 1e-3, "mW")]),
            Dimension::Charge => scaled(f, &[(0.1, 1.0, "Ah"), (0.0, 1e-3, "mAh")]),
            Dimension::Temperature => write!(f, "{} degC", significant(v, 4)),
            Dimension::Data => scaled(
                f,
                &[
                    (1e12, 1e12, "TB"),
                    (1e9, 1e9, "GB"),
                    (1e6, 1e6, "MB"),
                    (1e3, 1e3, "kB"),
                    (0.0, 1.0, "B"),
                ],
            ),
            Dimension::BitRate => {
                scaled(f, &[(1e6, 1e6, "Mbit/s"), (1e3, 1e3, "kbit/s"), (0.0, 1.0, "bit/s")])
            }
            Dimension::SoundLevel => write!(f, "{} dB", significant(v, 4)),
            Dimension::Ratio => write!(f, "{} %", significant(v * 100.0, 4)),
        }
    }
}
