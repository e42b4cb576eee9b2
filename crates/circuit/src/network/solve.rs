//! The solver: monotone Newton on a tree, with a workspace that is used again.

use super::build::Network;
use super::ring::Rings;
use super::solution::Solution;
use super::tree::{Norton, eliminate, substitute};
use super::{Load, NetworkError, NodeId};

/// Steps before the answer counts as standing on the fold itself. Newton halves the
/// distance even there, so it never needs a tenth of them; curves may.
const MOST_STEPS: u32 = 2000;

/// Why a network has no working voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CollapseReason {
    /// The constant currents alone take a node to zero volts or below.
    ConstantCurrentsAlone,
    /// A step took a node to zero volts or below.
    VoltageGone,
    /// A step rose: above a solution none can.
    StepRose,
    /// The step's matrix is no longer an M-matrix: no solution lies below.
    NoLongerStable,
    /// The steps do not settle: the load stands on the limit to the last digit.
    OnTheLimit,
}

/// The network cannot supply its loads: a finding, not an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Collapse {
    /// How it was seen.
    pub reason: CollapseReason,
    /// The node at which it was seen.
    pub node: NodeId,
    /// The step at which it was seen; 0 is the start.
    pub step: u32,
}

/// What solving a network gives.
#[derive(Debug)]
pub enum Outcome<'a> {
    /// The highest solution.
    Solved(Solution<'a>),
    /// There is none.
    Collapsed(Collapse),
}

impl<'a> Outcome<'a> {
    /// The solution, if there is one.
    #[must_use]
    pub fn solution(self) -> Option<Solution<'a>> {
        match self {
            Self::Solved(s) => Some(s),
            Self::Collapsed(_) => None,
        }
    }

    /// The collapse, if it is one.
    #[must_use]
    pub const fn collapse(&self) -> Option<Collapse> {
        match self {
            Self::Solved(_) => None,
            Self::Collapsed(c) => Some(*c),
        }
    }
}

/// What is fixed at a node while the voltages change.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Fixed {
    /// Conductance of the resistive loads, S.
    pub(super) g: f64,
    /// Constant current, A.
    pub(super) i: f64,
    /// Constant power, W.
    pub(super) p: f64,
}

/// The workspace. It grows to the largest network it has seen and allocates nothing
/// more.
#[derive(Debug, Default)]
pub struct Solver {
    pub(super) fixed: Vec<Fixed>,
    pub(super) work: Vec<Norton>,
    /// `1 / pivot` of each position.
    pub(super) inverse: Vec<f64>,
    pub(super) volts: Vec<f64>,
    next: Vec<f64>,
    /// Loads with a curve: position and place in the list of loads.
    pub(super) curves: Vec<(usize, usize)>,
    /// Current in the branch above each position, A.
    pub(super) branch_amps: Vec<f64>,
    pub(super) rings: Rings,
}

impl Solver {
    /// An empty workspace.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Solves the network.
    ///
    /// # Errors
    /// [`NetworkError::ZeroOhmRing`], or [`NetworkError::TooFarApart`] if the figures
    /// are too far apart for the digits there are. A collapse is not an error.
    pub fn solve<'a>(&'a mut self, net: &'a Network) -> Result<Outcome<'a>, NetworkError> {
        self.gather(net);
        if let Some(c) = self.start(net)? {
            return Ok(Outcome::Collapsed(c));
        }
        let linear = self.curves.is_empty() && self.fixed.iter().all(|f| f.p == 0.0);
        let steps = if linear {
            0
        } else {
            match self.descend(net)? {
                Ok(steps) => steps,
                Err(c) => return Ok(Outcome::Collapsed(c)),
            }
        };
        self.currents(net)?;
        Ok(Outcome::Solved(Solution::new(net, self, steps)))
    }

    /// Steps down until they no longer change anything; how many it took.
    fn descend(&mut self, net: &Network) -> Result<Result<u32, Collapse>, NetworkError> {
        let smooth = self.curves.is_empty();
        let mut before = f64::INFINITY;
        for number in 1..=MOST_STEPS {
            let size = match self.step(net, number)? {
                Ok(size) => size,
                Err(c) => return Ok(Err(c)),
            };
            // Where steps shrink as squares, the next one is known before it is made.
            let ratio = size / before;
            let known = smooth && before.is_finite();
            if size <= 1e-13 || (known && size * ratio * ratio <= 1e-16) {
                return Ok(Ok(number));
            }
            before = size;
        }
        let reason = CollapseReason::OnTheLimit;
        Ok(Err(self.seen(net, reason, 0, MOST_STEPS)))
    }

