//! A value that cannot be: a length below zero, 30 February, schedules made of each other.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::FaultKind as ModelFault;
use curtilage_syntax::FaultKind;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "impossible-value",
    family: Family::Text,
    level: Level::Error,
    about: "a value that cannot be",
    page: include_str!("impossible_value.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(root) = facts.model.root() else { return };
    for fault in &root.parsed.faults {
        if let FaultKind::BadValue { why } = &fault.kind {
            let at = Place::new(root.file, fault.span);
            let written = fault.span.of(&root.text);
            out.push(RULE.finds(format!("`{written}`: {why}"), at, "cannot be"));
        }
    }
    for fault in &facts.model.faults {
        match &fault.kind {
            ModelFault::BadValue { why } => {
                out.push(RULE.finds(why.clone(), fault.at, "cannot be"));
            }
            ModelFault::ScheduleCycle(chain) => {
                let chain: Vec<String> = chain.iter().map(|name| format!("`{name}`")).collect();
                out.push(
                    RULE.finds(
                        format!("schedules are made of each other: {}", chain.join(" of ")),
                        fault.at,
                        "is made of itself",
                    )
                    .with_help("give one of them hours of its own"),
                );
            }
            _ => {}
        }
    }
}
