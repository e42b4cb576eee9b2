//! What a rule is.

use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_text::Place;

/// A rule: its name, how grave it is, its page, and the function that finds and words it.
pub struct Rule {
    /// Its only id: it names the fault and reads well after `allow`.
    pub name: &'static str,
    /// What it is about.
    pub family: Family,
    /// How grave its findings are until a policy says otherwise.
    pub level: Level,
    /// What it finds, in one line.
    pub about: &'static str,
    /// Its page, in Markdown.
    pub page: &'static str,
    /// Whether it argues from something being absent. Its findings are held back where a statement
    /// could not be read.
    pub from_absence: bool,
    pub(crate) check: fn(&Facts<'_, '_>, &mut Findings),
}

/// What rules are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Contacts, terminals and what they carry.
    Contact,
    /// Supervised loops: what an input sees of a zone.
    Loop,
    /// Supplies, cables, fuses and batteries.
    Power,
    /// When zones count.
    Arming,
    /// What happens, and for how long.
    Behaviour,
    /// What is recorded.
    Recording,
    /// The text itself.
    Text,
}

impl Family {
    /// The word for lists.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Contact => "contact",
            Self::Loop => "loop",
            Self::Power => "power",
            Self::Arming => "arming",
            Self::Behaviour => "behaviour",
            Self::Recording => "recording",
            Self::Text => "text",
        }
    }
}

/// The findings of one run.
#[derive(Debug, Default)]
pub(crate) struct Findings {
    pub(crate) list: Vec<Diagnostic>,
}

impl Findings {
    pub(crate) fn push(&mut self, diagnostic: Diagnostic) {
        self.list.push(diagnostic);
    }
}

impl Rule {
    /// A finding of this rule at its own level.
    pub(crate) fn finds(
        &self,
        headline: impl Into<String>,
        at: Place,
        label: impl Into<String>,
    ) -> Diagnostic {
        Diagnostic::new(self.name, self.level, headline, at, label)
    }
}

#[cfg(test)]
mod tests {
    use crate::RULES;
    use std::collections::BTreeMap;

    #[test]
    fn every_family_has_a_word_of_its_own() {
        let mut families = BTreeMap::new();
        for rule in RULES {
            let family = families.entry(rule.family.word()).or_insert(rule.family);
            assert_eq!(*family, rule.family, "{}", rule.name);
            assert!(!rule.family.word().is_empty());
        }
        assert_eq!(families.len(), 7);
    }
}
