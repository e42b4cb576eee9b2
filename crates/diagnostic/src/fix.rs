//! An edit that mends a finding.

use curtilage_text::Place;

/// Replaces the text of a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; an empty span inserts.
    pub at: Place,
    /// The new text.
    pub text: String,
}

/// A named set of edits that are made together or not at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    /// What it does, as an instruction: "set the input to rest closed".
    pub title: String,
    /// The edits; no two overlap.
    pub edits: Vec<Edit>,
    /// Whether it may be made without asking: it changes no behaviour that was meant.
    pub safe: bool,
}

impl Fix {
    /// A fix of one edit.
    #[must_use]
    pub fn one(title: impl Into<String>, at: Place, text: impl Into<String>, safe: bool) -> Self {
        Self { title: title.into(), edits: vec![Edit { at, text: text.into() }], safe }
    }
}