    fn seen(&self, net: &Network, reason: CollapseReason, position: usize, step: u32) -> Collapse {
        Collapse { reason, node: net.layout.node_at(position), step }
    }

    /// Sums the loads by node.
    fn gather(&mut self, net: &Network) {
        let n = net.nodes();
        self.fixed.clear();
        self.fixed.resize(n, Fixed::default());
        self.curves.clear();
        for (k, (position, load)) in net.loads.iter().enumerate() {
            let Some(f) = self.fixed.get_mut(*position) else {
                continue;
            };
            match load {
                Load::ConstantCurrent(a) => f.i += a,
                Load::ConstantPower(w) => f.p += w,
                Load::Resistance(r) => f.g += 1.0 / r,
                Load::Curve(_) => self.curves.push((*position, k)),
            }
        }
        self.work.clear();
        self.work.resize(n, Norton::default());
        self.inverse.clear();
        self.inverse.resize(n, 0.0);
        self.next.clear();
        self.next.resize(n, 0.0);
    }

    /// The voltages with constant power off and each curve at its least current:
    /// above every solution.
    fn start(&mut self, net: &Network) -> Result<Option<Collapse>, NetworkError> {
        for (w, f) in self.work.iter_mut().zip(&self.fixed) {
            *w = Norton { g: f.g, i: f.i };
        }
        for &(position, k) in &self.curves {
            if let (Some(w), Some((_, Load::Curve(c)))) =
                (self.work.get_mut(position), net.loads.get(k))
            {
                w.i += c.least();
            }
        }
        let Passed::Stable = self.pass(net)? else {
            // All conductances are zero or more here: only overflow gets this far.
            return Err(NetworkError::TooFarApart);
        };
        std::mem::swap(&mut self.volts, &mut self.next);
        self.next.resize(self.volts.len(), 0.0);
        let (low, position) = lowest(&self.volts);
        if !low.is_finite() {
            return Err(NetworkError::TooFarApart);
        }
        let reason = CollapseReason::ConstantCurrentsAlone;
        Ok((low <= 0.0).then(|| self.seen(net, reason, position, 0)))
    }

    /// One step down from `volts` into `volts`: the largest change as a share of the
    /// largest voltage.
    fn step(&mut self, net: &Network, number: u32) -> Result<Result<f64, Collapse>, NetworkError> {
        let fixed = self.fixed.iter().zip(&self.volts);
        for (w, (f, v)) in self.work.iter_mut().zip(fixed) {
            let inverse = 1.0 / v;
            let amps = f.p * inverse;
            *w = Norton { g: f.g - amps * inverse, i: f.i + 2.0 * amps };
        }
        for &(position, k) in &self.curves {
            if let (Some(w), Some(&v), Some((_, Load::Curve(c)))) =
                (self.work.get_mut(position), self.volts.get(position), net.loads.get(k))
            {
                let slope = c.slope_from_below(v);
                w.g += slope;
                w.i += c.amps(v) - slope * v;
            }
        }
        if let Passed::Unstable(position) = self.pass(net)? {
            let reason = CollapseReason::NoLongerStable;
            return Ok(Err(self.seen(net, reason, position, number)));
        }
        let mut largest = 0.0f64;
        let mut rise = 0.0f64;
        let mut scale = 0.0f64;
        let mut low = f64::INFINITY;
        for (v, w) in self.volts.iter().zip(&self.next) {
            let d = w - v;
            largest = largest.max(d.abs());
            rise = rise.max(d);
            scale = scale.max(*w);
            low = low.min(*w);
        }
        // `max` and `min` pass over NaN, a sum does not.
        if !self.next.iter().sum::<f64>().is_finite() {
            return Err(NetworkError::TooFarApart);
        }
        if low <= 0.0 {
            let (_, position) = lowest(&self.next);
            let reason = CollapseReason::VoltageGone;
            return Ok(Err(self.seen(net, reason, position, number)));
        }
        if rise > 1e-9 * scale {
            let mut at = 0;
            let mut top = f64::NEG_INFINITY;
            for (k, (v, w)) in self.volts.iter().zip(&self.next).enumerate() {
                if w - v > top {
                    (at, top) = (k, w - v);
                }
            }
            let reason = CollapseReason::StepRose;
            return Ok(Err(self.seen(net, reason, at, number)));
        }
        std::mem::swap(&mut self.volts, &mut self.next);
        Ok(Ok(largest / scale))
    }

