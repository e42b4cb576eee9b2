//! What really follows a set when nothing comes from outside any more.
//!
//! The search lets a set stand for all that it covers, so a cycle in it may only seem to be one.
//! Here equal sets alone count as the same. As each set is exactly what can follow the one before,
//! every member of a set on a cycle comes from a member of it, round after round; there are finitely
//! many, so some of them come round to themselves: the cycle is real. No cycle here is proof that
//! none of the candidates goes on for ever.

use std::collections::HashMap;

use super::super::bounds::Times;
use super::super::path::Leg;
use super::{Node, Search};
use crate::graph::Graph;

/// A set in a tail.
pub(super) struct Link {
    pub(super) node: Node,
    /// The link before, or the candidate that it starts from.
    pub(super) before: Result<usize, usize>,
}

/// A candidate, and the legs from it to a cycle and round it some times.
pub(super) type Tail = (usize, Vec<Leg>);

impl Search<'_> {
    /// Real cycles after the candidates in which the zone registers; none if there is none, `None`
    /// if that is too much to find out.
    pub(super) fn tails(&mut self, candidates: &[usize]) -> Option<Vec<Tail>> {
        let mut links: Vec<Link> = Vec::new();
        let mut known: HashMap<(usize, usize, Times), usize> = HashMap::new();
        let mut steps: Vec<(usize, usize, bool, Leg)> = Vec::new();
        let mut place = |links: &mut Vec<Link>, node: Node, before| {
            let key = (node.spot, node.regime, node.times.clone());
            *known.entry(key).or_insert_with(|| {
                links.push(Link { node, before });
                links.len() - 1
            })
        };
        for &candidate in candidates {
            let Some(node) = self.nodes.get(candidate).cloned() else { continue };
            place(&mut links, node, Err(candidate));
        }
        let mut done = 0;
        while let Some(node) = links.get(done).map(|link| link.node.clone()) {
            if links.len() > self.task.bounds.states {
                return None;
            }
            for (next, registered) in self.alone(&node) {
                let leg = next.leg.clone();
                let to = place(&mut links, next, Ok(done));
                steps.push((done, to, registered, leg));
            }
            done += 1;
        }
        Some(cycles(&links, &steps))
    }
}

fn cycles(links: &[Link], steps: &[(usize, usize, bool, Leg)]) -> Vec<Tail> {
    /// How often to go round, so that what cannot go round for ever is left behind.
    const ROUNDS: [usize; 3] = [1, 8, 64];
    let mut graph = Graph::new(links.len());
    for &(from, to, ..) in steps {
        graph.add_edge(from, to);
    }
    let loops = graph.loops();
    let together = |a: usize, b: usize| {
        loops.iter().any(|part| part.binary_search(&a).is_ok() && part.binary_search(&b).is_ok())
    };
    let mut tails = Vec::new();
    for (from, to, registered, leg) in steps {
        if !registered || !together(*from, *to) {
            continue;
        }
        let Some(back) = way_back(links.len(), steps, *to, *from) else { continue };
        let mut round = back;
        round.insert(0, leg.clone());
        let (start, way) = way_to(links, *from);
        for rounds in ROUNDS {
            let mut legs = way.clone();
            for _ in 0..rounds {
                legs.extend(round.iter().cloned());
            }
            tails.push((start, legs));
        }
    }
    tails.sort_by_key(|(start, legs)| (*start, legs.len()));
    tails
}

/// The candidate from which a link was first met, and the legs between.
pub(super) fn way_to(links: &[Link], link: usize) -> (usize, Vec<Leg>) {
    let mut legs = Vec::new();
    let mut at = link;
    loop {
        match links.get(at).map(|link| (&link.node.leg, link.before)) {
            Some((leg, Ok(before))) => {
                legs.push(leg.clone());
                at = before;
            }
            Some((_, Err(candidate))) => {
                legs.reverse();
                return (candidate, legs);
            }
            None => return (0, legs),
        }
    }
}

/// The legs of a shortest way from one link to another.
pub(super) fn way_back(
    len: usize,
    steps: &[(usize, usize, bool, Leg)],
    from: usize,
    to: usize,
) -> Option<Vec<Leg>> {
    let mut came: Vec<Option<usize>> = vec![None; len];
    let mut todo = std::collections::VecDeque::from([from]);
    while let Some(at) = todo.pop_front() {
        if at == to {
            break;
        }
        for (number, step) in steps.iter().enumerate().filter(|(_, step)| step.0 == at) {
            if let Some(came) = came.get_mut(step.1)
                && came.is_none()
                && step.1 != from
            {
                *came = Some(number);
                todo.push_back(step.1);
            }
        }
    }
    let mut legs = Vec::new();
    let mut at = to;
    while at != from {
        let (before, _, _, leg) = steps.get((*came.get(at)?)?)?;
        legs.push(leg.clone());
        at = *before;
    }
    legs.reverse();
    Some(legs)
}
