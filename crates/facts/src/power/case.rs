//! One case of a supply's network, solved.

use crate::before::Turns;
use crate::power::consumer::{Drawing, When};
use crate::power::{Moved, Power};
use crate::{Known, NotKnown};
use curtilage_circuit::network::{
    EdgeId, Load, LoadId, Network, NetworkBuilder, NetworkError, NodeId, Outcome, Solver, Supply,
};
use curtilage_syntax::tree::CurrentKind;
use std::sync::Arc;

/// What a case takes for granted.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// V at the supply before its internal resistance.
    pub volts: f64,
    /// degC of every conductor.
    pub celsius: f64,
    /// The root contacts that the responses have moved.
    pub(crate) moved: Moved,
}

impl Scene {
    /// Whether something draws its full current.
    #[must_use]
    pub fn is_on(&self, drawing: &Drawing) -> bool {
        match drawing.when {
            When::Always => true,
            When::Switched(switch) => {
                let moved = self.moved.contains(switch.root);
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
    pub came: Arc<Came>,
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
        match &*self.came {
            Came::Solved { volts, .. } => volts.get(branch).copied(),
            Came::Collapsed(_) => None,
        }
    }

    /// A in a branch, unless it collapsed.
    #[must_use]
    pub fn amps(&self, branch: usize) -> Option<f64> {
        match &*self.came {
            Came::Solved { amps, .. } => amps.get(branch).copied(),
            Came::Collapsed(_) => None,
        }
    }

    /// A that the supply gives, unless it collapsed.
    #[must_use]
    pub fn source_amps(&self) -> Option<f64> {
        match &*self.came {
            Came::Solved { source_amps, .. } => Some(*source_amps),
            Came::Collapsed(_) => None,
        }
    }

    /// Whether the voltage collapses.
    #[must_use]
    pub fn collapses(&self) -> bool {
        matches!(&*self.came, Came::Collapsed(_))
    }

    /// V at the supply's terminals, unless it collapsed.
    #[must_use]
    pub fn source_volts(&self) -> Option<f64> {
        match &*self.came {
            Came::Solved { source_volts, .. } => Some(*source_volts),
            Came::Collapsed(_) => None,
        }
    }
}

impl<'a> Power<'a> {
    /// Solves a case. `other` gives a resistance for a branch that differs from what is wired, ohm.
    ///
    /// # Errors
    /// Not known for an alternating current that is not in phase with its voltage, or when the figures are beyond what can be solved.
    pub fn solve(&self, scene: Scene, other: impl Fn(usize) -> Option<f64>) -> Known<Case> {
        let mut bench = self.bench();
        bench.question.wire(self, scene.celsius, other);
        bench.ask(scene, &mut Turns::default())
    }

    /// Whether all that hangs on it is known to draw in phase with the voltage: then effective values add
    /// up as those of a direct current do.
    fn in_phase(&self) -> bool {
        self.left_out.is_empty() && self.drawings.iter().all(|drawing| drawing.in_phase)
    }

    /// A place where several cases of this network are solved, one after the other.
    pub(crate) fn bench(&self) -> Bench<'_, 'a> {
        let (question, solver) = (Question::default(), Solver::new());
        Bench { power: self, question, wired_at: None, laid: None, solver }
    }

    /// A scene in which other resistances are tried out.
    pub(crate) fn trial(&self, scene: &Scene) -> Result<Trial, NetworkError> {
        let mut question = Question::default();
        question.wire(self, scene.celsius, |_| None);
        question.load(self, scene);
        let laid = Laid::new(&question)?;
        Ok(Trial { laid, solver: Solver::new() })
    }
}

/// A network in figures: what its voltages and currents follow from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Question {
    supply: Supply,
    /// By branch, the one before it and its ohms.
    branches: Vec<(Option<usize>, f64)>,
    /// By drawing, its branch and what it draws.
    loads: Vec<(usize, Load)>,
}

impl Default for Question {
    fn default() -> Self {
        let supply = Supply { volts: 0.0, ohm: 0.0 };
        Self { supply, branches: Vec::new(), loads: Vec::new() }
    }
}

impl Question {
    /// Resistances at a temperature in degC.
    fn wire(&mut self, power: &Power<'_>, celsius: f64, other: impl Fn(usize) -> Option<f64>) {
        self.branches.clear();
        self.branches.extend(power.branches.iter().enumerate().map(|(index, branch)| {
            let ohm = other(index).unwrap_or_else(|| branch.ohm(celsius));
            (branch.parent, ohm)
        }));
    }

