//! Figures that may not be known, and workings as people read them.

use curtilage_circuit::working as engine;
use curtilage_diagnostic::{Input, Step};
use curtilage_text::Place;
use curtilage_units::significant;
use std::borrow::Cow;
use std::fmt;

/// A figure that cannot be worked out, and why: "the part `horn-12v` gives no `draws`".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKnown {
    /// The reason, in words that go on after "not known: ".
    pub because: Cow<'static, str>,
}

impl NotKnown {
    /// Not known, because of this.
    pub(crate) fn because(reason: impl Into<Cow<'static, str>>) -> Self {
        Self { because: reason.into() }
    }
}

impl fmt::Display for NotKnown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not known: {}", self.because)
    }
}

/// A figure, or the reason why there is none.
pub type Known<T> = Result<T, NotKnown>;

/// The places that gave the inputs of a formula, by the formula's letters.
pub(crate) type Places<'p> = &'p [(&'static str, Place)];

/// A step of the engine's working, with what it is about and where its inputs stand.
pub(crate) fn step(what: impl Into<String>, step: &engine::Step, places: Places<'_>) -> Step {
    let inputs = step.inputs.iter().map(|input| Input {
        name: input.name.to_owned(),
        value: figure(input.value, input.unit),
        at: places.iter().find(|(name, _)| *name == input.name).map(|(_, at)| *at),
    });
    Step {
        what: what.into(),
        formula: format!("{} = {}", step.symbol, step.formula),
        inputs: inputs.collect(),
        result: figure(step.result, step.unit),
        source: source(step.source),
    }
}

/// A source with its mark; what the caller gave is what a sheet states.
fn source(source: engine::Source) -> String {
    if source.text == AS_GIVEN {
        return "the part's sheet".to_owned();
    }
    format!("{} ({})", source.text, source.mark.letter())
}

/// The engine's source of a figure that it was given.
const AS_GIVEN: &str = "as given by the caller";

/// Several steps of the engine about one thing.
pub(crate) fn steps(what: &str, list: &[engine::Step], places: Places<'_>) -> Vec<Step> {
    list.iter().map(|one| step(what, one, places)).collect()
}

/// One input of a step that is made here.
pub(crate) fn input(name: impl Into<String>, value: String, at: Option<Place>) -> Input {
    Input { name: name.into(), value, at }
}

/// A figure with its unit.
pub(crate) fn figure(value: f64, unit: &str) -> String {
    if value.is_infinite() {
        return "no end".to_owned();
    }
    let number = significant(value, 4);
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}

/// The source of a step that only adds or compares.
pub(crate) const ARITHMETIC: &str = "arithmetic";
