//! A camera on a channel that the controller does not have.

use crate::rule::{Family, Findings, Rule};
use crate::unknown_terminal::word;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::TerminalKind;

pub(crate) static RULE: Rule = Rule {
    name: "channel-unknown",
    family: Family::Recording,
    level: Level::Error,
    about: "a camera is on a channel that the controller does not have",
    page: include_str!("channel_unknown.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        if let Some(finding) = word(&RULE, facts, fault, |wanted| wanted == TerminalKind::Channel) {
            out.push(finding);
        }
    }
}
