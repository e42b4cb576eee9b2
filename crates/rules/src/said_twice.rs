//! One fact said twice in a block.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_syntax::FaultKind;
use curtilage_syntax::tree::Item;
use curtilage_text::Place;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

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
        let (first, again) = (Place::new(root.file, first), Place::new(root.file, fault.span));
        out.push(finding(word, first, again));
    }
    // A policy gives many rules a level, and each of them one.
    for item in &root.parsed.file.items {
        let Item::Policy(policy) = item else { continue };
        let mut levels: HashMap<&str, Place> = HashMap::new();
        for said in &policy.levels {
            let (rule, line) = (root.text(said.rule.span), Place::new(root.file, said.line));
            match levels.entry(rule) {
                Entry::Occupied(first) => {
                    out.push(finding(&format!("level {rule}"), *first.get(), line));
                }
                Entry::Vacant(place) => {
                    place.insert(line);
                }
            }
        }
    }
}

fn finding(what: &str, first: Place, again: Place) -> Diagnostic {
    RULE.finds(format!("`{what}` is said twice"), again, "said again, and not used")
        .with_other(first, "said first, and used")
        .with_why("the two may differ, and a reader may see only one of them")
        .with_help("take one of the two lines out")
}
