//! Fuses: what flows through each, and what each has to protect.

use crate::power::Power;
use crate::power::tree::BranchOf;
use curtilage_model::Model;
use curtilage_text::Place;
use smallvec::SmallVec;

/// A fuse of a supply's network.
#[derive(Clone, Debug)]
pub struct Fuse {
    /// Where it sits.
    pub of: FuseOf,
    /// Its rating, A.
    pub amps: f64,
    /// The words that say it.
    pub at: Place,
    /// The most current that flows through it in any case, A.
    pub flows: Option<f64>,
    /// The branches that no other fuse or outlet protects, nearest to it first.
    pub protects: SmallVec<[usize; 4]>,
}

/// Where a fuse sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseOf {
    /// At the supply's output.
    Supply,
    /// At the start of a branch.
    Branch(usize),
}

impl Power<'_> {
    /// The fuses of the network, the supply's own first.
    #[must_use]
    pub fn fuses(&self, model: &Model<'_>) -> Vec<Fuse> {
        let mut out: Vec<Fuse> = Vec::with_capacity(self.branches.len() + 1);
        let supply = model.supply(self.supply);
        if let Some((fuse, name)) = supply.and_then(|s| Some((s.tree.fuse?, s.name))) {
            out.push(Fuse {
                of: FuseOf::Supply,
                amps: fuse.value,
                at: Place::new(name.at.file, fuse.span),
                flows: self.most_source_amps().map(|(amps, _)| amps),
                protects: SmallVec::new(),
            });
        }
        // By branch, the fuse above it: parents stand before their children.
        let own = out.first().map(|_| 0);
        let mut above: Vec<Option<usize>> = Vec::with_capacity(self.branches.len());
        for (index, branch) in self.branches.iter().enumerate() {
            let inherited = match branch.parent {
                Some(parent) => above.get(parent).copied().flatten(),
                None => own,
            };
            let fuse = match (&branch.of, branch.fuse) {
                // An outlet limits its own current.
                (BranchOf::Outlet(_), _) => None,
                (_, Some((amps, at))) => {
                    let flows = self.most_flow(index);
                    let of = FuseOf::Branch(index);
                    out.push(Fuse { of, amps, at, flows, protects: SmallVec::new() });
                    Some(out.len() - 1)
                }
                (_, None) => inherited,
            };
            if let Some(fuse) = fuse.and_then(|fuse| out.get_mut(fuse)) {
                fuse.protects.push(index);
            }
            above.push(fuse);
        }
        out
    }
}
