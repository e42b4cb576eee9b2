//! One name for two things, and a second one of what there is one of.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{FaultKind, Kind};
use curtilage_text::Place;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

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
    plans(facts, out);
}

/// A second recording plan of one controller.
fn plans(facts: &Facts<'_, '_>, out: &mut Findings) {
    let mut first = HashMap::new();
    for plan in &facts.model.recordings {
        let Some(controller) = plan.controller else { continue };
        let at = Place::new(plan.line.file, plan.tree.controller.span);
        match first.entry(controller) {
            Entry::Vacant(none) => {
                none.insert(at);
            }
            Entry::Occupied(first) => {
                let name = facts.model.text(at);
                let finding =
                    RULE.finds(format!("`{name}` has two recording plans"), at, "a second one");
                out.push(
                    finding
                        .with_other(*first.get(), "the first one")
                        .with_why(
                            "a recorder works by one plan: each store is held here against its own \
                             plan alone, and footage may last for less than it says",
                        )
                        .with_help(format!("write all lines into one `recording {name} {{ ... }}`"))
                        .with_about(name),
                );
            }
        }
    }
}
