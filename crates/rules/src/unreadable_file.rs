//! A used file that is not there or cannot be read.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{Fault, FaultKind, ImportProblem};

pub(crate) static RULE: Rule = Rule {
    name: "unreadable-file",
    family: Family::Text,
    level: Level::Error,
    about: "a used file is not there or cannot be read",
    page: include_str!("unreadable_file.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        if let Some(finding) = word(fault) {
            out.push(finding);
        }
    }
}

fn word(fault: &Fault) -> Option<Diagnostic> {
    let FaultKind::Import(problem) = &fault.kind else { return None };
    Some(match problem {
        ImportProblem::NotFound { path, nearest } => {
            let finding = RULE.finds(format!("there is no file `{path}`"), fault.at, "not found");
            match nearest {
                Some(near) => finding.with_help(format!("did you mean \"{near}\"?")).with_fix(
                    Fix::one(format!("use \"{near}\""), fault.at, format!("\"{near}\""), false),
                ),
                None => finding.with_help("a path is relative to this file"),
            }
        }
        ImportProblem::Unreadable { path, why } => {
            RULE.finds(format!("`{path}` cannot be read: {why}"), fault.at, "not readable")
        }
        ImportProblem::IsSite { path } => RULE
            .finds(format!("`{path}` has a site of its own"), fault.at, "not a shared file")
            .with_why("a shared file holds parts, schedules and policies")
            .with_help("put what both sites need into a file without a `site`"),
        ImportProblem::BadCalendar { why } => {
            RULE.finds(format!("this file of holidays cannot be read: {why}"), fault.at, "not read")
        }
        ImportProblem::Outside | ImportProblem::Cycle(_) => return None,
    })
}
