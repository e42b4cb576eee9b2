//! The voltage at what draws, and which cable is to blame when it is too low.

use crate::power::case::{Case, Scene};
use crate::power::consumer::{Consumer, Drawing, When};
use crate::power::tree::BranchOf;
use crate::power::{Moved, Power};
use crate::{Amps, Known};
use curtilage_model::CableId;
use curtilage_text::Place;
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
        if !worst.scene.is_on(drawing) {
            // The other side of its contact draws more: a case of its own, with all else on.
            match moved_for(drawing, worst.scene.moved.clone()) {
                Some(moved) if moved != quiet.scene.moved => {
                    consider(Cow::Owned(self.solve(self.low(&moved)?, |_| None)?));
                }
                _ => {}
            }
        }
        Ok(best)
    }

    /// The case in which a drawing is on and has the most voltage, with that voltage, V.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub fn highest(&self, drawing: &Drawing) -> Known<Option<(f64, Case)>> {
        self.highest_with(drawing, |_| None)
    }

    /// The most voltage that a meter can find at a drawing that is on, V: a cable may have any part of
    /// the resistance that its standard allows, down to none.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub(crate) fn highest_read(&self, drawing: &Drawing) -> Known<Option<f64>> {
        Ok(self.highest_with(drawing, |_| Some(0.0))?.map(|(volts, _)| volts))
    }

    /// The least voltage that a meter can find at a drawing that is on, V.
    ///
    /// # Errors
    /// As [`Power::lowest`].
    pub(crate) fn lowest_read(&self, drawing: &Drawing) -> Known<Option<f64>> {
        let Some((_, case)) = self.lowest(drawing)? else { return Ok(None) };
        self.least_read(&case, Some(drawing.branch))
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
        other: impl Fn(usize) -> Option<f64>,
    ) -> Known<Option<(f64, Case)>> {
        if let Some(why) = self.unknown_on_way(drawing.branch) {
            return Err(why);
        }
        let Some(moved) = moved_for(drawing, self.least_on()) else { return Ok(None) };
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
