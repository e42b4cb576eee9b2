//! Supervised loops: an end network behind a cable, read by an input.
//!
//! The network is any tree of series and parallel groups of resistors and contact
//! poles. Its resistance rises with that of each of its elements (Rayleigh), and
//! each element stands in the tree once, so interval arithmetic gives the exact
//! corners (rounded outwards): no sampling, no averages.

mod bands;
mod fault;
mod network;
mod preferred;
mod reading;

pub use bands::{Confusion, Divider, Gauge, Placement, confusions, gaps, place};
pub use fault::{Condition, Line, Loop, PartFault};
pub use network::{ContactId, EndNetwork, EndNetworkBuilder, EndPart, PartId, Position};
pub use preferred::{Proposal, Requirement, Series, preferred_values, propose};
pub use reading::{Cause, Match, Miss, explain_reading, nearest_cause};

use crate::input::BadInput;
use std::fmt;

/// Why an end network cannot be built or evaluated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EndsError {
    /// A number that cannot be used.
    Input(BadInput),
    /// A part that this network does not have.
    UnknownPart(PartId),
    /// A contact that this network does not have.
    UnknownContact(ContactId),
    /// A part stands in two groups, or a group contains itself.
    PartUsedTwice(PartId),
    /// A part stands in no group although it is not the whole network.
    PartUnused(PartId),
    /// A group without members.
    EmptyGroup,
    /// A state must give a position for each contact.
    WrongNumberOfPositions {
        /// The positions given.
        given: usize,
        /// The contacts of the network.
        contacts: usize,
    },
    /// A band or a state that was not given.
    UnknownBand(usize),
}

impl From<BadInput> for EndsError {
    fn from(e: BadInput) -> Self {
        Self::Input(e)
    }
}

impl fmt::Display for EndsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(e) => e.fmt(f),
            Self::UnknownPart(p) => write!(f, "the network has no part {}", p.index()),
            Self::UnknownContact(c) => write!(f, "the network has no contact {}", c.index()),
            Self::PartUsedTwice(p) => write!(f, "part {} is used twice", p.index()),
            Self::PartUnused(p) => write!(f, "part {} is in no group", p.index()),
            Self::EmptyGroup => write!(f, "a group has no members"),
            Self::WrongNumberOfPositions { given, contacts } => {
                write!(f, "{given} positions for {contacts} contacts")
            }
            Self::UnknownBand(k) => write!(f, "there is no band {k}"),
        }
    }
}

impl std::error::Error for EndsError {}
