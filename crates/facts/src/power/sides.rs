//! Which way each contact stands in a case: so that most is drawn, or so that a place has the least or the
//! most voltage. What draws most is not always what takes most: of the two sides of a contact the lighter
//! load may hang at the end of the longer cable.

use crate::power::consumer::{Drawing, When};
use crate::power::{Clocked, Moved, Power};
use smallvec::SmallVec;

impl Power<'_> {
    /// The root contacts that are moved in the case in which most is drawn at so many volts.
    pub(crate) fn all_on(&self, volts: f64) -> Moved {
        self.moved_where(volts, |_| 1.0, |rest, moved| moved > rest)
    }

    /// The root contacts that are moved in the case in which least is drawn at the highest voltage: a
    /// lock that is held at rest is let go.
    pub(super) fn least_on(&self) -> Moved {
        let Ok(range) = self.volts else { return Moved::default() };
        self.moved_where(range.hi(), |_| 1.0, |rest, moved| moved < rest)
    }

    /// The root contacts that are moved where most of the voltage is lost on the way to a branch.
    pub(super) fn most_lost(&self, branch: usize, volts: f64, celsius: f64) -> Moved {
        let shared = self.shared(branch, celsius);
        self.moved_where(volts, |one| at(&shared, one), |rest, moved| moved > rest)
    }

    /// The root contacts that are moved where least of the voltage is lost on the way to a branch.
    pub(super) fn least_lost(&self, branch: usize, volts: f64, celsius: f64) -> Moved {
        let shared = self.shared(branch, celsius);
        self.moved_where(volts, |one| at(&shared, one), |rest, moved| moved < rest)
    }

    /// By branch, the ohms that its way has in common with that of another one.
    fn shared(&self, with: usize, celsius: f64) -> Vec<f64> {
        let way = self.way(with);
        let mut out: Vec<f64> = Vec::with_capacity(self.branches.len());
        for (index, branch) in self.branches.iter().enumerate() {
            let above = branch.parent.and_then(|parent| out.get(parent).copied());
            let own = if way.contains(&index) { branch.ohm(celsius) } else { 0.0 };
            out.push(above.unwrap_or(self.inside) + own);
        }
        out
    }

    /// The root contacts that the clock alone keeps moved and that let more draw when they are.
    pub(crate) fn clocked_adding(&self) -> Vec<&Clocked> {
        let Ok(range) = self.volts else { return Vec::new() };
        if self.clocked.is_empty() {
            return Vec::new();
        }
        let all_on = self.all_on(range.hi());
        self.clocked.iter().filter(|one| all_on.contains(one.root)).collect()
    }

    /// Whether some contact lets draw one thing on its one side and another on its other.
    pub(super) fn has_two_sides(&self) -> bool {
        let mut sides: SmallVec<[(usize, bool); 8]> = SmallVec::new();
        self.drawings.iter().any(|drawing| {
            let When::Switched(switch) = drawing.when else { return false };
            if switch.moved.is_none() || sides.contains(&(switch.root, switch.rest)) {
                return false;
            }
            sides.push((switch.root, switch.rest));
            sides.contains(&(switch.root, !switch.rest))
        })
    }

    /// The root contacts of which a choice is made by what is drawn through them at rest and when they
    /// are moved, A times the weight of each.
    fn moved_where(
        &self,
        volts: f64,
        weight: impl Fn(&Drawing) -> f64,
        choose: impl Fn(f64, f64) -> bool,
    ) -> Moved {
        let chosen = self.choices(volts, weight).into_iter();
        chosen.filter(|(_, rest, moved)| choose(*rest, *moved)).map(|(root, ..)| root).collect()
    }

    /// The root contacts that let something draw, with what that draws at so many volts while the contact
    /// is at rest and while it is moved, A times the weight of each.
    pub(super) fn choices(
        &self,
        volts: f64,
        weight: impl Fn(&Drawing) -> f64,
    ) -> SmallVec<[(usize, f64, f64); 8]> {
        let each = self.drawings.iter().filter_map(|drawing| {
            let When::Switched(switch) = drawing.when else { return None };
            let weight = weight(drawing);
            let load = drawing.load().ok()?;
            let (on, off) = (load.amps(volts) * weight, drawing.idle().amps(volts) * weight);
            let amps = |conducts: bool| if conducts { on } else { off };
            Some((switch.root, amps(switch.rest), amps(switch.moved.unwrap_or(switch.rest))))
        });
        let mut each: SmallVec<[(usize, f64, f64); 8]> = each.collect();
        each.sort_by_key(|(root, ..)| *root);
        each.dedup_by(|next, sum| {
            let same = next.0 == sum.0;
            if same {
                (sum.1, sum.2) = (sum.1 + next.1, sum.2 + next.2);
            }
            same
        });
        each
    }
}

fn at(shared: &[f64], drawing: &Drawing) -> f64 {
    shared.get(drawing.branch).copied().unwrap_or(0.0)
}
