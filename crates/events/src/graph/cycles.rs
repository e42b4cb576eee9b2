//! Elementary cycles (Johnson 1975), without recursion and with a bound on their number.

use std::collections::BTreeSet;

use super::Graph;

/// The elementary cycles of a graph.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cycles {
    /// Each begins at its least node and follows the edges; the list is sorted.
    pub cycles: Vec<Vec<usize>>,
    /// Whether there are more than the asked number; `cycles` then holds just that many.
    pub truncated: bool,
}

pub(super) fn find(graph: &Graph, limit: usize) -> Cycles {
    let mut found = Cycles::default();
    for start in 0..graph.len() {
        let Some(part) = component_of(graph, start) else {
            continue;
        };
        if !from_start(graph, start, &part, limit, &mut found) {
            found.truncated = true;
            break;
        }
    }
    found.cycles.sort_unstable();
    found
}

/// The strong component of `start` in the subgraph of nodes `>= start`, if it holds a cycle.
fn component_of(graph: &Graph, start: usize) -> Option<BTreeSet<usize>> {
    let mut upper = Graph::new(graph.len());
    for node in start..graph.len() {
        for &to in graph.targets(node) {
            if to >= start {
                upper.add_edge(node, to);
            }
        }
    }
    let part = upper.loops().into_iter().find(|part| part.contains(&start))?;
    Some(part.into_iter().collect())
}

struct Circuit {
    blocked: BTreeSet<usize>,
    blocks: Vec<BTreeSet<usize>>,
}

impl Circuit {
    fn unblock(&mut self, node: usize) {
        let mut todo = vec![node];
        while let Some(node) = todo.pop() {
            if self.blocked.remove(&node)
                && let Some(waiting) = self.blocks.get_mut(node)
            {
                todo.extend(std::mem::take(waiting));
            }
        }
    }
}

/// Adds all cycles through `start` within `part`; false when the limit was passed.
fn from_start(
    graph: &Graph,
    start: usize,
    part: &BTreeSet<usize>,
    limit: usize,
    found: &mut Cycles,
) -> bool {
    let mut run =
        Circuit { blocked: BTreeSet::from([start]), blocks: vec![BTreeSet::new(); graph.len()] };
    // Each frame: node, edges done, whether a cycle was closed below it.
    let mut frames = vec![(start, 0, false)];
    while let Some((node, done, closed)) = frames.last_mut() {
        let node = *node;
        if let Some(&target) = graph.targets(node).get(*done) {
            *done += 1;
            if target == start {
                *closed = true;
                if found.cycles.len() >= limit {
                    return false;
                }
                found.cycles.push(frames.iter().map(|frame| frame.0).collect());
            } else if part.contains(&target) && run.blocked.insert(target) {
                frames.push((target, 0, false));
            }
            continue;
        }
        let closed = *closed;
        frames.pop();
        if closed {
            run.unblock(node);
            if let Some(parent) = frames.last_mut() {
                parent.2 = true;
            }
        } else {
            for &target in graph.targets(node) {
                if part.contains(&target)
                    && let Some(waiting) = run.blocks.get_mut(target)
                {
                    waiting.insert(node);
                }
            }
        }
    }
    true
}
