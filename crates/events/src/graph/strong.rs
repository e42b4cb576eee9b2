//! Tarjan's strong components without recursion, so that a long chain cannot exhaust the stack.

use super::Graph;

const UNSEEN: usize = usize::MAX;

struct Tarjan {
    order: Vec<usize>,
    low: Vec<usize>,
    on_stack: Vec<bool>,
    stack: Vec<usize>,
    next: usize,
}

impl Tarjan {
    fn enter(&mut self, node: usize) {
        put(&mut self.order, node, self.next);
        put(&mut self.low, node, self.next);
        put(&mut self.on_stack, node, true);
        self.next += 1;
        self.stack.push(node);
    }

    fn lower(&mut self, node: usize, to: usize) {
        if let Some(low) = self.low.get_mut(node) {
            *low = (*low).min(to);
        }
    }

    fn close(&mut self, node: usize) -> Option<Vec<usize>> {
        if self.low.get(node) != self.order.get(node) {
            return None;
        }
        let mut part = Vec::new();
        while let Some(member) = self.stack.pop() {
            put(&mut self.on_stack, member, false);
            part.push(member);
            if member == node {
                break;
            }
        }
        part.sort_unstable();
        Some(part)
    }
}

pub(super) fn components(graph: &Graph) -> Vec<Vec<usize>> {
    let len = graph.len();
    let mut run = Tarjan {
        order: vec![UNSEEN; len],
        low: vec![UNSEEN; len],
        on_stack: vec![false; len],
        stack: Vec::new(),
        next: 0,
    };
    let mut parts = Vec::new();
    for root in 0..len {
        if at(&run.order, root, 0) != UNSEEN {
            continue;
        }
        // Each frame: a node and how many of its edges are done.
        let mut frames = vec![(root, 0)];
        run.enter(root);
        while let Some((node, done)) = frames.last_mut() {
            let node = *node;
            if let Some(&target) = graph.targets(node).get(*done) {
                *done += 1;
                let seen = at(&run.order, target, 0);
                if seen == UNSEEN {
                    run.enter(target);
                    frames.push((target, 0));
                } else if at(&run.on_stack, target, false) {
                    run.lower(node, seen);
                }
            } else {
                frames.pop();
                if let Some(&(parent, _)) = frames.last() {
                    let low = at(&run.low, node, UNSEEN);
                    run.lower(parent, low);
                }
                parts.extend(run.close(node));
            }
        }
    }
    parts.sort_unstable();
    parts
}

fn at<T: Copy>(list: &[T], place: usize, otherwise: T) -> T {
    list.get(place).copied().unwrap_or(otherwise)
}

fn put<T>(list: &mut [T], place: usize, value: T) {
    if let Some(slot) = list.get_mut(place) {
        *slot = value;
    }
}
