//! The most current in a piece of the network.
//!
//! Of what hangs behind a piece, the contacts let draw what is most there, be it the side of a contact
//! that draws less in the whole. Constant power draws most at the lowest voltage, with all else on;
//! what has a resistance draws most at the highest, with all else off. Where both hang behind one
//! piece, the two corners are looked at, and nothing between them.

use crate::power::case::{Case, Scene};
use crate::power::consumer::{Drawing, When};
use crate::power::{Moved, Power};
use curtilage_circuit::network::Load;
use smallvec::SmallVec;
use std::borrow::Cow;

impl Power<'_> {
    /// The most current that flows in a branch in any case, A.
    #[must_use]
    pub fn most_flow(&self, branch: usize) -> Option<f64> {
        self.most.get_or_init(|| self.flows()).get(branch).copied().flatten()
    }

    /// By branch, the most that flows in it, A.
    fn flows(&self) -> Vec<Option<f64>> {
        if self.more {
            let branches = 0..self.branches.len();
            return branches.map(|branch| Some(self.most_amps(branch)?.0)).collect();
        }
        let mut flows: Vec<Option<f64>> = vec![None; self.branches.len()];
        for case in self.solved() {
            for (branch, most) in flows.iter_mut().enumerate() {
                if let Some(amps) = case.amps(branch)
                    && most.is_none_or(|most| amps > most)
                {
                    *most = Some(amps);
                }
            }
        }
        flows
    }

    /// The same, with the case.
    #[must_use]
    pub fn most_amps(&self, branch: usize) -> Option<(f64, Cow<'_, Case>)> {
        let more = self.beyond(branch).into_iter();
        let more = more.filter_map(|scene| self.solve(scene, |_| None).ok()).map(Cow::Owned);
        let each = self.solved().map(Cow::Borrowed).chain(more);
        let each = each.filter_map(|case| Some((case.amps(branch)?, case)));
        each.reduce(|most, one| if one.0 > most.0 { one } else { most })
    }

    /// Whether more than in the four cases can flow in any branch: through a resistance, or on the side of
    /// a contact that draws less than the other one.
    pub(super) fn can_be_more(&self) -> bool {
        let mut sides: SmallVec<[(usize, bool); 8]> = SmallVec::new();
        for drawing in &self.drawings {
            if matches!(drawing.load(), Ok(Load::Resistance(_) | Load::Curve(_))) {
                return true;
            }
            if let When::Switched(switch) = drawing.when {
                let side = (switch.root, switch.rest);
                if sides.contains(&(switch.root, !switch.rest)) {
                    return true;
                }
                if !sides.contains(&side) {
                    sides.push(side);
                }
            }
        }
        false
    }

    /// The scenes, beside the four cases, in which most may flow in a branch.
    fn beyond(&self, branch: usize) -> SmallVec<[Scene; 2]> {
        if !self.more {
            return SmallVec::new();
        }
        let behind = self.behind(branch);
        let behind = |drawing: &Drawing| behind.get(drawing.branch) == Some(&true);
        let own = || self.drawings.iter().filter(|drawing| behind(drawing));
        let switched = own().any(|drawing| matches!(drawing.when, When::Switched(_)));
        let rises =
            own().any(|drawing| matches!(drawing.load(), Ok(Load::Resistance(_) | Load::Curve(_))));
        let mut out = SmallVec::new();
        let Ok(range) = self.volts else { return out };
        let mut add = |scene: Option<Scene>| {
            out.extend(scene.filter(|scene| self.solved().all(|case| case.scene != *scene)));
        };
        if switched {
            let others = match self.opposed {
                true => self.most_lost(branch, range.lo(), self.hottest()),
                false => self.all_on(range.lo()),
            };
            add(self.low(&self.most_behind(behind, range.lo(), others)).ok());
        }
        if rises {
            let others = match self.opposed {
                true => self.least_lost(branch, range.hi(), self.coldest()),
                false => self.least_on(),
            };
            add(self.high(&self.most_behind(behind, range.hi(), others)).ok());
        }
        out
    }

    /// By branch, whether it is this one or hangs behind it.
    fn behind(&self, branch: usize) -> Vec<bool> {
        let mut behind: Vec<bool> = Vec::with_capacity(self.branches.len());
        for (index, each) in self.branches.iter().enumerate() {
            let above = each.parent.and_then(|parent| behind.get(parent).copied());
            behind.push(index == branch || above == Some(true));
        }
        behind
    }

    /// The contacts as they are, but for those that let more draw of some drawings in their other state.
    fn most_behind(&self, of: impl Fn(&Drawing) -> bool, volts: f64, moved: Moved) -> Moved {
        let more = self.choices(volts, |drawing| f64::from(u8::from(of(drawing))));
        more.into_iter().fold(moved, |moved, (root, at_rest, when_moved)| {
            let other =
                if moved.contains(root) { at_rest > when_moved } else { when_moved > at_rest };
            if other { moved.with_other(root) } else { moved }
        })
    }
}
