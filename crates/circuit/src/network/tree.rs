//! A linear tree network: elimination from the leaves, substitution from the root.

use super::build::Network;

/// A Norton equivalent: conductance and current.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Norton {
    pub(super) g: f64,
    pub(super) i: f64,
}

/// Pivots that were not positive: how many, and the first one met.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pivots {
    pub(super) negative: usize,
    pub(super) first: usize,
}

/// Leaves to root: each node's Norton equivalent, seen through the edge above it,
/// joins its parent's. `1 + g r` is the pivot times `r`, so zero ohm is harmless.
pub(super) fn eliminate(net: &Network, work: &mut [Norton], inverse: &mut [f64]) -> Pivots {
    let mut pivots = Pivots { negative: 0, first: 0 };
    let mut rest = work;
    // What goes to the position just above is carried in registers: in a long chain
    // each node waits for the one below it, and memory would double the wait.
    let mut carry = Norton::default();
    let places = net.layout.branches.iter().zip(inverse.iter_mut());
    for (k, (branch, inv)) in places.enumerate().skip(1).rev() {
        let Some((own, above)) = std::mem::take(&mut rest).split_last_mut() else {
            break;
        };
        let g = own.g + carry.g;
        let i = own.i + carry.i;
        own.i = i;
        let q = 1.0 + g * branch.ohm;
        if q.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            if pivots.negative == 0 {
                pivots.first = k;
            }
            pivots.negative += 1;
        }
        let part = 1.0 / q;
        *inv = part;
        let seen = Norton { g: g * part, i: i * part };
        if branch.parent + 1 == k {
            carry = seen;
        } else {
            carry = Norton::default();
            if let Some(parent) = above.get_mut(branch.parent) {
                parent.g += seen.g;
                parent.i += seen.i;
            }
        }
        rest = above;
    }
    if let Some(root) = rest.first_mut() {
        root.g += carry.g;
        root.i += carry.i;
    }
    if let (Some(root), Some(inv)) = (rest.first(), inverse.first_mut()) {
        let q = 1.0 + root.g * net.supply.ohm;
        if q.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            pivots.negative += 1;
        }
        *inv = 1.0 / q;
    }
    pivots
}

/// Root to leaves: the voltages of an eliminated network behind `emf`.
pub(super) fn substitute(
    net: &Network,
    work: &[Norton],
    inverse: &[f64],
    emf: f64,
    volts: &mut [f64],
) {
    let Some((root, below)) = volts.split_first_mut() else {
        return;
    };
    if let (Some(own), Some(inv)) = (work.first(), inverse.first()) {
        *root = (emf - net.supply.ohm * own.i) * inv;
    }
    // As in `eliminate`: in a chain the voltage above stays in a register.
    let mut last = *root;
    let places = net.layout.branches.iter().zip(work.iter().zip(inverse)).skip(1);
    for (k, (branch, (own, inv))) in places.enumerate() {
        let above = match branch.parent.checked_sub(1) {
            _ if branch.parent == k => last,
            Some(p) => below.get(p).copied().unwrap_or(0.0),
            None => *root,
        };
        last = (above - branch.ohm * own.i) * inv;
        if let Some(v) = below.get_mut(k) {
            *v = last;
        }
    }
}
