//! Preferred values of resistors (IEC 60063).

use super::{Loop, Resistor};
use curtilage_circuit::ends::Series;
use libm::{log, log10, pow};

/// Whether a value can be bought off the shelf: E24, which holds E12, or E96; with a tolerance of
/// 0.5 % or better E192 too.
fn is_preferred(ohm: f64, tolerance: Option<f64>) -> bool {
    let fine = tolerance.is_some_and(|tolerance| tolerance <= 0.005);
    Series::E24.has(ohm) || is_in(ohm, 96) || (fine && is_in(ohm, 192))
}

/// Whether a value belongs to E48, E96 or E192: `round(100 * 10^(k / n))`, with the one exception
/// of E192 (920 in place of 919).
fn is_in(ohm: f64, values: u32) -> bool {
    nearest_in(ohm, values).is_some_and(|near| (near - ohm).abs() <= 1e-9 * ohm)
}

fn nearest_in(ohm: f64, values: u32) -> Option<f64> {
    if !(ohm.is_finite() && ohm > 0.0) {
        return None;
    }
    let decade = pow(10.0, log10(ohm).floor()) / 100.0;
    let near = |k: u32| {
        let value = (100.0 * pow(10.0, f64::from(k) / f64::from(values))).round();
        decade * if values == 192 && value == 919.0 { 920.0 } else { value }
    };
    let apart = |value: &f64| (log(*value) - log(ohm)).abs();
    (0..=values).map(near).min_by(|a, b| apart(a).total_cmp(&apart(b)))
}

/// The value of E24 that lies nearest, by ratio.
fn nearest_e24(ohm: f64) -> f64 {
    let decade = pow(10.0, log10(ohm).floor() - 1.0);
    let tens = Series::E24.decade().iter().copied().chain([100.0]);
    let apart = |value: &f64| (log(*value) - log(ohm)).abs();
    let near = tens.map(|value| value * decade).min_by(|a, b| apart(a).total_cmp(&apart(b)));
    near.unwrap_or(ohm)
}

impl Loop<'_> {
    /// Resistors whose values cannot be bought off the shelf, with the nearest of E24, ohm.
    #[must_use]
    pub fn not_preferred(&self) -> Vec<(Resistor, f64)> {
        let preferred = |one: &Resistor| is_preferred(one.ohm, one.tolerance);
        let all = || self.resistors().iter().all(preferred);
        if *self.pattern().all_preferred.get_or_init(all) {
            return Vec::new();
        }
        let odd = self.resistors().into_iter().filter(|one| !preferred(one));
        odd.map(|one| (one, nearest_e24(one.ohm))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::{is_in, is_preferred, nearest_e24};

    /// IEC 60063 as in the reference's section 2 (C): decades of E12, members of E96 and E192.
    #[test]
    fn what_can_be_bought_c() {
        for ohm in [1000.0, 2200.0, 4700.0, 8.2, 910_000.0, 475.0, 10_200.0] {
            assert!(is_preferred(ohm, None), "{ohm}");
        }
        for ohm in [2300.0, 4800.0, 5000.0, 2500.0] {
            assert!(!is_preferred(ohm, Some(0.01)), "{ohm}");
        }
        assert!(is_in(920.0, 192) && !is_in(919.0, 192));
        assert!(is_preferred(1010.0, Some(0.005)) && !is_preferred(1010.0, Some(0.01)));
    }

    #[test]
    fn the_nearest_by_ratio() {
        let near = |ohm: f64| (nearest_e24(ohm) * 1e6).round() / 1e6;
        assert_eq!((near(2300.0), near(4800.0), near(9900.0)), (2400.0, 4700.0, 10_000.0));
    }
}
