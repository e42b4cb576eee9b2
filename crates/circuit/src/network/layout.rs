//! How a graph lies for the solver: a tree in breadth-first order, and chords.
//!
//! The tree is the one of least resistance, so that a chord never carries what its
//! tree path should: the correction for the rings stays small.

use super::NetworkError;
use super::build::{Edge, EdgeId, MOST_RINGS, NodeId};

/// Where an edge of the caller lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Lies {
    /// Above this position; `along` if the caller named the supply's side first.
    Above { position: usize, along: bool },
    /// A chord that closes a ring.
    Chord(usize),
}

/// The edge from a node to its parent, by position.
#[derive(Debug, Clone, Copy)]
pub(super) struct Branch {
    pub(super) parent: usize,
    pub(super) ohm: f64,
}

/// An edge that closes a ring, by position.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chord {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) ohm: f64,
    pub(super) edge: EdgeId,
}

/// The tree and its chords. A parent always stands before its children.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    /// One for each position; that of the root is unused.
    pub(super) branches: Vec<Branch>,
    pub(super) chords: Vec<Chord>,
    /// Position of each node.
    pub(super) position: Vec<usize>,
    /// Node of each position.
    node: Vec<NodeId>,
    /// Place of each edge.
    pub(super) lies: Vec<Lies>,
}

/// Not yet reached.
const NOWHERE: usize = usize::MAX;

/// The representative of a node's set; paths are halved on the way.
fn set_of(parent: &mut [usize], mut n: usize) -> usize {
    while let Some(&p) = parent.get(n) {
        if p == n {
            break;
        }
        let above = parent.get(p).copied().unwrap_or(p);
        if let Some(slot) = parent.get_mut(n) {
            *slot = above;
        }
        n = above;
    }
    n
}

/// Whether each edge belongs to the tree of least resistance (Kruskal); of equal edges
/// the one added first. Where there are too few edges for a ring, all do; if there is one all the
/// same, something else is not connected, which is told.
fn in_tree(nodes: usize, edges: &[Edge]) -> Vec<bool> {
    if edges.len() < nodes {
        return vec![true; edges.len()];
    }
    let mut order: Vec<(usize, &Edge)> = edges.iter().enumerate().collect();
    order.sort_by(|a, b| a.1.ohm.total_cmp(&b.1.ohm));
    let mut parent: Vec<usize> = (0..nodes).collect();
    let mut chosen = vec![false; edges.len()];
    for (k, e) in order {
        let a = set_of(&mut parent, e.from.index());
        let b = set_of(&mut parent, e.to.index());
        if a == b {
            continue;
        }
        // The earlier node stands for the set.
        if let Some(p) = parent.get_mut(a.max(b)) {
            *p = a.min(b);
        }
        if let Some(c) = chosen.get_mut(k) {
            *c = true;
        }
    }
    chosen
}

/// Tree edges by node: for each node a range of a list of edge numbers, in the order of
/// adding.
fn by_node(nodes: usize, edges: &[Edge], chosen: &[bool]) -> (Vec<usize>, Vec<usize>) {
    let ends = || {
        edges
            .iter()
            .zip(chosen)
            .enumerate()
            .filter(|(_, (_, c))| **c)
            .flat_map(|(k, (e, _))| [(k, e.from.index()), (k, e.to.index())])
    };
    let mut start = vec![0usize; nodes + 1];
    for (_, n) in ends() {
        if let Some(s) = start.get_mut(n + 1) {
            *s += 1;
        }
    }
    let mut sum = 0;
    for s in &mut start {
        sum += *s;
        *s = sum;
    }
    let mut fill = start.clone();
    let mut list = vec![0usize; sum];
    for (k, n) in ends() {
        if let Some(f) = fill.get_mut(n) {
            if let Some(slot) = list.get_mut(*f) {
                *slot = k;
            }
            *f += 1;
        }
    }
    (start, list)
}

