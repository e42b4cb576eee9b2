//! One case of a supply's network, solved.

use crate::power::Power;
use crate::power::consumer::{Drawing, When};
use crate::{Known, NotKnown};
use curtilage_circuit::network::{NetworkBuilder, NetworkError, Outcome, Solver, Supply};
use curtilage_syntax::tree::CurrentKind;

/// What a case takes for granted.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// V at the supply before its internal resistance.
    pub volts: f64,
    /// degC of every conductor.
    pub celsius: f64,
    /// For each root contact, whether the responses have moved it.
    pub(crate) moved: Vec<bool>,
}

impl Scene {
    /// Whether something draws its full current.
    #[must_use]
    pub fn is_on(&self, drawing: &Drawing) -> bool {
        match drawing.when {
            When::Always => true,
            When::Switched(switch) => {
                let moved = self.moved.get(switch.root).copied().unwrap_or(false);
                if moved { switch.moved.unwrap_or(switch.rest) } else { switch.rest }
            }
            When::Unknown => false,
        }
    }
}

/// A case and what came of it.
#[derive(Clone, Debug)]
pub struct Case {
    /// What it takes for granted.
    pub scene: Scene,
    /// What came of it.
    pub came: Came,
}

/// What came of a case.
#[derive(Clone, Debug)]
pub enum Came {
    /// The voltages and currents.
    Solved {
        /// V at the supply's terminals.
        source_volts: f64,
        /// A that the supply gives.
        source_amps: f64,
        /// V at the end of each branch.
        volts: Vec<f64>,
        /// A in each branch.
        amps: Vec<f64>,
    },
    /// There is no working voltage; the branch at whose end that was seen.
    Collapsed(Option<usize>),
}

impl Case {
    /// V at the end of a branch, unless it collapsed.
    #[must_use]
    pub fn volts(&self, branch: usize) -> Option<f64> {
        match &self.came {
            Came::Solved { volts, .. } => volts.get(branch).copied(),
            Came::Collapsed(_) => None,
        }
    }

    /// A in a branch, unless it collapsed.
    #[must_use]
    pub fn amps(&self, branch: usize) -> Option<f64> {
        match &self.came {
            Came::Solved { amps, .. } => amps.get(branch).copied(),
            Came::Collapsed(_) => None,
        }
    }

    /// A that the supply gives, unless it collapsed.
    #[must_use]
    pub fn source_amps(&self) -> Option<f64> {
        match &self.came {
            Came::Solved { source_amps, .. } => Some(*source_amps),
            Came::Collapsed(_) => None,
        }
    }

    /// V at the supply's terminals, unless it collapsed.
    #[must_use]
    pub fn source_volts(&self) -> Option<f64> {
        match &self.came {
            Came::Solved { source_volts, .. } => Some(*source_volts),
            Came::Collapsed(_) => None,
        }
    }
}

impl Power<'_> {
    /// Solves a case. `other` gives a resistance for a branch that differs from what is wired, ohm.
    ///
    /// # Errors
    /// Not known for an alternating current, or when the figures are beyond what can be solved.
    pub fn solve(&self, scene: Scene, other: impl Fn(usize) -> Option<f64>) -> Known<Case> {
        if self.kind == Some(CurrentKind::Ac) {
            return Err(NotKnown::because(
                "voltages of an alternating current are not worked out: no sheet gives the phase of its current",
            ));
        }
        let came = self.try_solve(&scene, other);
        let came = came.map_err(|error| NotKnown::because(error.to_string()))?;
        Ok(Case { scene, came })
    }

    fn try_solve(
        &self,
        scene: &Scene,
        other: impl Fn(usize) -> Option<f64>,
    ) -> Result<Came, NetworkError> {
        let supply = Supply { volts: scene.volts, ohm: self.inside };
        let (mut builder, root) = NetworkBuilder::new(supply)?;
        let mut ends = Vec::with_capacity(self.branches.len());
        for (index, branch) in self.branches.iter().enumerate() {
            let parent = branch.parent.and_then(|parent| ends.get(parent));
            let from = parent.map_or(root, |(node, _)| *node);
            let ohm = other(index).unwrap_or_else(|| branch.ohm(scene.celsius));
            ends.push(builder.tap(from, ohm)?);
        }
        for drawing in &self.drawings {
            let Some((node, _)) = ends.get(drawing.branch) else { continue };
            let load = if scene.is_on(drawing) { drawing.load().ok() } else { None };
            builder.load(*node, load.unwrap_or_else(|| drawing.idle()))?;
        }
        let network = builder.build()?;
        let mut solver = Solver::new();
        match solver.solve(&network)? {
            Outcome::Collapsed(collapse) => {
                Ok(Came::Collapsed(collapse.node.index().checked_sub(1)))
            }
            Outcome::Solved(solution) => {
                let volts = ends.iter().map(|(node, _)| solution.volts(*node));
                let amps = ends.iter().map(|(_, edge)| solution.edge_amps(*edge));
                Ok(Came::Solved {
                    source_volts: solution.volts(root)?,
                    source_amps: solution.supply_amps(),
                    volts: volts.collect::<Result<_, _>>()?,
                    amps: amps.collect::<Result<_, _>>()?,
                })
            }
        }
    }
}
