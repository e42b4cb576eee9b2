//! Figures as people write them: four significant digits, the prefix that reads best.

use crate::{Dimension, Quantity};
use std::fmt;

/// `value` with at most `digits` significant digits, without trailing zeros or an exponent.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".into() } else { format!("{value}") };
    }
    if let Some(text) = by_whole_numbers(value, digits) {
        return text;
    }
    // Rounding first, by way of the exponent form, so that 999.96 becomes 1000 and not 1000.0.
    let exponent_form = format!("{:.*e}", digits.saturating_sub(1), value);
    let rounded: f64 = exponent_form.parse().unwrap_or(value);
    #[expect(clippy::cast_possible_truncation, reason = "a base-ten exponent of a double fits")]
    let magnitude = libm::log10(rounded.abs()).floor() as i32;
    let decimals = (i32::try_from(digits).unwrap_or(4) - 1 - magnitude).max(0);
    let text = format!("{:.*}", usize::try_from(decimals).unwrap_or(0), rounded);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// The smallest figure of four significant digits that is not below `value`: what suffices, as it is
/// shown. What shows as itself stays.
#[must_use]
pub fn round_up(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let unit = libm::pow(10.0, libm::log10(value.abs()).floor() - 3.0);
    // A millionth of the last digit is rounding.
    (value / unit - 1e-6).ceil() * unit
}

/// The same by whole numbers, a tenth of the work; none where a double is too coarse to tell which way
/// the exact value rounds, or for figures of unusual size.
fn by_whole_numbers(value: f64, digits: usize) -> Option<String> {
    const TENS: [f64; 23] = [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
        1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
    ];
    let (size, digits) = (value.abs(), i32::try_from(digits).ok()?);
    if !(1..=6).contains(&digits) || !(1e-9..1e14).contains(&size) {
        return None;
    }
    let ten = |power: i32| TENS.get(usize::try_from(power).ok()?).copied();
    // `decimals` places behind the point leave a whole number of so many digits: one multiplication
    // or division by a power of ten that is exact as a double, so one rounding. The logarithm may be
    // off by one at a power of ten; then the number is out of range and is left to the other way.
    #[expect(clippy::cast_possible_truncation, reason = "from -9 to 14")]
    let decimals = digits - 1 - libm::log10(size).floor() as i32;
    let scaled = if decimals < 0 { size / ten(-decimals)? } else { size * ten(decimals)? };
    let (least, most) = (ten(digits - 1)?, ten(digits)?);
    let whole = scaled.round();
    let sure = (scaled - whole).abs() < 0.5 - most * f64::EPSILON;
    if !sure || !(least..=most).contains(&whole) || !(least..most).contains(&scaled) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 1e6")]
    let mut whole = whole as u64;
    let sign = if value < 0.0 { "-" } else { "" };
    let Ok(mut decimals) = u32::try_from(decimals) else {
        return Some(format!("{sign}{}", whole * 10_u64.checked_pow(decimals.unsigned_abs())?));
    };
    while decimals > 0 && whole.is_multiple_of(10) {
        (whole, decimals) = (whole / 10, decimals - 1);
    }
    if decimals == 0 {
        return Some(format!("{sign}{whole}"));
    }
    let point = 10_u64.checked_pow(decimals)?;
    let width = usize::try_from(decimals).ok()?;
    Some(format!("{sign}{}.{:0width$}", whole / point, whole % point))
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

/// So many significant digits are shown.
const DIGITS: usize = 4;

/// Two figures in words, with as many digits as tell them apart, from `least` on; ten tell those apart
/// that differ by more than rounding.
#[must_use]
pub fn apart(least: usize, pair: impl Fn(usize) -> [String; 2]) -> (String, String) {
    const MOST: usize = 10;
    let told = (least..MOST).map(&pair).find(|[one, other]| one != other);
    let [one, other] = told.unwrap_or_else(|| pair(MOST));
    (one, other)
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.show(f, DIGITS)
    }
}

impl Quantity {
    /// Two quantities of one dimension as people write them, with as many digits as tell them apart:
    /// `10.4998 V` and `10.5 V`. Those that differ by less than a part in 10^9 may read the same.
    #[must_use]
    pub fn apart(self, other: Self) -> (String, String) {
        apart(DIGITS, |digits| [self, other].map(|one| Shown { one, digits }.to_string()))
    }

