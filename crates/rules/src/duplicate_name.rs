//! One name for two things.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{FaultKind, Kind};

pub(crate) static RULE: Rule = Rule {
    name: "duplicate-name",
    family: Family::Text,
    level: Level::Error,
    about: "one name for two things",
    page: include_str!("duplicate_name.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for fault in &facts.model.faults {
        let FaultKind::DuplicateName { name, first, first_at, second } = &fault.kind else {
            continue;
        };
        let headline = match (first, second) {
            (Kind::Site, _) => "a file has one site".to_owned(),
            (Kind::Policy, _) => "a site has one policy".to_owned(),
            (Kind::Anything, _) => format!("terminal `{name}` is declared twice"),
            (first, second) if first == second => {
                format!("`{name}` names two things, each of them {}", first.words())
            }
            (first, second) => {
                format!("`{name}` names two things: {} and {}", first.words(), second.words())
            }
        };
        let single = matches!(first, Kind::Site | Kind::Policy);
        let finding =
            RULE.finds(headline, fault.at, if single { "a second one" } else { "named again" });
        out.push(if single {
            finding
                .with_other(*first_at, "the first one")
                .with_why("it is not clear which of the two counts")
                .with_help("take one of them out, or move it into a file of its own")
                .with_about(name.as_str())
        } else {
            finding
                .with_other(*first_at, "named first")
                .with_why("whoever reads the name means one of them, and gets the other")
                .with_help("give one of them another name")
                .with_about(name.as_str())
        });
    }
}
