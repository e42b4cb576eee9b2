//! What holds of alternating current although no sheet gives a phase.
//!
//! Currents of any phases add up to no more than the sum of their amounts, and what the conductors take
//! is no more than that sum through their resistance. So a load gets no more than the supply gives, and
//! no less than what is left behind the most that can be taken.

use super::{Drawing, Power};
use curtilage_circuit::network::Load;
use curtilage_syntax::tree::CurrentKind;

impl Power<'_> {
    /// What the supply gives, V, where it is alternating: at the lowest and at the highest.
    #[must_use]
    pub fn alternating(&self) -> Option<(f64, f64)> {
        let gives = self.gives.filter(|_| self.kind == Some(CurrentKind::Ac))?;
        Some((gives.lo(), gives.hi()))
    }

    /// V that something gets at least while it is on and an alternating supply gives its most; none
    /// where that is not known.
    #[must_use]
    pub fn alternating_at_least(&self, drawing: &Drawing) -> Option<f64> {
        let (_, gives) = self.alternating()?;
        // What is in no sum may draw anything; more flows of a constant power, the less it gets.
        if !self.left_out.is_empty()
            || self.drawings.iter().any(|drawing| drawing.constant_power().is_some())
            || self.unknown_on_way(drawing.branch).is_some()
        {
            return None;
        }
        let celsius = self.hottest();
        let way = self.way(drawing.branch).into_iter();
        let ohm = way.filter_map(|index| Some(self.branches.get(index)?.ohm(celsius)));
        let ohm = self.inside + ohm.sum::<f64>();
        let amps = self.drawings.iter().map(|drawing| {
            let on = drawing.load().unwrap_or(Load::ConstantCurrent(0.0)).amps(gives);
            on.max(drawing.idle().amps(gives))
        });
        Some((gives - ohm * amps.sum::<f64>()).max(0.0))
    }
}
