//! A path that leaves the workspace.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{FaultKind, ImportProblem};

pub(crate) static RULE: Rule = Rule {
    name: "outside-workspace",
    family: Family::Text,
    level: Level::Error,
    about: "a path leaves the workspace",
    page: include_str!("outside_workspace.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        if fault.kind == FaultKind::Import(ImportProblem::Outside) {
            let path = facts.model.text(fault.at);
            out.push(
                RULE.finds(
                    format!("{path} leaves the workspace"),
                    fault.at,
                    "outside the workspace",
                )
                .with_why(
                    "the file is not there on another machine, and nobody reviews what it says",
                )
                .with_help(
                    "put the file into the workspace and use it by a path relative to this file",
                ),
            );
        }
    }
}
