//! Files that use each other in a ring.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{FaultKind, ImportProblem};

pub(crate) static RULE: Rule = Rule {
    name: "import-cycle",
    family: Family::Text,
    level: Level::Error,
    about: "files use each other in a ring",
    page: include_str!("import_cycle.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        let FaultKind::Import(ImportProblem::Cycle(chain)) = &fault.kind else { continue };
        let chain: Vec<String> = chain.iter().map(|path| format!("`{path}`")).collect();
        out.push(
            RULE.finds(
                format!("files use each other in a ring: {}", chain.join(" uses ")),
                fault.at,
                "leads back here",
            )
            .with_help("take one `use` of the ring out, or put what both need into a third file"),
        );
    }
}
