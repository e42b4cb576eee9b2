//! What the input makes of a resistance: volts behind a pull-up, and bands.

use super::EndsError;
use crate::input::positive;
use crate::interval::Interval;
use libm::log;

/// The input's pull-up: a supply and a resistor above the loop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Divider {
    supply: Interval,
    pull_up: Interval,
}

impl Divider {
    /// A supply in volts and a pull-up in ohms, each with its range.
    ///
    /// # Errors
    /// [`EndsError::Input`] if either has no positive lower or no finite upper end.
    pub fn new(supply: Interval, pull_up: Interval) -> Result<Self, EndsError> {
        for (name, i) in [("loop supply", supply), ("pull-up resistor", pull_up)] {
            positive(name, i.lo())?;
            positive(name, i.hi())?;
        }
        Ok(Self { supply, pull_up })
    }

    /// The supply, V.
    #[must_use]
    pub const fn supply(&self) -> Interval {
        self.supply
    }

    /// The pull-up, ohm.
    #[must_use]
    pub const fn pull_up(&self) -> Interval {
        self.pull_up
    }

    /// The share of the supply across the loop, 0 to 1: `R / (R + Rp)`.
    #[must_use]
    pub fn share(&self, loop_ohm: Interval) -> Interval {
        loop_ohm.share_below(self.pull_up)
    }

    /// The voltage across the loop: `Us * R / (R + Rp)`.
    #[must_use]
    pub fn volts(&self, loop_ohm: Interval) -> Interval {
        self.supply.by(self.share(loop_ohm))
    }
}

/// In what the input's bands, or a reading, are given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gauge {
    /// Ohms at the terminals.
    Ohms,
    /// Volts behind a pull-up.
    Volts(Divider),
    /// Share of the supply behind a pull-up, 0 to 1, as an input measures that refers
    /// to its own supply.
    Share(Divider),
}

impl Gauge {
    /// What the gauge shows for a loop resistance.
    #[must_use]
    pub fn shows(&self, loop_ohm: Interval) -> Interval {
        match self {
            Self::Ohms => loop_ohm,
            Self::Volts(d) => d.volts(loop_ohm),
            Self::Share(d) => d.share(loop_ohm),
        }
    }

    /// How far a window lies inside a band: the smaller of its two distances, below
    /// zero outside. In ohms as a natural logarithm (0.1 is about 10 %), in volts as
    /// volts. Infinite if the band has no edge on either side.
    pub(super) fn margin(&self, window: Interval, band: Interval) -> f64 {
        let (below, above) = match self {
            Self::Ohms => (
                (band.lo() > 0.0).then(|| log(window.lo() / band.lo())),
                (band.hi().is_finite()).then(|| log(band.hi() / window.hi())),
            ),
            Self::Volts(d) => (
                (band.lo() > 0.0).then(|| window.lo() - band.lo()),
                (band.hi() < d.supply.hi()).then(|| band.hi() - window.hi()),
            ),
            Self::Share(_) => (
                (band.lo() > 0.0).then(|| window.lo() - band.lo()),
                (band.hi() < 1.0).then(|| band.hi() - window.hi()),
            ),
        };
        let free = f64::INFINITY;
        let m = below.unwrap_or(free).min(above.unwrap_or(free));
        // Infinity over infinity: an open loop against an open band.
        if m.is_nan() { free } else { m }
    }
}

/// Where a window lies among the bands. Bands are given by their place in the list.
#[derive(Debug, Clone, PartialEq)]
pub enum Placement {
    /// Wholly inside one band.
    Within(usize),
    /// Not wholly inside one: it touches these bands, and perhaps the gaps between.
    Across(Vec<usize>),
    /// In no band at all; the nearest, and how far off it is.
    Outside {
        /// The nearest band; none if there are no bands.
        nearest: Option<usize>,
        /// The distance to it, in the gauge's unit.
        distance: f64,
    },
}

