//! One fact said twice in a block.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::FaultKind;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "said-twice",
    family: Family::Text,
    level: Level::Error,
    about: "one fact is said twice",
    page: include_str!("said_twice.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(root) = facts.model.root() else { return };
    for fault in &root.parsed.faults {
        let FaultKind::SaidTwice { word, first } = fault.kind else { continue };
        out.push(
            RULE.finds(
                format!("`{word}` is said twice"),
                Place::new(root.file, fault.span),
                "said again, and not used",
            )
            .with_other(Place::new(root.file, first), "said first, and used")
            .with_why("the two may differ, and a reader may see only one of them")
            .with_help("take one of the two lines out"),
        );
    }
}
