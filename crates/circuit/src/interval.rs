//! Closed intervals whose ends are rounded outwards.
//!
//! Every operation gives an interval that holds each result of its operands'
//! values, rounding included. Values are zero or more, up to infinity (an open
//! circuit), which is all that loops need.

use crate::input::BadInput;

/// Rounding slack of [`Interval::lies_within`], relative. The outward rounding of
/// a loop's few dozen operations stays a hundred times below it.
const SLACK: f64 = 1e-12;

/// A closed interval `[lo, hi]` of values from zero to infinity.
///
/// Temperatures may be negative: they use [`Interval::signed`] and are only read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    lo: f64,
    hi: f64,
}

/// The next number below, but exact zero and infinity stay.
fn down(x: f64) -> f64 {
    if x == 0.0 || x.is_infinite() { x } else { x.next_down() }
}

/// The next number above, but exact zero and infinity stay.
fn up(x: f64) -> f64 {
    if x == 0.0 || x.is_infinite() { x } else { x.next_up() }
}

impl Interval {
    /// Zero alone.
    pub const ZERO: Self = Self { lo: 0.0, hi: 0.0 };

    /// Infinity alone: an open circuit.
    pub const OPEN: Self = Self { lo: f64::INFINITY, hi: f64::INFINITY };

    /// From `lo` to `hi`, both zero or more; `hi` may be infinite.
    ///
    /// # Errors
    /// [`BadInput`] for NaN, a negative end, or `lo` above `hi`.
    pub fn new(lo: f64, hi: f64) -> Result<Self, BadInput> {
        if lo < 0.0 {
            return Err(BadInput::Negative { quantity: "lower end of a range", value: lo });
        }
        Self::signed(lo, hi)
    }

    /// From `lo` to `hi` of any sign, as for temperatures.
    ///
    /// # Errors
    /// [`BadInput`] for NaN or `lo` above `hi`.
    pub fn signed(lo: f64, hi: f64) -> Result<Self, BadInput> {
        if lo.is_nan() || hi.is_nan() {
            return Err(BadInput::NotFinite { quantity: "end of a range" });
        }
        if lo > hi {
            return Err(BadInput::Reversed { lo, hi });
        }
        // Minus zero becomes zero, so that its reciprocal is plus infinity.
        Ok(Self { lo: lo + 0.0, hi: hi + 0.0 })
    }

    /// One value, zero or more.
    ///
    /// # Errors
    /// [`BadInput`] for NaN or a negative value.
    pub fn point(value: f64) -> Result<Self, BadInput> {
        Self::new(value, value)
    }

    /// `nominal * (1 - tolerance)` to `nominal * (1 + tolerance)`; the tolerance is
    /// a fraction from 0 to 1.
    ///
    /// # Errors
    /// [`BadInput`] for a value that is not finite, negative, or a tolerance above 1.
    pub fn with_tolerance(nominal: f64, tolerance: f64) -> Result<Self, BadInput> {
        let nominal = crate::input::zero_or_more("nominal value", nominal)?;
        let tolerance = crate::input::in_range("tolerance", tolerance, 0.0, 1.0)?;
        Ok(Self::tolerated(nominal, tolerance))
    }

    /// As [`Interval::with_tolerance`], for numbers that were checked before.
    pub(crate) fn tolerated(nominal: f64, tolerance: f64) -> Self {
        if tolerance == 0.0 {
            return Self { lo: nominal, hi: nominal };
        }
        Self { lo: down(nominal * (1.0 - tolerance)).max(0.0), hi: up(nominal * (1.0 + tolerance)) }
    }

    /// The lower end.
    #[must_use]
    pub const fn lo(self) -> f64 {
        self.lo
    }

    /// The upper end.
    #[must_use]
    pub const fn hi(self) -> f64 {
        self.hi
    }

    /// The middle; infinite where the upper end is.
    #[must_use]
    pub fn middle(self) -> f64 {
        self.lo + self.width() / 2.0
    }

