//! Loads: what they draw at a voltage, and the line that stands in for them.

use super::NetworkError;
use crate::input::{positive, zero_or_more};

/// What a load draws.
#[derive(Debug, Clone, PartialEq)]
pub enum Load {
    /// The same current at any voltage, A; zero is allowed.
    ConstantCurrent(f64),
    /// The same power at any voltage, W: `I = P / V`; zero is allowed.
    ConstantPower(f64),
    /// A resistance, ohm: `I = V / R`.
    Resistance(f64),
    /// A current that depends on the voltage.
    Curve(Curve),
}

/// A piecewise-linear curve of current over voltage.
///
/// Outside its points the current of the nearest one is held; [`Curve::covers`] says
/// whether a voltage lies inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

impl Curve {
    /// A curve through points of (volts, amperes), voltages rising.
    ///
    /// # Errors
    /// [`NetworkError::BadCurve`] for fewer than two points or voltages that do not
    /// rise, [`NetworkError::Input`] for a negative value.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, NetworkError> {
        for &(v, i) in points {
            zero_or_more("voltage of a curve", v)?;
            zero_or_more("current of a curve", i)?;
        }
        let rises = points.iter().zip(points.iter().skip(1)).all(|(a, b)| a.0 < b.0);
        if points.len() < 2 || !rises {
            return Err(NetworkError::BadCurve);
        }
        Ok(Self { points: points.to_vec() })
    }

    /// The current at a voltage, A.
    #[must_use]
    pub fn amps(&self, volts: f64) -> f64 {
        let mut before: Option<(f64, f64)> = None;
        for &(v, i) in &self.points {
            if volts <= v {
                return match before {
                    None => i,
                    Some((v0, i0)) => i0 + (i - i0) * ((volts - v0) / (v - v0)),
                };
            }
            before = Some((v, i));
        }
        before.map_or(0.0, |b| b.1)
    }

    /// Whether the voltage lies between the first and the last point.
    #[must_use]
    pub fn covers(&self, volts: f64) -> bool {
        let first = self.points.first().is_some_and(|p| p.0 <= volts);
        first && self.points.last().is_some_and(|p| volts <= p.0)
    }

    /// The least current anywhere on the curve, A.
    pub(super) fn least(&self) -> f64 {
        self.points.iter().fold(f64::INFINITY, |m, p| m.min(p.1))
    }

    /// The slope of the steepest line through the curve at `volts` that lies on or
    /// below the curve at every lower voltage, A/V.
    ///
    /// It is the largest slope from a lower point of the curve; between two points
    /// that slope is largest at one of them or at the near end, where it is the
    /// curve's own.
    pub(super) fn slope_from_below(&self, volts: f64) -> f64 {
        let here = self.amps(volts);
        let slope = |v: f64, i: f64| (here - i) / (volts - v);
        let mut steepest = f64::NEG_INFINITY;
        let mut below: Option<(f64, f64)> = None;
        for &(v, i) in &self.points {
            if v >= volts {
                // The curve's own slope just below `volts`.
                if let Some((v0, i0)) = below {
                    steepest = steepest.max((i - i0) / (v - v0));
                }
                break;
            }
            steepest = steepest.max(slope(v, i));
            below = Some((v, i));
        }
        // Held current below the first point: the line to zero volts.
        let first = self.points.first().map_or(here, |p| p.1);
        if volts > 0.0 {
            steepest = steepest.max((here - first) / volts);
        }
        if below.is_none() { 0.0 } else { steepest }
    }

    /// The curve's own slope just below `volts`, A/V.
    pub(super) fn slope(&self, volts: f64) -> f64 {
        self.points
            .iter()
            .zip(self.points.iter().skip(1))
            .find(|(a, b)| a.0 < volts && volts <= b.0)
            .map_or(0.0, |(a, b)| (b.1 - a.1) / (b.0 - a.0))
    }
}

impl Load {
    /// The load, its numbers checked: zero or more, a resistance above zero.
    pub(super) fn checked(self) -> Result<Self, NetworkError> {
        match self {
            Self::ConstantCurrent(a) => zero_or_more("load current", a)?,
            Self::ConstantPower(w) => zero_or_more("load power", w)?,
            Self::Resistance(r) => positive("load resistance", r)?,
            Self::Curve(_) => 0.0,
        };
        Ok(self)
    }

    /// The current at a voltage above zero, A.
    #[must_use]
    pub fn amps(&self, volts: f64) -> f64 {
        match self {
            Self::ConstantCurrent(a) => *a,
            Self::ConstantPower(w) => *w / volts,
            Self::Resistance(r) => volts / *r,
            Self::Curve(c) => c.amps(volts),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_lies_below_the_curve_at_every_lower_voltage() {
        let curves: [&[(f64, f64)]; 4] = [
            &[(0.0, 0.0), (5.0, 1.0), (15.0, 1.2)],
            &[(6.0, 2.0), (9.0, 1.0), (24.0, 0.4)],
            &[(6.0, 0.0), (6.5, 1.0), (24.0, 0.4), (30.0, 2.0)],
            &[(1.0, 0.5), (2.0, 0.1), (3.0, 0.6), (4.0, 0.1)],
        ];
        for points in curves {
            let c = Curve::new(points).unwrap();
            for k in 1..=400 {
                let v = f64::from(k) * 0.1;
                let (i, m) = (c.amps(v), c.slope_from_below(v));
                for j in 0..k {
                    let x = f64::from(j) * 0.1;
                    assert!(c.amps(x) >= i + m * (x - v) - 1e-12, "{points:?} {v} {x}");
                }
            }
        }
    }

    #[test]
    fn a_curve_is_checked() {
        assert_eq!(Curve::new(&[(1.0, 1.0)]), Err(NetworkError::BadCurve));
        let twice = Curve::new(&[(1.0, 1.0), (1.0, 2.0)]);
        assert_eq!(twice, Err(NetworkError::BadCurve));
        assert!(Curve::new(&[(0.0, -1.0), (1.0, 2.0)]).is_err());
        let c = Curve::new(&[(10.0, 1.0), (20.0, 2.0)]).unwrap();
        assert_eq!((c.amps(5.0), c.amps(15.0), c.amps(25.0)), (1.0, 1.5, 2.0));
        assert!(c.covers(10.0) && c.covers(20.0) && !c.covers(9.9) && !c.covers(20.1));
    }

    /// Just below a point the curve still is what it was before it; outside it is held.
    #[test]
    fn the_slope_just_below() {
        let curve = Curve::new(&[(9.0, 3.0), (12.0, 1.5), (14.0, 2.5)]).unwrap();
        for (volts, slope) in [
            (8.0, 0.0),
            (9.0, 0.0),
            (9.5, -0.5),
            (12.0, -0.5),
            (12.5, 0.5),
            (14.0, 0.5),
            (15.0, 0.0),
        ] {
            assert!((curve.slope(volts) - slope).abs() < 1e-12, "{volts}");
        }
    }
}
