//! The voltage at what draws, and which cable is to blame when it is too low.

use crate::power::case::{Case, Scene};
use crate::power::consumer::{Consumer, Drawing, When};
use crate::power::tree::BranchOf;
use crate::power::{Moved, Power};
use crate::{Amps, Known};
use curtilage_model::CableId;
use curtilage_text::Place;
use smallvec::SmallVec;
use std::borrow::Cow;

/// What takes the most voltage on the way to a load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Culprit {
    /// The feed of one consumer: its branch.
    Run(usize),
    /// A cable with taps.
    Cable(CableId),
}

impl Power<'_> {
    /// The case in which a drawing is on and has the least voltage, with that voltage, V.
    ///
    /// # Errors
    /// Not known when a figure on the way is missing, or when it never is on.
    pub fn lowest<'p>(&'p self, drawing: &Drawing) -> Known<Option<(f64, Cow<'p, Case>)>> {
        if let Some(why) = self.unknown_on_way(drawing.branch) {
            return Err(why);
        }
        let mut best: Option<(f64, Cow<'p, Case>)> = None;
        let mut consider = |case: Cow<'p, Case>| {
            let Some(volts) = case.volts(drawing.branch) else { return };
            if best.as_ref().is_none_or(|(low, _)| volts < *low) {
                best = Some((volts, case));
            }
        };
        let worst = self.worst.as_ref().map_err(Clone::clone)?;
        let quiet = self.quiet.as_ref().map_err(Clone::clone)?;
        for case in [worst, quiet] {
            if case.scene.is_on(drawing) {
                consider(Cow::Borrowed(case));
            }
        }
        for moved in self.other_lows(drawing, &worst.scene, &quiet.scene) {
            consider(Cow::Owned(self.solve(self.low(&moved)?, |_| None)?));
        }
        Ok(best)
    }

    /// How the contacts stand in the other cases in which a drawing may have the least voltage.
    fn other_lows(&self, drawing: &Drawing, worst: &Scene, quiet: &Scene) -> SmallVec<[Moved; 2]> {
        let mut out: SmallVec<[Moved; 2]> = SmallVec::new();
        let mut add = |moved: Moved| {
            let known = [&worst.moved, &quiet.moved].contains(&&moved) || out.contains(&moved);
            if !known {
                out.push(moved);
            }
        };
        if !worst.is_on(drawing) {
            // The other side of its contact draws more: a case of its own, with all else on.
            moved_for(drawing, worst.moved.clone()).into_iter().for_each(&mut add);
        }
        if self.opposed {
            let lost = self.most_lost(drawing.branch, worst.volts, worst.celsius);
            moved_for(drawing, lost).into_iter().for_each(&mut add);
        }
        out
    }

    /// A case at the lowest voltage in which that collapses, the lightest first.
    #[must_use]
    pub fn collapse(&self) -> Option<&Case> {
        self.collapse.get_or_init(|| self.find_collapse()).as_ref()
    }

    fn find_collapse(&self) -> Option<Case> {
        let (Ok(worst), Ok(quiet)) = (&self.worst, &self.quiet) else { return None };
        let usual = [quiet, worst].into_iter().find(|case| case.collapses());
        if usual.is_some() || !self.opposed {
            return usual.cloned();
        }
        let mut tried: Vec<Moved> = Vec::new();
        for drawing in &self.drawings {
            for moved in self.other_lows(drawing, &worst.scene, &quiet.scene) {
                if tried.contains(&moved) {
                    continue;
                }
                let case = self.solve(self.low(&moved).ok()?, |_| None).ok()?;
                if case.collapses() {
                    return Some(case);
                }
                tried.push(moved);
            }
        }
        None
    }

    /// The case in which a drawing is on and has the most voltage, with that voltage, V.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub fn highest(&self, drawing: &Drawing) -> Known<Option<(f64, Case)>> {
        let found = self.highest_with(drawing, self.least_on(), |_| None)?;
        let (Ok(range), true) = (&self.volts, self.opposed) else { return Ok(found) };
        let lost = self.least_lost(drawing.branch, range.hi(), self.coldest());
        let other = self.highest_with(drawing, lost, |_| None)?;
        let each = [found, other].into_iter().flatten();
        Ok(each.reduce(|most, one| if one.0 > most.0 { one } else { most }))
    }

    /// The most voltage that a meter can find at a drawing that is on, V: a cable may have any part of
    /// the resistance that its standard allows, down to none.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub(crate) fn highest_read(&self, drawing: &Drawing) -> Known<Option<f64>> {
        Ok(self.highest_with(drawing, self.least_on(), |_| Some(0.0))?.map(|(volts, _)| volts))
    }

    /// The least voltage that a meter can find at a drawing that is on, V.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub(crate) fn lowest_read(&self, drawing: &Drawing) -> Known<Option<f64>> {
        let Some((_, case)) = self.lowest(drawing)? else { return Ok(None) };
        self.least_read(&case, Some(drawing.branch))
    }

    /// The least voltage that a meter can find on mains at a drawing, V.
    ///
    /// # Errors
    /// As [`Power::solve`].
    pub(crate) fn lowest_on_mains(&self, drawing: &Drawing) -> Known<Option<f64>> {
        let found = self.least_read(&self.on_mains()?, Some(drawing.branch))?;
        if !self.opposed {
            return Ok(found);
        }
        let (volts, celsius) = self.least_on_mains()?;
        let moved = self.most_lost(drawing.branch, volts, celsius);
        let other = self.solve(Scene { volts, celsius, moved }, |_| None)?;
        let other = self.least_read(&other, Some(drawing.branch))?;
        Ok(found.zip(other).map(|(found, other)| found.min(other)))
    }

    /// The least voltage that a meter can find in a case at the end of a branch, or at the supply, V: with
    /// cables of the most resistance on the way, and of the most or of none elsewhere, where what has a
    /// resistance of its own draws more then.
    ///
    /// # Errors
    /// As [`Power::solve`].
    pub(crate) fn least_read(&self, case: &Case, branch: Option<usize>) -> Known<Option<f64>> {
        let way = branch.map_or_else(Vec::new, |branch| self.way(branch));
        let bare = |index: usize| (!way.contains(&index)).then_some(0.0);
        let bare = self.again(&case.scene, bare)?;
        let volts = |case: &Case| match branch {
            Some(branch) => case.volts(branch),
            None => case.source_volts(),
        };
        let Some(most) = volts(case) else { return Ok(None) };
        Ok(Some(volts(&bare).map_or(most, |bare| bare.min(most))))
    }

    fn highest_with(
        &self,
        drawing: &Drawing,
        moved: Moved,
        other: impl Fn(usize) -> Option<f64>,
    ) -> Known<Option<(f64, Case)>> {
        if let Some(why) = self.unknown_on_way(drawing.branch) {
            return Err(why);
        }
        let Some(moved) = moved_for(drawing, moved) else { return Ok(None) };
        let case = self.solve(self.high(&moved)?, other)?;
        Ok(case.volts(drawing.branch).map(|volts| (volts, case)))
    }

    /// What one line of a consumer of constant power draws at its least voltage, with that voltage; none
    /// for any other, or where that voltage is not known.
    pub(crate) fn at_least_volts(&self, of: Consumer, sheet: Place, count: u32) -> Option<Amps> {
        let is = |drawing: &&Drawing| (drawing.of, drawing.at, drawing.count) == (of, sheet, count);
        let drawing = self.drawings.iter().find(is)?;
        let watts = drawing.constant_power()?;
        let (volts, _) = self.lowest(drawing).ok()??;
        Some(Amps { amps: watts / volts, volts })
    }

    /// The run or the cable that takes the most voltage on the way to the end of a branch in a case.
    #[must_use]
    pub fn culprit(&self, branch: usize, case: &Case) -> Option<Culprit> {
        let mut drops: Vec<(Culprit, f64)> = Vec::new();
        for index in self.way(branch) {
            let Some(found) = self.branches.get(index) else { continue };
            if !matches!(found.cable, Some(Ok(_))) {
                continue;
            }
            let drop = case.amps(index)? * found.ohm(case.scene.celsius);
            let culprit = match found.of {
                BranchOf::Tap(cable, _) => Culprit::Cable(cable),
                _ => Culprit::Run(index),
            };
            match drops.iter_mut().find(|(known, _)| *known == culprit) {
                Some((_, sum)) => *sum += drop,
                None => drops.push((culprit, drop)),
            }
        }
        let most = drops.into_iter().reduce(|most, one| if one.1 > most.1 { one } else { most })?;
        Some(most.0)
    }

    /// The branches of a culprit.
    #[must_use]
    pub fn pieces(&self, culprit: Culprit) -> Vec<usize> {
        match culprit {
            Culprit::Run(branch) => vec![branch],
            Culprit::Cable(id) => {
                let all = self.branches.iter().enumerate();
                let own =
                    all.filter(|(_, branch)| matches!(branch.of, BranchOf::Tap(of, _) if of == id));
                own.map(|(index, _)| index).collect()
            }
        }
    }

    /// The same case with other resistances.
    ///
    /// # Errors
    /// As [`Power::solve`].
    pub fn again(&self, scene: &Scene, other: impl Fn(usize) -> Option<f64>) -> Known<Case> {
        self.solve(scene.clone(), other)
    }
}

/// The contacts as they are, except that the one of a drawing is where it lets it draw; none when it
/// never is there.
fn moved_for(drawing: &Drawing, moved: Moved) -> Option<Moved> {
    let When::Switched(switch) = drawing.when else { return Some(moved) };
    let fits = |moved: bool| if moved { switch.moved == Some(true) } else { switch.rest };
    let own = moved.contains(switch.root);
    if fits(own) { Some(moved) } else { fits(!own).then(|| moved.with_other(switch.root)) }
}
