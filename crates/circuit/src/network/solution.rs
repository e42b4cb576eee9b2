//! What a solved network tells.

use super::build::Network;
use super::layout::Lies;
use super::margin::margin;
use super::solve::Solver;
use super::{EdgeId, LoadId, NetworkError, NodeId};
use crate::working::{KIRCHHOFF, OHM, Step};
use std::fmt;

/// A solved network; it reads the solver's workspace until the next solve.
#[derive(Clone, Copy)]
pub struct Solution<'a> {
    net: &'a Network,
    solver: &'a Solver,
    steps: u32,
}

impl fmt::Debug for Solution<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Solution")
            .field("steps", &self.steps)
            .field("supply_amps", &self.supply_amps())
            .field("lowest", &self.lowest())
            .finish()
    }
}

impl<'a> Solution<'a> {
    pub(super) const fn new(net: &'a Network, solver: &'a Solver, steps: u32) -> Self {
        Self { net, solver, steps }
    }

    fn volts_at(&self, position: usize) -> f64 {
        self.solver.volts.get(position).copied().unwrap_or(0.0)
    }

    /// The steps it took; 0 for a network without loads that depend on the voltage.
    #[must_use]
    pub const fn steps(&self) -> u32 {
        self.steps
    }

    /// The voltage between the two wires at a node, V.
    ///
    /// # Errors
    /// [`NetworkError::UnknownNode`].
    pub fn volts(&self, node: NodeId) -> Result<f64, NetworkError> {
        Ok(self.volts_at(self.net.layout.position_of(node)?))
    }

    /// The current in a cable, A, positive from its first node to its second.
    ///
    /// # Errors
    /// [`NetworkError::UnknownEdge`].
    pub fn edge_amps(&self, edge: EdgeId) -> Result<f64, NetworkError> {
        let unknown = NetworkError::UnknownEdge(edge);
        let lies = self.net.layout.lies.get(edge.index()).ok_or(unknown.clone())?;
        let amps = match *lies {
            Lies::Above { position, along } => {
                let a = self.solver.branch_amps.get(position);
                a.map(|a| if along { *a } else { -a })
            }
            Lies::Chord(k) => self.solver.rings.amps.get(k).copied(),
        };
        amps.ok_or(unknown)
    }

    /// The current of a load, A.
    ///
    /// # Errors
    /// [`NetworkError::UnknownLoad`].
    pub fn load_amps(&self, load: LoadId) -> Result<f64, NetworkError> {
        let (position, l) = self.load(load)?;
        Ok(l.amps(self.volts_at(position)))
    }

    /// The voltage at a load, V.
    ///
    /// # Errors
    /// [`NetworkError::UnknownLoad`].
    pub fn load_volts(&self, load: LoadId) -> Result<f64, NetworkError> {
        Ok(self.volts_at(self.load(load)?.0))
    }

    /// Whether a load's curve has points on both sides of its voltage. True for every
    /// other kind of load.
    ///
    /// # Errors
    /// [`NetworkError::UnknownLoad`].
    pub fn load_is_covered(&self, load: LoadId) -> Result<bool, NetworkError> {
        let (position, l) = self.load(load)?;
        Ok(match l {
            super::Load::Curve(c) => c.covers(self.volts_at(position)),
            _ => true,
        })
    }

    fn load(&self, id: LoadId) -> Result<(usize, &super::Load), NetworkError> {
        let unknown = NetworkError::UnknownLoad(id);
        let (position, load) = self.net.loads.get(id.index()).ok_or(unknown)?;
        Ok((*position, load))
    }

    /// The current that the supply gives, A.
    #[must_use]
    pub fn supply_amps(&self) -> f64 {
        self.solver.branch_amps.first().copied().unwrap_or(0.0)
    }

    /// The node of the lowest voltage and that voltage, V; the earliest of equals.
    #[must_use]
    pub fn lowest(&self) -> (NodeId, f64) {
        let mut low = (NodeId::ROOT, f64::INFINITY);
        for (&position, node) in self.net.layout.position.iter().zip(0u32..) {
            let v = self.volts_at(position);
            if v < low.1 {
                low = (NodeId(node), v);
            }
        }
        low
    }

    /// How far the network is from collapse: the smallest eigenvalue of `G^-1 J`,
    /// 1 without constant-power loads and 0 on the limit. Costs some 60 passes.
    ///
    /// # Errors
    /// [`NetworkError::ZeroOhmRing`].
    pub fn margin(&self) -> Result<f64, NetworkError> {
        margin(self.net, self.solver)
    }

    /// The working of a node's voltage: the drop inside the supply and in each cable
    /// on the way, from the supply outwards.
    ///
    /// # Errors
    /// [`NetworkError::UnknownNode`].
    pub fn explain(&self, node: NodeId) -> Result<Vec<Step>, NetworkError> {
        let mut path = Vec::new();
        let mut here = self.net.layout.position_of(node)?;
        while here != 0 {
            path.push(here);
            here = self.net.layout.branches.get(here).map_or(0, |b| b.parent);
        }
        let supply = self.net.supply;
        let inputs =
            [("E", supply.volts, "V"), ("I", self.supply_amps(), "A"), ("Ri", supply.ohm, "ohm")];
        let first = self.volts_at(0);
        let mut steps = vec![Step::new("U", "E - I * Ri", &inputs, first, "V", KIRCHHOFF)];
        for position in path.into_iter().rev() {
            let Some(branch) = self.net.layout.branches.get(position) else {
                continue;
            };
            let inputs = [
                ("U", self.volts_at(branch.parent), "V"),
                ("I", self.solver.branch_amps.get(position).copied().unwrap_or(0.0), "A"),
                ("R", branch.ohm, "ohm"),
            ];
            let result = self.volts_at(position);
            steps.push(Step::new("U", "U - I * R", &inputs, result, "V", OHM));
        }
        Ok(steps)
    }
}
