//! From a path of sets to a story: the earliest instants that follow it.

use super::bounds::Slot;
use crate::Ms;

/// One instant of a path.
#[derive(Debug, Clone)]
pub(super) struct Leg {
    /// For each timer before the instant: whether it is over in it.
    pub(super) over: Vec<bool>,
    /// For each timer after the instant: where it comes from.
    pub(super) slots: Vec<Slot>,
}

/// The earliest instants for a path that begins at instant 0, which is the first leg.
///
/// Every timer that is over in an instant was set that long before; every other one is not over
/// yet. These are differences of instants with whole bounds, so the least solution exists, is
/// whole, and is found by raising instants until nothing is violated (Bellman 1958).
/// `None` only for a path that no story follows.
pub(super) fn earliest(legs: &[&Leg]) -> Option<Vec<Ms>> {
    // `later.0` comes at least `by` after `earlier.1`.
    let mut gaps: Vec<(usize, usize, Ms)> = Vec::new();
    // For each running timer: the leg that set it, and its length.
    let mut running: Vec<(usize, Ms)> = Vec::new();
    for (number, leg) in legs.iter().enumerate() {
        if number > 0 {
            gaps.push((number, number - 1, 1));
        }
        for (&(set, length), &over) in running.iter().zip(&leg.over) {
            if over {
                gaps.push((number, set, length));
                gaps.push((set, number, -length));
            } else {
                gaps.push((set, number, 1 - length));
            }
        }
        let timer = |slot: &Slot| match slot {
            Slot::Kept(place) => running.get(*place).copied(),
            Slot::Set(length) => Some((number, *length)),
        };
        running = leg.slots.iter().map(timer).collect::<Option<_>>()?;
    }
    let mut instants = vec![0; legs.len()];
    for _ in 0..=legs.len() {
        let mut raised = false;
        for &(later, earlier, by) in &gaps {
            let least = instants.get(earlier)? + by;
            let instant = instants.get_mut(later)?;
            if *instant < least {
                *instant = least;
                raised = true;
            }
        }
        if !raised {
            return Some(instants);
        }
    }
    None
}
