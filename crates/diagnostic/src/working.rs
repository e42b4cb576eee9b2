//! How a figure came about: formula, inputs with the words that gave them, and the source.

use curtilage_text::Place;

/// One number that went in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// What it is, in words: "draw of `yard-siren`".
    pub name: String,
    /// The figure with its unit.
    pub value: String,
    /// Where the file says so, if it does.
    pub at: Option<Place>,
}

/// One step of a calculation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is calculated.
    pub what: String,
    /// The formula, in symbols.
    pub formula: String,
    /// What went in.
    pub inputs: Vec<Input>,
    /// What came out, with its unit.
    pub result: String,
    /// The standard or book, with its mark, or "arithmetic".
    pub source: String,
}
