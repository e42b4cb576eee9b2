//! The working of a loop's windows.

use super::build::CLOSED_CONTACT;
use super::{Loop, LoopState};
use crate::cabling::ambient_at;
use crate::figure::{figure, input, steps};
use curtilage_circuit::ends::{Condition, Gauge};
use curtilage_diagnostic::Step;
use curtilage_model::Model;
use curtilage_text::Place;

impl Loop<'_> {
    /// How the window of a state came about: the cable at its hottest, the parts at the end of the
    /// wires, both corners of the sum, and the volts behind the pull-up where they matter.
    #[must_use]
    pub fn working(&self, model: &Model<'_>, state: &LoopState) -> Vec<Step> {
        let mut out = Vec::new();
        if let (Some(cable), Some(ambient)) = (self.cable, self.ambient) {
            let run = format!("`{} of {}`", model.text(cable.length_at), model.text(cable.named));
            let what = format!("most resistance of {run}");
            out.extend(cable.working(&what, ambient.hi(), ambient_at(model)));
        }
        let Some(condition) = self.condition(state.name) else { return out };
        out.push(self.parts(state, condition));
        let what = format!("what the input sees {}", state.name.words());
        let divider = self.divider().filter(|_| matches!(self.gauge(), Some(Gauge::Volts(_))));
        let spec = self.controller.sheet.input.as_ref();
        let mut places: Vec<(&'static str, Place)> = Vec::new();
        if let Some(spec) = spec {
            let at = |span| self.controller.place(span);
            places.extend(spec.pull_up.map(|said| ("Us", at(said.span))));
            places.extend(spec.resistance.map(|said| ("Rp", at(said.span))));
        }
        if let Ok(list) = self.seen().explain(condition, divider.as_ref()) {
            out.extend(steps(&what, &list, &places));
        }
        out
    }

    /// What is at the end of the wires: contact and resistors.
    fn parts(&self, state: &LoopState, condition: &Condition) -> Step {
        let sheet = self.sensor.sheet;
        let said = sheet.closed_resistance;
        let closed = said.map_or(CLOSED_CONTACT, |ohms| ohms.value);
        let (how, at) = match said {
            Some(said) => (format!("0 ohm to {}", figure(closed, "ohm")), Some(said.span)),
            None => {
                let how = format!("0 ohm to {}, the sheet gives none (-)", figure(closed, "ohm"));
                (how, sheet.rests.map(|rests| rests.span))
            }
        };
        let at = at.map(|span| self.sensor.place(span));
        let mut inputs = vec![input("closed contact", how, at)];
        if said.is_some() && condition.positions.len() > 1 {
            let most = figure(CLOSED_CONTACT, "ohm");
            let how = format!("0 ohm to {most}, no sheet gives it (-)");
            inputs.push(input("closed tamper contact", how, None));
        }
        for resistor in self.resistors() {
            let value = match resistor.tolerance {
                Some(tolerance) => {
                    format!("{} +-{}", figure(resistor.ohm, "ohm"), figure(tolerance * 100.0, "%"))
                }
                None => {
                    format!("{}, taken as exact: no tolerance given", figure(resistor.ohm, "ohm"))
                }
            };
            inputs.push(input("resistor", value, Some(resistor.at)));
        }
        let network = self.seen().network();
        let window = network.resistance(&condition.positions, &condition.parts);
        let result = window.map_or_else(
            |_| String::new(),
            |window| format!("{} to {}", figure(window.lo(), "ohm"), figure(window.hi(), "ohm")),
        );
        Step {
            what: format!("end of the wires {}", state.name.words()),
            formula: "Rn = contacts and resistors in series and in parallel, each at its corner"
                .to_owned(),
            inputs,
            result,
            source: "series and parallel resistances (X)".to_owned(),
        }
    }
}
