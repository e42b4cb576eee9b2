//! A finding as plain data: which rule, how grave, where, in which words, with which working and
//! which fixes. Nothing here prints, and nothing here knows the language.

mod fix;
mod level;
mod working;

pub use fix::{Edit, Fix};
pub use level::Level;
pub use working::{Input, Step};

use curtilage_text::Place;

/// Words at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub at: Place,
    /// What stands there, in a few words.
    pub text: String,
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// The rule's name, its only id.
    pub rule: &'static str,
    /// How grave it is, after policy.
    pub level: Level,
    /// What is wrong, with the numbers; one line, lower case, no full stop.
    pub headline: String,
    /// The words to change.
    pub at: Label,
    /// The other ends of the conflict.
    pub others: Vec<Label>,
    /// Why it matters on site.
    pub why: Option<String>,
    /// What to do, one way a line.
    pub help: Vec<String>,
    /// How each figure came about.
    pub working: Vec<Step>,
    /// Edits that mend it.
    pub fixes: Vec<Fix>,
    /// The names of the things that it is about, for `allow ... on NAME`.
    pub about: Vec<String>,
}

impl Diagnostic {
    /// A finding with its headline and main place; the rest is added by the `with` methods.
    #[must_use]
    pub fn new(
        rule: &'static str,
        level: Level,
        headline: impl Into<String>,
        at: Place,
        label: impl Into<String>,
    ) -> Self {
        Self {
            rule,
            level,
            headline: headline.into(),
            at: Label { at, text: label.into() },
            others: Vec::new(),
            why: None,
            help: Vec::new(),
            working: Vec::new(),
            fixes: Vec::new(),
            about: Vec::new(),
        }
    }

    /// Adds the other end of the conflict.
    #[must_use]
    pub fn with_other(mut self, at: Place, text: impl Into<String>) -> Self {
        self.others.push(Label { at, text: text.into() });
        self
    }

    /// Says why it matters on site.
    #[must_use]
    pub fn with_why(mut self, text: impl Into<String>) -> Self {
        self.why = Some(text.into());
        self
    }

    /// Adds one thing to do.
    #[must_use]
    pub fn with_help(mut self, text: impl Into<String>) -> Self {
        self.help.push(text.into());
        self
    }

    /// Adds the working of a figure.
    #[must_use]
    pub fn with_working(mut self, steps: impl IntoIterator<Item = Step>) -> Self {
        self.working.extend(steps);
        self
    }

    /// Adds a fix.
    #[must_use]
    pub fn with_fix(mut self, fix: Fix) -> Self {
        self.fixes.push(fix);
        self
    }

    /// Names a thing that the finding is about.
    #[must_use]
    pub fn with_about(mut self, name: impl Into<String>) -> Self {
        self.about.push(name.into());
        self
    }
}
