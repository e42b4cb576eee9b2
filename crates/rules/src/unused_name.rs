//! Something that is declared and that nothing uses.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::FaultKind;

pub(crate) static RULE: Rule = Rule {
    name: "unused-name",
    family: Family::Text,
    level: Level::Hint,
    about: "something is declared and nothing uses it",
    page: include_str!("unused_name.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        let FaultKind::Unused { kind, name } = &fault.kind else { continue };
        out.push(
            RULE.finds(format!("nothing uses {} `{name}`", kind.noun()), fault.at, "not used")
                .with_help("take it out, or use it")
                .with_about(name.as_str()),
        );
    }
}