    /// Solves the linear network in `work` into `next`: leaves to root, root to leaves,
    /// then the chords.
    fn pass(&mut self, net: &Network) -> Result<Passed, NetworkError> {
        let up = eliminate(net, &mut self.work, &mut self.inverse);
        if up.negative > 0 && net.layout.chords.is_empty() {
            return Ok(Passed::Unstable(up.first));
        }
        substitute(net, &self.work, &self.inverse, net.supply.volts, &mut self.next);
        if net.layout.chords.is_empty() {
            return Ok(Passed::Stable);
        }
        let stable = self.rings.close(net, &self.inverse, up.negative, &mut self.next)?;
        Ok(if stable { Passed::Stable } else { Passed::Unstable(up.first) })
    }

    /// Currents from the loads at the final voltages, leaves to root: at every node
    /// what comes in is what goes out, to rounding.
    fn currents(&mut self, net: &Network) -> Result<(), NetworkError> {
        let amps = &mut self.branch_amps;
        amps.clear();
        amps.extend(self.fixed.iter().zip(&self.volts).map(|(f, v)| f.i + f.g * v + f.p / v));
        for &(position, k) in &self.curves {
            if let (Some(a), Some(&v), Some((_, load))) =
                (amps.get_mut(position), self.volts.get(position), net.loads.get(k))
            {
                *a += load.amps(v);
            }
        }
        for (chord, j) in net.layout.chords.iter().zip(&self.rings.amps) {
            for (position, sign) in [(chord.from, 1.0), (chord.to, -1.0)] {
                if let Some(a) = amps.get_mut(position) {
                    *a += sign * j;
                }
            }
        }
        for (k, branch) in net.layout.branches.iter().enumerate().skip(1).rev() {
            let below = amps.get(k).copied().unwrap_or(0.0);
            if let Some(a) = amps.get_mut(branch.parent) {
                *a += below;
            }
        }
        self.obeys_ohm(net)
    }

    /// A last look at the answer: Ohm's law on every edge. Figures that are too far
    /// apart for the digits there are must not pass as an answer.
    fn obeys_ohm(&self, net: &Network) -> Result<(), NetworkError> {
        let limit = 1e-6 * net.supply.volts;
        let volts = |position: usize| self.volts.get(position).copied().unwrap_or(0.0);
        let mut worst = (net.supply.volts
            - volts(0)
            - self.branch_amps.first().copied().unwrap_or(0.0) * net.supply.ohm)
            .abs();
        let mut sum = 0.0;
        let places = net.layout.branches.iter().zip(self.volts.iter().zip(&self.branch_amps));
        for (branch, (v, amps)) in places.skip(1) {
            let off = volts(branch.parent) - v - amps * branch.ohm;
            worst = worst.max(off.abs());
            sum += off;
        }
        for (chord, amps) in net.layout.chords.iter().zip(&self.rings.amps) {
            let off = volts(chord.from) - volts(chord.to) - amps * chord.ohm;
            worst = worst.max(off.abs());
            sum += off;
        }
        // A NaN passes `max` unseen, but not the sum.
        if worst <= limit && sum.is_finite() { Ok(()) } else { Err(NetworkError::TooFarApart) }
    }
}

enum Passed {
    Stable,
    Unstable(usize),
}

/// The lowest voltage and its position; NaN counts as lowest.
fn lowest(volts: &[f64]) -> (f64, usize) {
    let mut low = (f64::INFINITY, 0);
    for (k, &v) in volts.iter().enumerate() {
        if v < low.0 || v.is_nan() {
            low = (v, k);
        }
    }
    low
}