impl Layout {
    /// Lays out a graph of `nodes` nodes whose root is node 0.
    pub(super) fn new(nodes: usize, edges: &[Edge]) -> Result<Self, NetworkError> {
        let chosen = in_tree(nodes, edges);
        let (start, list) = by_node(nodes, edges, &chosen);
        let mut layout = Self {
            branches: Vec::with_capacity(nodes),
            chords: Vec::new(),
            position: vec![NOWHERE; nodes],
            node: Vec::with_capacity(nodes),
            lies: vec![Lies::Chord(NOWHERE); edges.len()],
        };
        layout.branches.push(Branch { parent: 0, ohm: 0.0 });
        layout.node.push(NodeId::at(0)?);
        if let Some(root) = layout.position.first_mut() {
            *root = 0;
        }
        let mut next = 0;
        while let Some(&here) = layout.node.get(next) {
            let first = start.get(here.index()).copied().unwrap_or(0);
            let end = start.get(here.index() + 1).copied().unwrap_or(0);
            for &k in list.get(first..end).unwrap_or(&[]) {
                layout.reach(next, here, k, edges)?;
            }
            next += 1;
        }
        let mut lost = Vec::new();
        for (k, &p) in layout.position.iter().enumerate() {
            if p == NOWHERE {
                lost.push(NodeId::at(k)?);
            }
        }
        if !lost.is_empty() {
            return Err(NetworkError::Disconnected(lost));
        }
        layout.close(edges, &chosen)?;
        Ok(layout)
    }

    /// Follows a tree edge from the node at position `here`, unless it leads back.
    fn reach(
        &mut self,
        here: usize,
        node: NodeId,
        k: usize,
        edges: &[Edge],
    ) -> Result<(), NetworkError> {
        let unknown = NetworkError::UnknownEdge(EdgeId::at(k)?);
        let edge = edges.get(k).ok_or(unknown)?;
        let along = edge.from == node;
        let other = if along { edge.to } else { edge.from };
        let lost = NetworkError::UnknownNode(other);
        let position = self.position.get_mut(other.index()).ok_or(lost)?;
        if *position != NOWHERE {
            return Ok(());
        }
        *position = self.node.len();
        if let Some(lies) = self.lies.get_mut(k) {
            *lies = Lies::Above { position: *position, along };
        }
        self.branches.push(Branch { parent: here, ohm: edge.ohm });
        self.node.push(other);
        Ok(())
    }

    /// Adds the edges outside the tree as chords.
    fn close(&mut self, edges: &[Edge], chosen: &[bool]) -> Result<(), NetworkError> {
        for (k, (edge, _)) in edges.iter().zip(chosen).enumerate().filter(|e| !*e.1.1) {
            if let Some(lies) = self.lies.get_mut(k) {
                *lies = Lies::Chord(self.chords.len());
            }
            self.chords.push(Chord {
                from: self.position_of(edge.from)?,
                to: self.position_of(edge.to)?,
                ohm: edge.ohm,
                edge: EdgeId::at(k)?,
            });
        }
        let rings = self.chords.len();
        if rings > MOST_RINGS {
            return Err(NetworkError::TooManyRings { rings });
        }
        Ok(())
    }

    /// Changes the resistance of an edge of a tree without chords.
    pub(super) fn set_ohm(&mut self, id: EdgeId, ohm: f64) -> Result<(), NetworkError> {
        let unknown = NetworkError::UnknownEdge(id);
        let slot = match self.lies.get(id.index()) {
            Some(Lies::Above { position, .. }) => self.branches.get_mut(*position),
            _ => None,
        };
        slot.ok_or(unknown)?.ohm = ohm;
        Ok(())
    }

    pub(super) fn position_of(&self, node: NodeId) -> Result<usize, NetworkError> {
        let unknown = NetworkError::UnknownNode(node);
        self.position.get(node.index()).copied().ok_or(unknown)
    }

    pub(super) fn node_at(&self, position: usize) -> NodeId {
        self.node.get(position).copied().unwrap_or(NodeId::ROOT)
    }
}
