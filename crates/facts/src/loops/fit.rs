//! Which resistors would make every state lie in its band.

use super::pattern::Pattern;
use super::{Loop, Question, StateName, states};
use curtilage_circuit::ends::{EndsError, PartId, Proposal, Requirement, propose};
use curtilage_model::Model;
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::part::{BandName, Rest};
use curtilage_syntax::tree::wiring::{EndPart, EndStep, Ends};
use curtilage_text::{Place, Span};
use curtilage_units::ohms;
use std::sync::Arc;

/// Resistors that fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fit {
    /// The `ends` statement, as text to type.
    pub text: String,
    /// The words to change; none when the zone has no `ends` yet.
    pub at: Option<Place>,
}

/// The tolerance of resistors that are proposed where there are none.
const TOLERANCE: f64 = 0.01;

impl Loop<'_> {
    /// Looks for preferred values with which every state lies in its band: other values for the
    /// resistors that are there, or a pair of resistors where there are none.
    #[must_use]
    pub fn fit(&self, model: &Model<'_>, ends: Option<&Ends>) -> Option<Fit> {
        match ends.filter(|ends| !ends.steps.is_empty()) {
            Some(ends) => {
                let proposal = self.proposal(self)?;
                let whole = Place::new(self.file, ends.span);
                let mut text = model.text(whole).to_owned();
                // From the end, so that places before stay true.
                for resistor in self.resistors().iter().rev() {
                    let Some(new) = value(&proposal, resistor.part) else { continue };
                    let from = (resistor.at.span.start - ends.span.start) as usize;
                    let to = (resistor.at.span.end - ends.span.start) as usize;
                    if text.get(from..to).is_some() {
                        text.replace_range(from..to, &ohms(new));
                    }
                }
                Some(Fit { text: format!("ends  {text}"), at: Some(whole) })
            }
            None => self.new_pair().map(|text| Fit {
                text: format!("ends  {text}"),
                at: ends.map(|ends| Place::new(self.file, ends.span)),
            }),
        }
    }

    fn proposal(&self, of: &Loop<'_>) -> Option<Proposal> {
        let required: Vec<Requirement> = of
            .states()
            .iter()
            .filter(|state| state.name != StateName::ActiveTamper)
            .filter_map(|state| {
                let condition = of.condition(state.name)?.clone();
                Some(Requirement { condition, band: state.belongs? })
            })
            .collect();
        propose(of.seen(), of.gauge()?, of.limits(), &required).ok()?
    }

    /// Two resistors for a zone that has none.
    fn new_pair(&self) -> Option<String> {
        // An input that knows only open and closed makes nothing of resistors.
        let tells = |name| self.bands().contains(&name);
        if !tells(BandName::Cut) && !tells(BandName::Shorted) {
            return None;
        }
        let rests = self.sensor.sheet.rests?.value;
        for series_first in [false, true] {
            let step = |series| EndStep {
                series,
                part: EndPart::Resistor(said(1000.0), Some(said(TOLERANCE))),
            };
            let steps = [step(series_first), step(!series_first)].into();
            let ends = Ends { steps, span: Span::default() };
            let Ok(trial) = self.with(&ends, rests) else { continue };
            let Some(proposal) = self.proposal(&trial) else { continue };
            let resistors = trial.resistors().into_iter();
            let values = resistors.map(|one| ohms(value(&proposal, one.part).unwrap_or(one.ohm)));
            let values: Vec<String> = values.collect();
            let [first, second] = values.as_slice() else { continue };
            let word = |series: bool| if series { "in" } else { "across" };
            return Some(format!(
                "{} {first} +-1 %, {} {second} +-1 %",
                word(series_first),
                word(!series_first),
            ));
        }
        None
    }

    /// The same loop with other resistors.
    fn with<'e>(&'e self, ends: &'e Ends, rests: Rest) -> Result<Loop<'e>, EndsError> {
        let spec = self.controller.sheet.input.as_ref();
        let pattern = Arc::new(Pattern::new(&ends.steps, self.sensor.sheet, rests, spec)?);
        let nominal = self.cable.and_then(|cable| cable.ohm(20.0)).unwrap_or(0.0);
        let states = states(&Question { pattern, ohms: self.seen().cable(), nominal })?;
        Ok(Loop { states, ends: Some(ends), ..self.clone() })
    }
}

fn said(value: f64) -> Spanned<f64> {
    Spanned { value, span: Span::default() }
}

fn value(proposal: &Proposal, part: PartId) -> Option<f64> {
    proposal.values.iter().find(|(changed, _)| *changed == part).map(|(_, ohm)| *ohm)
}
