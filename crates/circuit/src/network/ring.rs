//! Rings: the tree and its chords.
//!
//! A chord from `a` to `b` with resistance `R` carries a current `J` that draws at `a`
//! and feeds at `b`. With the tree's matrix `T` and the chords' columns `U`
//! (`+1` at `a`, `-1` at `b`): `V = V0 - X J`, `T X = U`, and
//! `(R + U' X) J = U' V0`. The matrix of the whole network is `T + U R^-1 U'`. By
//! Sylvester's law of inertia it is positive definite exactly when `R + U' X` has as
//! many negative pivots as `T` (Woodbury's identity and Haynsworth's inertia formula,
//! from memory; checked against a dense solver).

use super::NetworkError;
use super::build::Network;
use super::tree::{Norton, substitute};

/// Scratch for the chords, and their currents.
#[derive(Debug, Default)]
pub(super) struct Rings {
    /// Current of each chord from its first to its second end, A.
    pub(super) amps: Vec<f64>,
    columns: Vec<Vec<f64>>,
    sources: Vec<Norton>,
    matrix: Vec<Vec<f64>>,
}

fn difference(v: &[f64], a: usize, b: usize) -> f64 {
    v.get(a).copied().unwrap_or(0.0) - v.get(b).copied().unwrap_or(0.0)
}

impl Rings {
    /// Adds the chords to the tree's solution in `volts`. `inverse` are the tree's
    /// pivots, `negative` how many of them were not positive. False if the whole
    /// network's matrix is not an M-matrix.
    pub(super) fn close(
        &mut self,
        net: &Network,
        inverse: &[f64],
        negative: usize,
        volts: &mut [f64],
    ) -> Result<bool, NetworkError> {
        let n = net.layout.chords.len();
        self.columns.resize(n, Vec::new());
        self.columns.truncate(n);
        for (chord, x) in net.layout.chords.iter().zip(&mut self.columns) {
            self.sources.clear();
            self.sources.resize(volts.len(), Norton::default());
            // X is the answer to a current fed in at `from` and drawn at `to`.
            for (position, amps) in [(chord.from, -1.0), (chord.to, 1.0)] {
                if let Some(s) = self.sources.get_mut(position) {
                    s.i += amps;
                }
            }
            for (k, branch) in net.layout.branches.iter().enumerate().skip(1).rev() {
                let own = self.sources.get(k).map_or(0.0, |s| s.i);
                let inv = inverse.get(k).copied().unwrap_or(0.0);
                if let Some(parent) = self.sources.get_mut(branch.parent) {
                    parent.i += own * inv;
                }
            }
            x.clear();
            x.resize(volts.len(), 0.0);
            substitute(net, &self.sources, inverse, 0.0, x);
        }
        // One row a chord: R + U'X, and U'V0 at the end.
        self.matrix.clear();
        for (k, row) in net.layout.chords.iter().enumerate() {
            let mut line: Vec<f64> =
                self.columns.iter().map(|x| difference(x, row.from, row.to)).collect();
            if let Some(diagonal) = line.get_mut(k) {
                *diagonal += row.ohm;
            }
            line.push(difference(volts, row.from, row.to));
            self.matrix.push(line);
        }
        let below = self.eliminate(net, negative == 0)?;
        if below != negative {
            return Ok(false);
        }
        for (j, x) in self.amps.iter().zip(&self.columns) {
            for (v, x) in volts.iter_mut().zip(x) {
                *v -= j * x;
            }
        }
        Ok(true)
    }

    /// Solves the chords' currents; the number of negative pivots. With `definite` the
    /// pivots are known to be zero or more: zero is a ring of zero ohm, exactly, since the
    /// tree then leads through zero ohm alone and its ends have one and the same voltage.
    fn eliminate(&mut self, net: &Network, definite: bool) -> Result<usize, NetworkError> {
        let n = self.matrix.len();
        let mut below = 0;
        for k in 0..n {
            let (done, rest) = self.matrix.split_at_mut(k + 1);
            let Some(row) = done.last() else { break };
            let pivot = row.get(k).copied().unwrap_or(0.0);
            if let Some(c) = net.layout.chords.get(k)
                && definite
                && pivot <= 0.0
            {
                return Err(NetworkError::ZeroOhmRing(c.edge));
            }
            if pivot < 0.0 {
                below += 1;
            }
            for other in rest {
                let factor = other.get(k).copied().unwrap_or(0.0) / pivot;
                for (o, r) in other.iter_mut().zip(row).skip(k) {
                    *o -= factor * r;
                }
            }
        }
        self.amps.clear();
        self.amps.resize(n, 0.0);
        for (k, row) in self.matrix.iter().enumerate().rev() {
            let known: f64 = row.iter().zip(&self.amps).skip(k + 1).map(|(a, j)| a * j).sum();
            let right = row.get(n).copied().unwrap_or(0.0);
            if let (Some(j), Some(pivot)) = (self.amps.get_mut(k), row.get(k)) {
                *j = (right - known) / pivot;
            }
        }
        Ok(below)
    }
}
