//! The fewest activations that reach everything: a hitting set, found greedily, made better by a
//! bounded search, and held against a bound from below.
//!
//! The bound: things to reach that share no activation need at least one each, whatever the walk.
//! When the search ends before its limit, what it found is the least, proved.

use std::collections::BTreeSet;

/// One thing that can be done: what is activated, and what that reaches.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Action {
    pub(crate) activates: BTreeSet<usize>,
    pub(crate) reaches: BTreeSet<usize>,
}

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cover {
    /// The actions, by index, ascending.
    pub(crate) chosen: Vec<usize>,
    /// How many activations they are.
    pub(crate) activations: usize,
    /// No walk needs fewer than this many.
    pub(crate) at_least: usize,
}

/// The most steps of the search.
const MOST_STEPS: usize = 100_000;

/// Covers everything that some action reaches.
pub(crate) fn cover(actions: &[Action]) -> Cover {
    let wanted: BTreeSet<usize> =
        actions.iter().flat_map(|action| action.reaches.iter().copied()).collect();
    let useful = undominated(actions);
    let none = BTreeSet::new();
    let at_least = bound(actions, &useful, &wanted, &none);
    let mut search =
        Search { actions, useful: &useful, best: greedy(actions, &useful, &wanted), steps: 0 };
    if search.best.0 > at_least {
        search.go(&wanted, &none, &mut Vec::new());
    }
    let proved = search.steps < MOST_STEPS;
    let (activations, mut chosen) = search.best;
    chosen.sort_unstable();
    let at_least = if proved { activations } else { at_least };
    Cover { chosen, activations, at_least }
}

/// The actions that no other one makes superfluous. Only an action of a single activation that no
/// other action shares can be: one that is shared may cost nothing.
fn undominated(actions: &[Action]) -> Vec<usize> {
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    let all = actions.iter().flat_map(|action| action.activates.iter().copied());
    let shared: BTreeSet<usize> = all.filter(|one| !seen.insert(*one)).collect();
    let single = |action: &Action| action.activates.len() == 1;
    let beaten = |at: usize, one: &Action| {
        single(one)
            && one.activates.is_disjoint(&shared)
            && actions.iter().enumerate().any(|(other_at, other)| {
                let more = other.reaches.len() > one.reaches.len() || other_at < at;
                other_at != at && single(other) && more && one.reaches.is_subset(&other.reaches)
            })
    };
    let all = actions.iter().enumerate();
    all.filter(|(at, action)| !beaten(*at, action)).map(|(at, _)| at).collect()
}

fn greedy(actions: &[Action], useful: &[usize], wanted: &BTreeSet<usize>) -> (usize, Vec<usize>) {
    let mut left = wanted.clone();
    let mut active: BTreeSet<usize> = BTreeSet::new();
    let mut chosen = Vec::new();
    while !left.is_empty() {
        // The most that is new for each new activation; the first one of those that are equal.
        let mut best: Option<(usize, usize, usize)> = None;
        for at in useful {
            let Some(action) = actions.get(*at) else { continue };
            let gain = action.reaches.intersection(&left).count();
            let cost = action.activates.difference(&active).count();
            let better =
                best.is_none_or(|(_, most, least)| gain * least.max(1) > most * cost.max(1));
            if gain > 0 && better {
                best = Some((*at, gain, cost));
            }
        }
        let Some((at, ..)) = best else { break };
        chosen.push(at);
        if let Some(action) = actions.get(at) {
            active.extend(&action.activates);
            left.retain(|thing| !action.reaches.contains(thing));
        }
    }
    (active.len(), chosen)
}

/// New activations that are needed at least for what is left.
fn bound(
    actions: &[Action],
    useful: &[usize],
    left: &BTreeSet<usize>,
    active: &BTreeSet<usize>,
) -> usize {
    let mut needs: Vec<(usize, usize, BTreeSet<usize>)> = Vec::new();
    for thing in left {
        let by = useful.iter().filter_map(|at| actions.get(*at));
        let by: Vec<&Action> = by.filter(|action| action.reaches.contains(thing)).collect();
        let least = by.iter().map(|action| action.activates.difference(active).count()).min();
        let all: BTreeSet<usize> =
            by.iter().flat_map(|action| action.activates.difference(active).copied()).collect();
        needs.push((all.len(), least.unwrap_or(0), all));
    }
    // Those with the fewest ways get in the way of the fewest others.
    needs.sort();
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    let mut sum = 0;
    for (_, least, all) in needs {
        if all.is_disjoint(&taken) {
            sum += least;
            taken.extend(all);
        }
    }
    sum
}

