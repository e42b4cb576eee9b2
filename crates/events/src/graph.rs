//! A directed graph of small integers: strong components, elementary cycles, reach.
//!
//! Nodes are `0..n`. Every answer is sorted, so that equal graphs give equal text.

mod cycles;
mod strong;

pub use cycles::Cycles;

/// A directed graph over the nodes `0..len`; parallel edges count once.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Graph {
    out: Vec<Vec<usize>>,
}

impl Graph {
    /// A graph with `len` nodes and no edges.
    #[must_use]
    pub fn new(len: usize) -> Self {
        Self { out: vec![Vec::new(); len] }
    }

    /// The number of nodes.
    #[must_use]
    pub fn len(&self) -> usize {
        self.out.len()
    }

    /// Whether there are no nodes.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.out.is_empty()
    }

    /// Adds the edge `from -> to`. An end outside `0..len` is ignored.
    pub fn add_edge(&mut self, from: usize, to: usize) {
        if to >= self.out.len() {
            return;
        }
        if let Some(targets) = self.out.get_mut(from)
            && let Err(place) = targets.binary_search(&to)
        {
            targets.insert(place, to);
        }
    }

    /// The targets of `node`, ascending; none for a node outside the graph.
    #[must_use]
    pub fn targets(&self, node: usize) -> &[usize] {
        self.out.get(node).map_or(&[], Vec::as_slice)
    }

    /// Whether the edge `from -> to` is there.
    #[must_use]
    pub fn has_edge(&self, from: usize, to: usize) -> bool {
        self.targets(from).binary_search(&to).is_ok()
    }

    /// All strongly connected components, each ascending, ordered by their least node.
    #[must_use]
    pub fn strong_components(&self) -> Vec<Vec<usize>> {
        strong::components(self)
    }

    /// The strong components that hold a cycle: more than one node, or a node with an edge to itself.
    #[must_use]
    pub fn loops(&self) -> Vec<Vec<usize>> {
        let mut found = self.strong_components();
        found.retain(|part| part.len() > 1 || part.iter().any(|&node| self.has_edge(node, node)));
        found
    }

    /// Whether the graph has no cycle.
    #[must_use]
    pub fn is_acyclic(&self) -> bool {
        self.loops().is_empty()
    }

    /// The elementary cycles, at most `limit` of them; see [`Cycles`].
    #[must_use]
    pub fn cycles(&self, limit: usize) -> Cycles {
        cycles::find(self, limit)
    }

    /// The other nodes that can be reached from `node`, ascending. `node` itself is never among them.
    #[must_use]
    pub fn reach(&self, node: usize) -> Vec<usize> {
        let mut found = self.closure([node]);
        found.retain(|&other| other != node);
        found
    }

    /// The given nodes and everything they can reach, ascending.
    #[must_use]
    pub fn closure(&self, from: impl IntoIterator<Item = usize>) -> Vec<usize> {
        let mut seen = vec![false; self.len()];
        let mut todo: Vec<usize> = from.into_iter().collect();
        while let Some(node) = todo.pop() {
            if let Some(mark) = seen.get_mut(node)
                && !*mark
            {
                *mark = true;
                todo.extend_from_slice(self.targets(node));
            }
        }
        marked(&seen)
    }

    /// The graph with every edge turned round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let mut turned = Self::new(self.len());
        for (from, targets) in self.out.iter().enumerate() {
            for &to in targets {
                turned.add_edge(to, from);
            }
        }
        turned
    }

    /// The parts that hang together when the direction of edges is ignored; each ascending,
    /// ordered by their least node.
    #[must_use]
    pub fn weak_components(&self) -> Vec<Vec<usize>> {
        let back = self.reversed();
        let mut seen = vec![false; self.len()];
        let mut parts = Vec::new();
        for start in 0..self.len() {
            if seen.get(start).copied().unwrap_or(true) {
                continue;
            }
            let mut part = Vec::new();
            let mut todo = vec![start];
            while let Some(node) = todo.pop() {
                if let Some(mark) = seen.get_mut(node)
                    && !*mark
                {
                    *mark = true;
                    part.push(node);
                    todo.extend_from_slice(self.targets(node));
                    todo.extend_from_slice(back.targets(node));
                }
            }
            part.sort_unstable();
            parts.push(part);
        }
        parts
    }
}

fn marked(seen: &[bool]) -> Vec<usize> {
    let marks = seen.iter().enumerate();
    marks.filter_map(|(node, &mark)| mark.then_some(node)).collect()
}
