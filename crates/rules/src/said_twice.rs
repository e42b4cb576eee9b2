//! One fact said twice in a block, and one cause said twice of a response.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::{Cause, Response};
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
    for response in facts.model.responses.iter().filter(|response| response.causes.len() > 1) {
        causes(facts, response, out);
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

/// The causes of a response that it has already.
fn causes(facts: &Facts<'_, '_>, response: &Response<'_>, out: &mut Findings) {
    let mut firsts: HashMap<Cause, Place> = HashMap::new();
    for (cause, at) in &response.causes {
        let Some(first) = firsts.insert(*cause, *at) else { continue };
        let said = facts.model.text(*at);
        let (headline, why) = match response.all_within {
            None => (
                format!("`{said}` is a cause of one response twice"),
                "the other one that may be meant sets off nothing here",
            ),
            Some(_) => (
                format!("`{said}` is waited for twice in one response"),
                "it counts once: the response does not wait for it to come a second time",
            ),
        };
        let mut finding = RULE
            .finds(headline, *at, "said again, and not used")
            .with_other(first, "said first, and used")
            .with_why(why)
            .with_help("name the other one that is meant, or take it out")
            .with_about(said);
        finding.about.extend(response.name.map(|name| name.text.to_owned()));
        out.push(finding);
    }
}

fn finding(what: &str, first: Place, again: Place) -> Diagnostic {
    RULE.finds(format!("`{what}` is said twice"), again, "said again, and not used")
        .with_other(first, "said first, and used")
        .with_why("the two may differ, and a reader may see only one of them")
        .with_help("take one of the two lines out")
}