struct Search<'s> {
    actions: &'s [Action],
    useful: &'s [usize],
    best: (usize, Vec<usize>),
    steps: usize,
}

impl Search<'_> {
    fn go(&mut self, left: &BTreeSet<usize>, active: &BTreeSet<usize>, chosen: &mut Vec<usize>) {
        self.steps += 1;
        if self.steps >= MOST_STEPS {
            return;
        }
        if left.is_empty() {
            if active.len() < self.best.0 {
                self.best = (active.len(), chosen.clone());
            }
            return;
        }
        if active.len() + bound(self.actions, self.useful, left, active) >= self.best.0 {
            return;
        }
        // The thing with the fewest ways to reach it.
        let ways = |thing: usize| {
            let reaches = |at: &&usize| {
                self.actions.get(**at).is_some_and(|action| action.reaches.contains(&thing))
            };
            self.useful.iter().filter(reaches).copied().collect::<Vec<usize>>()
        };
        let Some(ways) = left.iter().map(|thing| ways(*thing)).min_by_key(Vec::len) else { return };
        for at in ways {
            let Some(action) = self.actions.get(at) else { continue };
            let left = left.difference(&action.reaches).copied().collect();
            let active = active.union(&action.activates).copied().collect();
            chosen.push(at);
            self.go(&left, &active, chosen);
            chosen.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Action, cover};
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn action(activates: &[usize], reaches: &[usize]) -> Action {
        Action {
            activates: activates.iter().copied().collect(),
            reaches: reaches.iter().copied().collect(),
        }
    }

    #[test]
    fn one_that_reaches_two_is_taken_instead_of_two() {
        let found = cover(&[action(&[0], &[0]), action(&[1], &[0, 1]), action(&[2], &[1])]);
        assert_eq!((found.chosen, found.activations, found.at_least), (vec![1], 1, 1));
    }

    #[test]
    fn greedy_is_not_good_enough_here_and_the_search_is() {
        // The largest set first needs three; the two halves do it in two.
        let found = cover(&[
            action(&[0], &[0, 1, 2, 3]),
            action(&[1], &[0, 1, 4]),
            action(&[2], &[2, 3, 5]),
        ]);
        assert_eq!((found.activations, found.at_least), (2, 2));
    }

    #[test]
    fn an_activation_that_two_actions_share_counts_once() {
        let found = cover(&[action(&[0, 1], &[0, 1]), action(&[0, 2], &[2])]);
        assert_eq!((found.activations, found.at_least), (3, 3));
    }

    #[test]
    fn nothing_to_reach_needs_nothing() {
        let found = cover(&[]);
        assert_eq!((found.activations, found.at_least), (0, 0));
    }

    /// The least of all subsets.
    fn by_force(actions: &[Action]) -> usize {
        let wanted: BTreeSet<usize> = actions.iter().flat_map(|a| a.reaches.clone()).collect();
        (0..1u32 << actions.len())
            .filter_map(|subset| {
                let taken = actions.iter().enumerate().filter(|(at, _)| subset & (1 << at) != 0);
                let mut active = BTreeSet::new();
                let mut reached = BTreeSet::new();
                for (_, action) in taken {
                    active.extend(action.activates.clone());
                    reached.extend(action.reaches.clone());
                }
                (reached == wanted).then_some(active.len())
            })
            .min()
            .unwrap()
    }

    proptest! {
        #[test]
        fn it_is_the_least_of_all(actions in prop::collection::vec(
            (prop::collection::btree_set(0usize..6, 1..3), prop::collection::btree_set(0usize..7, 1..4)),
            1..9,
        )) {
            let actions: Vec<Action> = actions
                .into_iter()
                .map(|(activates, reaches)| Action { activates, reaches })
                .collect();
            let found = cover(&actions);
            prop_assert_eq!(found.activations, by_force(&actions));
            prop_assert_eq!(found.at_least, found.activations);
            let reached: BTreeSet<usize> =
                found.chosen.iter().flat_map(|at| actions[*at].reaches.clone()).collect();
            let wanted: BTreeSet<usize> = actions.iter().flat_map(|a| a.reaches.clone()).collect();
            prop_assert_eq!(reached, wanted);
        }
    }
}
