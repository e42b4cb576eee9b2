//! A root between two points of opposite sign, by halving.

/// The point between `lo` and `hi` where `f` changes sign, to the last digit.
///
/// `f(lo)` and `f(hi)` have opposite signs; if they do not, the end that `f`
/// leads to by halving is returned, so callers check first.
pub(crate) fn between(mut lo: f64, mut hi: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let low_sign = f(lo) > 0.0;
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
    use super::between;

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
}