    /// The upper end less the lower end; zero for a point, infinity included.
    #[must_use]
    pub fn width(self) -> f64 {
        if self.lo == self.hi { 0.0 } else { self.hi - self.lo }
    }

    /// Whether the value lies in the interval, its ends included.
    #[must_use]
    pub fn contains(self, value: f64) -> bool {
        self.lo <= value && value <= self.hi
    }

    /// Whether the whole interval lies in `outer`, to a relative rounding slack of
    /// 1e-12 (outward rounding must not push a value off the edge it sits on).
    #[must_use]
    pub fn lies_within(self, outer: Self) -> bool {
        // An infinite edge has no slack (infinity less infinity is no number).
        let slack = |edge: f64| if edge.is_infinite() { 0.0 } else { edge.abs() * SLACK };
        self.lo >= outer.lo - slack(outer.lo) && self.hi <= outer.hi + slack(outer.hi)
    }

    /// The part that both have, touching ends included.
    #[must_use]
    pub fn overlap(self, other: Self) -> Option<Self> {
        let lo = self.lo.max(other.lo);
        let hi = self.hi.min(other.hi);
        (lo <= hi).then_some(Self { lo, hi })
    }

    /// The empty space between two intervals; zero if they touch or overlap.
    #[must_use]
    pub fn gap(self, other: Self) -> f64 {
        if self.overlap(other).is_some() {
            0.0
        } else {
            (other.lo - self.hi).max(self.lo - other.hi)
        }
    }

