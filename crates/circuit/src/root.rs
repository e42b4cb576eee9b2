//! A root between two points of opposite sign.

/// The point between `lo` and `hi` where `f` changes sign, to the last digit.
///
/// `f(lo)` and `f(hi)` have opposite signs; if they do not, the end that `f`
/// leads to by halving is returned, so callers check first.
///
/// The bracket is brought down to a few neighbouring numbers by inverse quadratic
/// interpolation, where three points say that it converges, and by halving where they do not
/// (Chandrupatla 1997, "A new hybrid quadratic/bisection algorithm for finding the zero of a
/// nonlinear function without using derivatives", from memory); halving does the rest. About a
/// dozen values of `f` instead of more than fifty.
pub(crate) fn between(lo: f64, hi: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (low, high) = (End::of(lo, &mut f), End::of(hi, &mut f));
    let (lo, hi) = closer(low, high, &mut f);
    halved(lo, hi, low.positive(), f)
}

/// A point and the value there.
#[derive(Clone, Copy)]
struct End {
    x: f64,
    y: f64,
}

impl End {
    fn of(x: f64, f: &mut impl FnMut(f64) -> f64) -> Self {
        Self { x, y: f(x) }
    }

    fn positive(self) -> bool {
        self.y > 0.0
    }
}

/// A bracket of a few neighbouring numbers within another one, the lower end first.
fn closer(low: End, high: End, f: &mut impl FnMut(f64) -> f64) -> (f64, f64) {
    let (mut newest, mut other) = (high, low);
    let mut part: f64 = 0.5;
    for _ in 0..100 {
        if newest.positive() == other.positive() {
            break;
        }
        let least = 4.0 * f64::EPSILON * newest.x.abs().min(other.x.abs());
        let width = (other.x - newest.x).abs();
        // So near that halving is as fast, or not to be told how near.
        if width.is_nan() || width <= 2.0 * least || width < f64::MIN_POSITIVE {
            break;
        }
        let bound = (least / width).min(0.5);
        let next = End::of(newest.x + part.clamp(bound, 1.0 - bound) * (other.x - newest.x), f);
        // What one end of the bracket was until now.
        let before = if next.positive() == newest.positive() {
            newest
        } else {
            std::mem::replace(&mut other, newest)
        };
        newest = next;
        part = interpolated(newest, other, before).unwrap_or(0.5);
    }
    (newest.x.min(other.x), newest.x.max(other.x))
}

/// Which part of the way from the newest point to the other end the root lies at, by a parabola on
/// its side; none where it is not certain to run through between them.
fn interpolated(newest: End, other: End, before: End) -> Option<f64> {
    let along = (newest.x - other.x) / (before.x - other.x);
    let up = (newest.y - other.y) / (before.y - other.y);
    let runs = up * up < along && (1.0 - up) * (1.0 - up) < 1.0 - along;
    let part = newest.y / (other.y - newest.y) * before.y / (other.y - before.y)
        + (before.x - newest.x) / (other.x - newest.x) * newest.y / (before.y - newest.y) * other.y
            / (before.y - other.y);
    (runs && part.is_finite()).then_some(part)
}

/// Halves a bracket until nothing lies between its ends.
fn halved(mut lo: f64, mut hi: f64, low_sign: bool, mut f: impl FnMut(f64) -> f64) -> f64 {
    for _ in 0..2000 {
        let mid = lo + (hi - lo) / 2.0;
        if mid <= lo || mid >= hi {
            break;
        }
        if (f(mid) > 0.0) == low_sign {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    lo + (hi - lo) / 2.0
}

#[cfg(test)]
mod tests {
    use super::{between, halved};
    use proptest::prelude::*;

    #[test]
    fn square_root_of_two() {
        let r = between(1.0, 2.0, |x| x * x - 2.0);
        assert!((r - std::f64::consts::SQRT_2).abs() < 4e-16);
    }

    /// To the last digit: the sign changes between the neighbours of what is found.
    #[test]
    fn square_roots_to_the_last_digit() {
        for square in 2..200 {
            let f = |x: f64| x * x - f64::from(square);
            let r = between(1.0, f64::from(square), f);
            assert!(f(r.next_down()) <= 0.0 && f(r.next_up()) >= 0.0, "{square}");
        }
    }

    /// Few values are asked for, also where the slope is steep at one end.
    #[test]
    fn a_dozen_values_are_enough() {
        type Curve = fn(f64) -> f64;
        let curves: [(f64, f64, Curve); 4] = [
            (0.0, 100.0, |t| 7.0 - 0.3 * (0.4 * t + 0.6 * (1.0 - (-0.5 * t).exp()) / 0.5)),
            (0.001, 10.0, |k| (1.0 - (-k).exp()) / k - 0.4),
            (0.0, 1e6, |x| x.sqrt() - 2.0),
            (1.0, 1000.0, |x| x.powf(1.3) - 500.0),
        ];
        for (lo, hi, f) in curves {
            let mut asked = 0;
            between(lo, hi, |x| {
                asked += 1;
                f(x)
            });
            assert!(asked < 30, "{asked}");
        }
    }

    #[test]
    fn without_a_change_of_sign_it_is_the_end_that_halving_leads_to() {
        assert!((between(1.0, 2.0, |_| 1.0) - 2.0).abs() < 1e-15);
        assert!((between(1.0, 2.0, |_| -1.0) - 2.0).abs() < 1e-15);
        assert!((between(1.0, 2.0, |_| f64::NAN) - 2.0).abs() < 1e-15);
    }

    proptest! {
        /// It finds what halving alone finds, be the curve steep, flat, stepped or without an end.
        #[test]
        fn it_is_where_halving_leads(
            root in 1e-3..1e3f64, power in 0.05..20.0f64, below in 0.0..1.0f64, above in 1.0..1e4f64,
            shape in 0..4,
        ) {
            let (lo, hi) = (root * below, root * above.max(1.0 + 1e-9));
            let f = |x: f64| match shape {
                0 => x.powf(power) - root.powf(power),
                1 => root.ln() - x.ln(),
                2 => if x > root { 1.0 } else { -1.0 },
                _ => (1.0 / (root - x)).clamp(-1e300, f64::INFINITY),
            };
            let (found, halving) = (between(lo, hi, f), halved(lo, hi, f(lo) > 0.0, f));
            // A power rounds a neighbour of the root to the root's own value.
            let far = 1e-14 * (1.0 + 1.0 / power);
            prop_assert!((found - halving).abs() <= far * halving, "{found} {halving}");
        }
    }
}