    fn show(self, f: &mut fmt::Formatter<'_>, digits: usize) -> fmt::Result {
        let v = self.value;
        // The first step whose threshold is reached gives the unit: (threshold, factor, unit).
        let scaled = |f: &mut fmt::Formatter<'_>, steps: &[(f64, f64, &str)]| {
            let reached = steps.iter().find(|(from, _, _)| v.abs() >= *from * 0.999_95);
            let step =
                if v == 0.0 { steps.iter().find(|(_, one, _)| *one == 1.0) } else { reached };
            let (_, factor, unit) = step.or(steps.last()).copied().unwrap_or((0.0, 1.0, ""));
            write!(f, "{} {unit}", significant(v / factor, digits))
        };
        match self.dimension {
            Dimension::Time => f.write_str(&duration(v)),
            Dimension::Length => write!(f, "{} m", significant(v, digits)),
            Dimension::Area => write!(f, "{} mm2", significant(v, digits)),
            Dimension::Gauge => write!(f, "{} AWG", significant(v, digits)),
            Dimension::Resistance => scaled(
                f,
                &[(1e6, 1e6, "Mohm"), (1e3, 1e3, "kohm"), (0.1, 1.0, "ohm"), (0.0, 1e-3, "mohm")],
            ),
            Dimension::ResistancePerLength => write!(f, "{} ohm/km", significant(v * 1e3, digits)),
            Dimension::Voltage => scaled(
                f,
                &[(1e3, 1e3, "kV"), (0.1, 1.0, "V"), (1e-3, 1e-3, "mV"), (0.0, 1e-6, "uV")],
            ),
            Dimension::Current => {
                scaled(f, &[(0.1, 1.0, "A"), (1e-3, 1e-3, "mA"), (0.0, 1e-6, "uA")])
            }
            Dimension::Power => scaled(f, &[(1e3, 1e3, "kW"), (0.1, 1.0, "W"), (0.0, 1e-3, "mW")]),
            Dimension::Charge => scaled(f, &[(0.1, 1.0, "Ah"), (0.0, 1e-3, "mAh")]),
            Dimension::Temperature => write!(f, "{} degC", significant(v, digits)),
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
            Dimension::SoundLevel => write!(f, "{} dB", significant(v, digits)),
            Dimension::Ratio => write!(f, "{} %", significant(v * 100.0, digits)),
        }
    }
}

/// A quantity with other digits than usual.
struct Shown {
    one: Quantity,
    digits: usize,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.one.show(f, self.digits)
    }
}

#[cfg(test)]
mod tests {
    use super::{by_whole_numbers, round_up, significant};
    use crate::{Dimension, Quantity};
    use proptest::prelude::*;

    /// As the standard library rounds: the exact value of the double, halves to even.
    fn exactly(value: f64, digits: usize) -> String {
        let rounded: f64 = format!("{:.*e}", digits - 1, value).parse().unwrap();
        // The shortest text that reads as that double has no digit more.
        format!("{rounded}")
    }

    #[test]
    fn what_suffices_is_rounded_up() {
        for (value, shown) in [
            (0.703_448, "0.7035"),
            (0.7, "0.7"),
            (17.012_3, "17.02"),
            (17.0, "17"),
            (9_999.6, "10000"),
            (0.3 + 1e-16, "0.3"),
            (0.0, "0"),
        ] {
            assert_eq!(significant(round_up(value), 4), shown, "{value}");
        }
    }

    proptest! {
        #[test]
        fn a_figure_rounded_up_is_not_below_and_within_a_digit(value in 1e-6..1e9f64) {
            let shown: f64 = significant(round_up(value), 4).parse().unwrap();
            prop_assert!(shown >= value * (1.0 - 1e-9) && shown <= value * 1.001_001, "{shown}");
        }
    }

    #[test]
    fn the_short_way_is_taken_and_says_the_same() {
        for value in [13.8, 0.152, 4.7e3, 1e-9, 999.96, 9999.6, 12_345.6, 0.000_123_456, 1.0, 1e13]
        {
            assert_eq!(by_whole_numbers(value, 4), Some(exactly(value, 4)), "{value}");
        }
        // Half way between two figures, as near as a double comes.
        for value in [1.0005, 9999.5, 1000.5, 2.5e-5, 0.5, 1e14, 1e-10] {
            assert_eq!(significant(value, 1), exactly(value, 1), "{value}");
            assert_eq!(significant(value, 4), exactly(value, 4), "{value}");
        }
    }

    #[test]
    fn two_figures_are_told_apart() {
        let volts = |one, other| {
            let of = |value| Quantity::new(value, Dimension::Voltage);
            of(one).apart(of(other))
        };
        let told = |one: &str, other: &str| (one.to_owned(), other.to_owned());
        assert_eq!(volts(10.5, 9.0), told("10.5 V", "9 V"));
        assert_eq!(volts(10.499_98, 10.5), told("10.49998 V", "10.5 V"));
        assert_eq!(volts(0.099_999, 0.1), told("0.099999 V", "0.1 V"));
        assert_eq!(volts(10.5 * (1.0 - 2e-9), 10.5), told("10.49999998 V", "10.5 V"));
        assert_eq!(volts(10.5, 10.5), told("10.5 V", "10.5 V"));
    }

    proptest! {
        #[test]
        fn it_rounds_as_the_standard_library_does(
            size in -12.0..14.9_f64, share in 1.0..10.0_f64, digits in 1..8_usize, minus: bool,
        ) {
            let value = share * 10_f64.powf(size) * if minus { -1.0 } else { 1.0 };
            prop_assert_eq!(significant(value, digits), exactly(value, digits));
        }

        #[test]
        fn it_rounds_halves_and_powers_of_ten_as_the_standard_library_does(
            whole in 1..100_000_u32, power in -9..12_i32, beside in -3..=3_i64, digits in 1..7_usize,
        ) {
            let near = f64::from(whole) * 10_f64.powi(power) / 2.0;
            let value = f64::from_bits(near.to_bits().checked_add_signed(beside).unwrap());
            prop_assert_eq!(significant(value, digits), exactly(value, digits));
        }
    }
}
