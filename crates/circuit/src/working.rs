//! The working of a figure: formula, inputs, result and source.
//!
//! It is made on request by the `explain` functions, never in a solver's loop.

/// How well a source stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Seen in a page, package or file that can be named.
    Confirmed,
    /// Calculated here from a confirmed formula.
    Calculated,
    /// Seen only in pages that retell it.
    Secondary,
    /// From memory, not confirmed.
    Memory,
    /// Common practice, no source.
    CommonPractice,
}

impl Mark {
    /// The reference's letter: C, X, S or M; `-` for common practice, no source.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            Self::Confirmed => 'C',
            Self::Calculated => 'X',
            Self::Secondary => 'S',
            Self::Memory => 'M',
            Self::CommonPractice => '-',
        }
    }
}

/// Where a formula or a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The standard, the law or the book.
    pub text: &'static str,
    /// How well it stands.
    pub mark: Mark,
}

impl Source {
    /// A source with its mark.
    #[must_use]
    pub const fn new(text: &'static str, mark: Mark) -> Self {
        Self { text, mark }
    }
}

/// One input of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// The letter or word that the formula uses.
    pub name: &'static str,
    /// Its value.
    pub value: f64,
    /// Its unit, empty for a plain number.
    pub unit: &'static str,
}

/// One line of a working.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The letter or word for the result.
    pub symbol: &'static str,
    /// The right-hand side of the formula.
    pub formula: &'static str,
    /// What was put in, in the order of the formula.
    pub inputs: Vec<Quantity>,
    /// The result.
    pub result: f64,
    /// The unit of the result, empty for a plain number.
    pub unit: &'static str,
    /// Where the formula, or the table value, comes from.
    pub source: Source,
}

impl Step {
    pub(crate) fn new(
        symbol: &'static str,
        formula: &'static str,
        inputs: &[(&'static str, f64, &'static str)],
        result: f64,
        unit: &'static str,
        source: Source,
    ) -> Self {
        let inputs =
            inputs.iter().map(|&(name, value, unit)| Quantity { name, value, unit }).collect();
        Self { symbol, formula, inputs, result, unit, source }
    }
}

pub(crate) const OHM: Source = Source::new("Ohm's law", Mark::Confirmed);
pub(crate) const KIRCHHOFF: Source =
    Source::new("Kirchhoff's laws, monotone Newton", Mark::Calculated);
pub(crate) const PART: Source = Source::new("as given by the caller", Mark::Confirmed);
