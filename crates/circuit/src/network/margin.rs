//! How far a solved network is from collapse.

use super::build::Network;
use super::ring::Rings;
use super::solve::Solver;
use super::tree::{Norton, eliminate};
use super::{Load, NetworkError};

/// The smallest eigenvalue of `G^-1 J`: 1 without loads that draw more at less
/// voltage, 0 on the limit.
///
/// `G` holds the conductors, the supply and all that draws less at less voltage; `J`
/// is `G` less `D`, with `D = P / V^2` for constant power. It equals one less the `t`
/// at which `G - D / t` stops being positive definite, found by halving on the signs
/// of the tree's pivots: no eigenvalue solver, and exact to rounding.
pub(super) fn margin(net: &Network, solver: &Solver) -> Result<f64, NetworkError> {
    let mut rising: Vec<f64> = solver.fixed.iter().map(|f| f.g).collect();
    let mut falling: Vec<f64> =
        solver.fixed.iter().zip(&solver.volts).map(|(f, v)| f.p / v / v).collect();
    for &(position, k) in &solver.curves {
        if let (Some(g), Some(d), Some(v), Some((_, Load::Curve(c)))) = (
            rising.get_mut(position),
            falling.get_mut(position),
            solver.volts.get(position),
            net.loads.get(k),
        ) {
            let slope = c.slope(*v);
            *g += slope.max(0.0);
            *d += (-slope).max(0.0);
        }
    }
    if falling.iter().all(|d| *d == 0.0) {
        return Ok(1.0);
    }
    let n = rising.len();
    let mut work = vec![Norton::default(); n];
    let mut inverse = vec![0.0; n];
    let mut scratch = vec![0.0; n];
    let mut rings = Rings::default();
    let mut definite = |t: f64| -> Result<bool, NetworkError> {
        for (w, (g, d)) in work.iter_mut().zip(rising.iter().zip(&falling)) {
            *w = Norton { g: g - d / t, i: 0.0 };
        }
        let pivots = eliminate(net, &mut work, &mut inverse);
        if net.layout.chords.is_empty() {
            return Ok(pivots.negative == 0);
        }
        rings.close(net, &inverse, pivots.negative, &mut scratch)
    };
    if !definite(1.0)? {
        return Ok(0.0);
    }
    let (mut bad, mut good) = (0.0, 1.0);
    for _ in 0..60 {
        let mid = bad + (good - bad) / 2.0;
        if definite(mid)? {
            good = mid;
        } else {
            bad = mid;
        }
    }
    Ok(1.0 - good)
}
