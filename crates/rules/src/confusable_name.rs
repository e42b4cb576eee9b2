//! Names that look alike, and characters that hide.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::FaultKind;

pub(crate) static RULE: Rule = Rule {
    name: "confusable-name",
    family: Family::Text,
    level: Level::Warning,
    about: "a name looks like another one, or a character hides",
    page: include_str!("confusable_name.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        let FaultKind::Confusable { why, other } = &fault.kind else { continue };
        let name = facts.model.text(fault.at);
        let finding = RULE.finds(why.clone(), fault.at, "not what it looks like").with_about(name);
        out.push(match other {
            Some(other) => finding
                .with_other(*other, "looks the same")
                .with_about(facts.model.text(*other))
                .with_why("a reader takes one for the other, and reviews what is not there")
                .with_help("give one of them a name that differs to the eye"),
            None => finding
                .with_why("a person reads something else than the program does")
                .with_help("take it out, or type it again with plain letters"),
        });
    }
}