/// Places a window among bands.
///
/// A window inside one band that also touches the edge of the next is inside; one
/// that lies wholly inside two bands is across both, since the bands overlap.
#[must_use]
pub fn place(window: Interval, bands: &[Interval]) -> Placement {
    let mut within = (0..).zip(bands).filter(|&(_, &b)| window.lies_within(b)).map(|(k, _)| k);
    if let Some(one) = within.next() {
        return match within.next() {
            None => Placement::Within(one),
            Some(two) => Placement::Across([one, two].into_iter().chain(within).collect()),
        };
    }
    let touched: Vec<usize> =
        (0..).zip(bands).filter(|&(_, &b)| window.overlap(b).is_some()).map(|(k, _)| k).collect();
    if !touched.is_empty() {
        return Placement::Across(touched);
    }
    let nearest =
        (0usize..).zip(bands).map(|(k, &b)| (k, window.gap(b))).min_by(|a, b| a.1.total_cmp(&b.1));
    Placement::Outside {
        nearest: nearest.map(|n| n.0),
        distance: nearest.map_or(f64::INFINITY, |n| n.1),
    }
}

/// Two states that can read alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confusion {
    /// One state, by its place in the list.
    pub first: usize,
    /// The other, later in the list.
    pub second: usize,
    /// What both can read.
    pub shared: Interval,
}

/// Every pair of windows that share a reading, touching ends included.
#[must_use]
pub fn confusions(windows: &[Interval]) -> Vec<Confusion> {
    let mut found = Vec::new();
    for (first, a) in windows.iter().enumerate() {
        for (second, b) in windows.iter().enumerate().skip(first + 1) {
            if let Some(shared) = a.overlap(*b) {
                found.push(Confusion { first, second, shared });
            }
        }
    }
    found
}

/// The windows from the lowest upwards, each with the next and the space between
/// (below zero: they overlap): `(lower, upper, space)`.
#[must_use]
pub fn gaps(windows: &[Interval]) -> Vec<(usize, usize, f64)> {
    let mut order: Vec<(usize, Interval)> = (0..).zip(windows.iter().copied()).collect();
    order.sort_by(|a, b| {
        let (a, b) = (a.1, b.1);
        a.lo().total_cmp(&b.lo()).then(a.hi().total_cmp(&b.hi()))
    });
    order
        .iter()
        .zip(order.iter().skip(1))
        .map(|(a, b)| {
            let space = if a.1.hi() == b.1.lo() { 0.0 } else { b.1.lo() - a.1.hi() };
            (a.0, b.0, space)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn window(lo: f64, hi: f64) -> Interval {
        Interval::new(lo, hi).unwrap()
    }

    /// In volts and shares the smaller of the two distances; an edge at the end of what can be read
    /// does not count. In ohms the logarithm of the smaller ratio.
    #[test]
    fn a_margin_is_the_distance_to_the_nearer_edge() {
        let pull_up = Divider::new(window(5.0, 5.0), window(2_200.0, 2_200.0)).unwrap();
        for gauge in [Gauge::Volts(pull_up), Gauge::Share(pull_up)] {
            let edge = if matches!(gauge, Gauge::Volts(_)) { 5.0 } else { 1.0 };
            let part = |share: f64| share * edge;
            let margin = |window: (f64, f64), band: (f64, f64)| {
                let of = |(lo, hi): (f64, f64)| Interval::new(part(lo), part(hi)).unwrap();
                gauge.margin(of(window), of(band)) / edge
            };
            assert_eq!(margin((0.5, 0.625), (0.25, 0.75)), 0.125);
            assert_eq!(margin((0.375, 0.5), (0.25, 0.75)), 0.125);
            assert_eq!(margin((0.125, 0.5), (0.25, 0.75)), -0.125);
            assert_eq!(margin((0.125, 0.5), (0.0, 0.75)), 0.25);
            assert_eq!(margin((0.5, 0.625), (0.25, 1.0)), 0.25);
            assert_eq!(margin((0.125, 0.625), (0.0, 1.0)), f64::INFINITY);
        }
        let ohms = |band| Gauge::Ohms.margin(window(200.0, 400.0), band);
        assert_eq!(ohms(window(100.0, 1600.0)), std::f64::consts::LN_2);
        assert_eq!(ohms(window(50.0, 800.0)), std::f64::consts::LN_2);
        assert_eq!(ohms(window(0.0, 800.0)), std::f64::consts::LN_2);
    }
}