    /// What gives, and what draws.
    fn load(&mut self, power: &Power<'_>, scene: &Scene) {
        self.supply = Supply { volts: scene.volts, ohm: power.inside };
        self.loads.clear();
        let loads = power.drawings.iter().map(|drawing| (drawing.branch, load(scene, drawing)));
        self.loads.extend(loads);
    }
}

/// What comes of a network.
pub(crate) type Answer = Result<Arc<Came>, NetworkError>;

/// A network that is laid out once and solved for several cases.
pub(crate) struct Bench<'p, 'a> {
    power: &'p Power<'a>,
    /// What is asked; its memory serves one case after the other.
    question: Question,
    /// The temperature of its resistances, degC, when they are those that are wired.
    wired_at: Option<f64>,
    laid: Option<Laid>,
    solver: Solver,
}

/// A network with the numbers of its pieces.
struct Laid {
    network: Network,
    root: NodeId,
    /// By branch, its end and itself.
    ends: Vec<(NodeId, EdgeId)>,
    /// By drawing, its load; none for one that hangs on no branch.
    loads: Vec<Option<LoadId>>,
}

impl Bench<'_, '_> {
    /// Solves a case of the network as it is wired.
    pub(crate) fn solve(
        &mut self,
        scene: Scene,
        before: &mut Turns<Question, Answer>,
    ) -> Known<Case> {
        if self.wired_at != Some(scene.celsius) {
            self.question.wire(self.power, scene.celsius, |_| None);
            self.wired_at = Some(scene.celsius);
        }
        self.ask(scene, before)
    }

    fn ask(&mut self, scene: Scene, before: &mut Turns<Question, Answer>) -> Known<Case> {
        if self.power.kind == Some(CurrentKind::Ac) && !self.power.in_phase() {
            return Err(NotKnown::because(
                "voltages of an alternating current are worked out where all loads are said to be resistive: no sheet gives the phase of another current",
            ));
        }
        let Self { power, question, laid, solver, .. } = self;
        question.load(power, &scene);
        let came = before.answer(question, |asked| came(asked, laid, solver).map(Arc::new));
        let came = came.map_err(|error| NotKnown::because(error.to_string()))?;
        Ok(Case { scene, came })
    }
}

fn came(
    asked: &Question,
    laid: &mut Option<Laid>,
    solver: &mut Solver,
) -> Result<Came, NetworkError> {
    let laid = match laid {
        Some(laid) => {
            laid.set(asked)?;
            laid
        }
        None => laid.insert(Laid::new(asked)?),
    };
    match solver.solve(&laid.network)? {
        Outcome::Collapsed(collapse) => Ok(Came::Collapsed(collapse.node.index().checked_sub(1))),
        Outcome::Solved(solution) => {
            let (source_volts, source_amps) = (solution.volts(laid.root)?, solution.supply_amps());
            let mut volts = Vec::with_capacity(laid.ends.len());
            let mut amps = Vec::with_capacity(laid.ends.len());
            for (node, edge) in &laid.ends {
                volts.push(solution.volts(*node)?);
                amps.push(solution.edge_amps(*edge)?);
            }
            Ok(Came::Solved { source_volts, source_amps, volts, amps })
        }
    }
}

/// One scene in which some resistances are changed, again and again.
pub(crate) struct Trial {
    laid: Laid,
    solver: Solver,
}

impl Trial {
    /// Whether each of `wanted` has its volts, or more, at the end of its branch when branches have
    /// these ohms. What was changed before stays changed.
    pub(crate) fn gives(
        &mut self,
        ohms: impl Iterator<Item = (usize, f64)>,
        wanted: &[(usize, f64)],
    ) -> Result<bool, NetworkError> {
        for (branch, ohm) in ohms {
            let Some((_, edge)) = self.laid.ends.get(branch) else { continue };
            self.laid.network.set_edge(*edge, ohm)?;
        }
        let Outcome::Solved(solution) = self.solver.solve(&self.laid.network)? else {
            return Ok(false);
        };
        let enough = |&(branch, least): &(usize, f64)| {
            let end = self.laid.ends.get(branch);
            end.is_some_and(|(node, _)| solution.volts(*node).is_ok_and(|volts| volts >= least))
        };
        Ok(wanted.iter().all(enough))
    }
}

impl Laid {
    fn new(asked: &Question) -> Result<Self, NetworkError> {
        let (mut builder, root) = NetworkBuilder::new(asked.supply)?;
        builder.reserve(asked.branches.len(), asked.loads.len());
        let mut ends: Vec<(NodeId, EdgeId)> = Vec::with_capacity(asked.branches.len());
        for (parent, ohm) in &asked.branches {
            let parent = parent.and_then(|parent| ends.get(parent));
            ends.push(builder.tap(parent.map_or(root, |(node, _)| *node), *ohm)?);
        }
        let mut loads = Vec::with_capacity(asked.loads.len());
        for (branch, load) in &asked.loads {
            let load = ends.get(*branch).map(|(node, _)| builder.load(*node, load.clone()));
            loads.push(load.transpose()?);
        }
        Ok(Self { network: builder.build()?, root, ends, loads })
    }

    /// Changes every figure to that of another case.
    fn set(&mut self, asked: &Question) -> Result<(), NetworkError> {
        self.network.set_supply(asked.supply)?;
        for ((_, ohm), (_, edge)) in asked.branches.iter().zip(&self.ends) {
            self.network.set_edge(*edge, *ohm)?;
        }
        for ((_, load), id) in asked.loads.iter().zip(&self.loads) {
            let Some(id) = id else { continue };
            self.network.set_load(*id, load.clone())?;
        }
        Ok(())
    }
}

/// What a drawing is to the network in a case.
fn load(scene: &Scene, drawing: &Drawing) -> Load {
    let load = if scene.is_on(drawing) { drawing.load().ok() } else { None };
    load.unwrap_or_else(|| drawing.idle())
}
