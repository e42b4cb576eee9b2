//! A dc network: one supply, conductors as a tree (a few rings allowed), loads.
//!
//! The two wires of each cable are one edge of their summed resistance. Loads draw a
//! constant current, a constant power, a resistance's current, or a curve's.
//!
//! # The method
//!
//! With node voltages `V`, conductances `G`, supply term `b` and load currents `I(V)`
//! the network obeys `h(V) = G V - b + I(V) = 0`. The start lies above every
//! solution: the voltages with constant-power loads off. From there each step solves
//! the linear network in which every load is replaced by a line that touches its
//! curve at the present voltage and stays below it at every lower one (for constant
//! power that is the tangent: this is Newton's method). Such steps fall monotonically
//! to the highest solution if there is one; if there is none, a voltage reaches zero,
//! a step rises, or the matrix of the step is no longer an M-matrix. That is
//! [`Collapse`]: an outcome, not an error (Ortega and Rheinboldt on monotone Newton,
//! from memory; checked against two independent solvers on 1,000 networks).
//!
//! In a tree a step is one pass from the leaves to the root and one back, so it costs
//! a time in proportion to the nodes. It divides by no edge resistance: zero ohm is
//! an ordinary value. The pivots of the pass are positive exactly when the matrix is
//! an M-matrix. Rings are tree plus chords: one more pass a chord, at most
//! [`MOST_RINGS`].

mod build;
mod layout;
mod limits;
mod load;
mod margin;
mod ring;
mod solution;
mod solve;
mod tree;

pub use build::{EdgeId, LoadId, MOST_RINGS, Network, NetworkBuilder, NodeId, Supply};
pub use limits::{allowed_loop_ohm, explain_most_power, most_power_w};
pub use load::{Curve, Load};
pub use solution::Solution;
pub use solve::{Collapse, CollapseReason, Outcome, Solver};

use crate::input::BadInput;
use std::fmt;

/// Why a network cannot be built or solved.
#[derive(Debug, Clone, PartialEq)]
pub enum NetworkError {
    /// A number that cannot be used.
    Input(BadInput),
    /// A node that this network does not have.
    UnknownNode(NodeId),
    /// An edge that this network does not have.
    UnknownEdge(EdgeId),
    /// A load that this network does not have.
    UnknownLoad(LoadId),
    /// An edge from a node to itself; at the supply's node, a supply feeding itself.
    SelfEdge(NodeId),
    /// Nodes without a path to the supply.
    Disconnected(Vec<NodeId>),
    /// More rings than are solved.
    TooManyRings {
        /// The rings of this network.
        rings: usize,
    },
    /// A ring of zero ohm: its current cannot be known.
    ZeroOhmRing(EdgeId),
    /// A curve with fewer than two points, or voltages that do not rise.
    BadCurve,
    /// More nodes, edges or loads than can be numbered.
    TooLarge,
    /// The numbers are so far apart that the result is not finite, or does not obey
    /// Ohm's law to a millionth of the supply voltage.
    TooFarApart,
}

impl From<BadInput> for NetworkError {
    fn from(e: BadInput) -> Self {
        Self::Input(e)
    }
}

impl fmt::Display for NetworkError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(e) => e.fmt(f),
            Self::UnknownNode(n) => write!(f, "the network has no node {}", n.index()),
            Self::UnknownEdge(e) => write!(f, "the network has no edge {}", e.index()),
            Self::UnknownLoad(l) => write!(f, "the network has no load {}", l.index()),
            Self::SelfEdge(n) => write!(f, "node {} is wired to itself", n.index()),
            Self::Disconnected(n) => write!(f, "{} nodes have no path to the supply", n.len()),
            Self::TooManyRings { rings } => {
                write!(f, "{rings} rings, at most {MOST_RINGS} are solved")
            }
            Self::ZeroOhmRing(_) => write!(f, "a ring of zero ohm"),
            Self::BadCurve => write!(f, "a curve needs two points or more, voltages rising"),
            Self::TooLarge => write!(f, "the network is too large"),
            Self::TooFarApart => write!(f, "the figures are too far apart to be solved"),
        }
    }
}

impl std::error::Error for NetworkError {}
