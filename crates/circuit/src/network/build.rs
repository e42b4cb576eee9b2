//! Building a network from nodes, cables and loads.

use super::layout::Layout;
use super::{Load, NetworkError};
use crate::input::{positive, zero_or_more};

/// The most rings that are solved.
pub const MOST_RINGS: usize = 64;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub struct $name(pub(super) u32);

        impl $name {
            /// Its place in the order of adding.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0 as usize
            }

            pub(super) fn at(index: usize) -> Result<Self, NetworkError> {
                u32::try_from(index).map(Self).map_err(|_| NetworkError::TooLarge)
            }
        }
    )*};
}

ids!(
    /// A point of the network; the supply's terminals are the first.
    NodeId,
    /// A cable between two nodes.
    EdgeId,
    /// A load at a node.
    LoadId
);

impl NodeId {
    /// The supply's terminals.
    pub(super) const ROOT: Self = Self(0);
}

/// The supply: open-circuit voltage behind an internal resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Open-circuit voltage, V, above zero.
    pub volts: f64,
    /// Internal resistance, ohm, zero or more.
    pub ohm: f64,
}

impl Supply {
    fn checked(self) -> Result<Self, NetworkError> {
        Ok(Self {
            volts: positive("supply voltage", self.volts)?,
            ohm: zero_or_more("internal resistance", self.ohm)?,
        })
    }
}

/// A cable as the caller gave it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edge {
    pub(super) from: NodeId,
    pub(super) to: NodeId,
    pub(super) ohm: f64,
}

/// Builds a [`Network`].
#[derive(Debug, Clone)]
pub struct NetworkBuilder {
    supply: Supply,
    nodes: usize,
    edges: Vec<Edge>,
    loads: Vec<(NodeId, Load)>,
}

/// A network ready to be solved.
#[derive(Debug, Clone)]
pub struct Network {
    pub(super) supply: Supply,
    edges: Vec<Edge>,
    pub(super) layout: Layout,
    /// Loads with the position of their node.
    pub(super) loads: Vec<(usize, Load)>,
}

impl NetworkBuilder {
    /// A builder with the supply, and the node of the supply's terminals.
    ///
    /// # Errors
    /// [`NetworkError::Input`] for a voltage that is not positive or a negative
    /// internal resistance.
    pub fn new(supply: Supply) -> Result<(Self, NodeId), NetworkError> {
        let builder =
            Self { supply: supply.checked()?, nodes: 1, edges: Vec::new(), loads: Vec::new() };
        Ok((builder, NodeId::ROOT))
    }

    /// Makes room for as many cables and loads as will come.
    pub fn reserve(&mut self, edges: usize, loads: usize) {
        self.edges.reserve_exact(edges);
        self.loads.reserve_exact(loads);
    }

    /// A new node.
    ///
    /// # Errors
    /// [`NetworkError::TooLarge`] past four thousand million nodes.
    pub fn node(&mut self) -> Result<NodeId, NetworkError> {
        let id = NodeId::at(self.nodes)?;
        self.nodes += 1;
        Ok(id)
    }

    fn known(&self, node: NodeId) -> Result<(), NetworkError> {
        if node.index() < self.nodes { Ok(()) } else { Err(NetworkError::UnknownNode(node)) }
    }

    /// A cable between two nodes: the resistance of both its conductors, ohm; zero
    /// (zero length) is allowed.
    ///
    /// # Errors
    /// [`NetworkError::SelfEdge`] if both ends are one node, `UnknownNode`, or `Input`
    /// for a negative resistance.
    pub fn edge(&mut self, from: NodeId, to: NodeId, ohm: f64) -> Result<EdgeId, NetworkError> {
        self.known(from)?;
        self.known(to)?;
        if from == to {
            return Err(NetworkError::SelfEdge(from));
        }
        let ohm = zero_or_more("cable resistance", ohm)?;
        let id = EdgeId::at(self.edges.len())?;
        self.edges.push(Edge { from, to, ohm });
        Ok(id)
    }

    /// A node at the end of a new cable.
    ///
    /// # Errors
    /// As [`NetworkBuilder::edge`].
    pub fn tap(&mut self, from: NodeId, ohm: f64) -> Result<(NodeId, EdgeId), NetworkError> {
        self.known(from)?;
        let ohm = zero_or_more("cable resistance", ohm)?;
        let node = self.node()?;
        Ok((node, self.edge(from, node, ohm)?))
    }

    /// A load at a node.
    ///
    /// # Errors
    /// `UnknownNode`, or `Input` for a negative value or a load of zero ohm.
    pub fn load(&mut self, node: NodeId, load: Load) -> Result<LoadId, NetworkError> {
        self.known(node)?;
        let id = LoadId::at(self.loads.len())?;
        self.loads.push((node, load.checked()?));
        Ok(id)
    }

    /// The finished network.
    ///
    /// # Errors
    /// [`NetworkError::Disconnected`] with every node that has no path to the supply,
    /// or [`NetworkError::TooManyRings`].
    pub fn build(self) -> Result<Network, NetworkError> {
        let layout = Layout::new(self.nodes, &self.edges)?;
        let mut loads = Vec::with_capacity(self.loads.len());
        for (node, load) in self.loads {
            loads.push((layout.position_of(node)?, load));
        }
        Ok(Network { supply: self.supply, edges: self.edges, layout, loads })
    }
}

impl Network {
    /// The number of nodes, the supply's included.
    #[must_use]
    pub fn nodes(&self) -> usize {
        self.layout.branches.len()
    }

    /// The number of rings.
    #[must_use]
    pub fn rings(&self) -> usize {
        self.layout.chords.len()
    }

    /// The supply.
    #[must_use]
    pub const fn supply(&self) -> Supply {
        self.supply
    }

    /// Replaces the supply's figures, as from float to end of discharge.
    ///
    /// # Errors
    /// [`NetworkError::Input`] as for [`NetworkBuilder::new`].
    pub fn set_supply(&mut self, supply: Supply) -> Result<(), NetworkError> {
        self.supply = supply.checked()?;
        Ok(())
    }

    /// Replaces a load, as from resting to active.
    ///
    /// # Errors
    /// [`NetworkError::UnknownLoad`], or `Input` as for [`NetworkBuilder::load`].
    pub fn set_load(&mut self, id: LoadId, load: Load) -> Result<(), NetworkError> {
        let load = load.checked()?;
        let slot = self.loads.get_mut(id.index());
        slot.ok_or(NetworkError::UnknownLoad(id))?.1 = load;
        Ok(())
    }

    /// Replaces the resistance of a cable, ohm, as for another size or length.
    ///
    /// # Errors
    /// [`NetworkError::UnknownEdge`], or `Input` for a negative resistance.
    pub fn set_edge(&mut self, id: EdgeId, ohm: f64) -> Result<(), NetworkError> {
        let ohm = zero_or_more("cable resistance", ohm)?;
        let unknown = NetworkError::UnknownEdge(id);
        self.edges.get_mut(id.index()).ok_or(unknown)?.ohm = ohm;
        if self.layout.chords.is_empty() {
            return self.layout.set_ohm(id, ohm);
        }
        // Which edges close the rings depends on the resistances.
        let nodes: Vec<NodeId> = self.loads.iter().map(|l| self.layout.node_at(l.0)).collect();
        self.layout = Layout::new(self.layout.branches.len(), &self.edges)?;
        for (load, node) in self.loads.iter_mut().zip(nodes) {
            load.0 = self.layout.position_of(node)?;
        }
        Ok(())
    }
}