    /// The smallest interval that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// The sum: resistances in series.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        let add = |a: f64, b: f64, round: fn(f64) -> f64| {
            // Adding nothing is exact.
            if a == 0.0 || b == 0.0 { a + b } else { round(a + b) }
        };
        Self { lo: add(self.lo, other.lo, down), hi: add(self.hi, other.hi, up) }
    }

    /// Times a finite factor of zero or more.
    #[must_use]
    pub(crate) fn times(self, factor: f64) -> Self {
        if factor == 1.0 {
            return self;
        }
        Self { lo: down(self.lo * factor), hi: up(self.hi * factor) }
    }

    /// Resistances in parallel, `1 / (1/a + 1/b)`.
    #[must_use]
    pub fn parallel(self, other: Self) -> Self {
        let both = |a: f64, b: f64, round: fn(f64) -> f64| {
            // Beside an open or a short circuit nothing is rounded.
            if a.is_infinite() {
                b
            } else if b.is_infinite() {
                a
            } else if a == 0.0 || b == 0.0 {
                0.0
            } else {
                // Four roundings: four steps outwards.
                round(round(round(round(1.0 / (1.0 / a + 1.0 / b)))))
            }
        };
        Self { lo: both(self.lo, other.lo, down), hi: both(self.hi, other.hi, up) }
    }

    /// The divider's share `r / (r + top)` for the resistance `self` below `top`.
    ///
    /// It rises with `self` and falls with `top`, so two corners bound it. Nothing
    /// above nothing (`0 / 0`) gives 0 to 1.
    #[must_use]
    pub fn share_below(self, top: Self) -> Self {
        let share = |r: f64, t: f64| {
            if r == 0.0 {
                0.0
            } else if t == 0.0 || r.is_infinite() {
                1.0
            } else {
                1.0 / (1.0 + t / r)
            }
        };
        // Three roundings: three steps outwards.
        let lo = down(down(down(share(self.lo, top.hi))));
        let hi = if self.hi == 0.0 && top.lo == 0.0 {
            1.0
        } else {
            up(up(up(share(self.hi, top.lo)))).min(1.0)
        };
        Self { lo, hi }
    }

    /// The product of two intervals of finite values.
    #[must_use]
    pub(crate) fn by(self, other: Self) -> Self {
        Self { lo: down(self.lo * other.lo), hi: up(self.hi * other.hi) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn iv(lo: f64, hi: f64) -> Interval {
        Interval::new(lo, hi).unwrap()
    }

    #[test]
    fn open_and_short_circuits() {
        let r = iv(90.0, 110.0);
        assert_eq!(r.parallel(Interval::OPEN), r);
        assert_eq!(r.parallel(Interval::ZERO), Interval::ZERO);
        assert_eq!(r.plus(Interval::OPEN), Interval::OPEN);
        assert_eq!(Interval::OPEN.middle(), f64::INFINITY);
        assert_eq!(Interval::OPEN.width(), 0.0);
        assert_eq!(
            Interval::OPEN.share_below(r),
            iv(1.0_f64.next_down().next_down().next_down(), 1.0)
        );
        assert_eq!(Interval::ZERO.share_below(r), Interval::ZERO);
        assert_eq!(Interval::ZERO.share_below(Interval::ZERO), iv(0.0, 1.0));
    }

    #[test]
    fn an_edge_that_is_met_exactly_counts_as_within() {
        let band = iv(190.0, 3000.0);
        assert!(iv(189.999_999_999_99, 3000.0).lies_within(band));
        assert!(!iv(189.999, 3000.0).lies_within(band));
        assert!(iv(7800.0, f64::INFINITY).lies_within(iv(7800.0, f64::INFINITY)));
        assert!(!iv(7800.0, f64::INFINITY).lies_within(band));
        assert!(Interval::OPEN.lies_within(Interval::OPEN));
    }

    #[test]
    fn bad_ends_are_refused() {
        assert!(Interval::new(2.0, 1.0).is_err());
        assert!(Interval::new(-1.0, 1.0).is_err());
        assert!(Interval::new(f64::NAN, 1.0).is_err());
        assert!(Interval::with_tolerance(100.0, 1.5).is_err());
        assert!(Interval::signed(-20.0, 40.0).is_ok());
    }

    /// The quotient of two small whole numbers is rounded once, so its neighbours
    /// enclose the true value.
    #[test]
    fn results_are_rounded_outwards() {
        for a in 1..60u32 {
            for b in 1..60u32 {
                let (x, y) = (f64::from(a), f64::from(b));
                let (p, q) = (iv(x, x), iv(y, y));
                let outside = |i: Interval, nearest: f64| {
                    assert!(i.lo() <= nearest.next_down() && nearest.next_up() <= i.hi());
                    assert!(i.width() < 1e-14 * nearest);
                };
                outside(p.parallel(q), x * y / (x + y));
                let share = p.share_below(q);
                assert!(share.lo() <= (x / (x + y)).next_down());
                assert!(share.hi() >= (x / (x + y)).next_up());
                outside(p.plus(q), x + y);
                outside(p.by(q), x * y);
                outside(p.times(y + 1.0), x * (y + 1.0));
                let t = Interval::with_tolerance(x, 0.01).unwrap();
                assert!(t.lo() <= (x * 99.0 / 100.0).next_down());
                assert!(t.hi() >= (x * 101.0 / 100.0).next_up());
            }
        }
    }

    #[test]
    fn the_middle_and_what_lies_inside() {
        let range = iv(3.0, 8.0);
        assert_eq!((range.middle(), iv(4.0, 4.0).middle()), (5.5, 4.0));
        let inside = [2.9, 3.0, 5.5, 8.0, 8.1].map(|value| range.contains(value));
        assert_eq!(inside, [false, true, true, true, false]);
    }

    #[test]
    fn gap_and_overlap() {
        assert_eq!(iv(0.0, 1.0).gap(iv(3.0, 4.0)), 2.0);
        assert_eq!(iv(3.0, 4.0).gap(iv(0.0, 1.0)), 2.0);
        assert_eq!(iv(0.0, 1.0).overlap(iv(1.0, 4.0)), Some(iv(1.0, 1.0)));
        assert_eq!(iv(0.0, 1.0).hull(iv(3.0, 4.0)), iv(0.0, 4.0));
    }
}
