//! A fact that has to be said and is not.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::FaultKind;
use curtilage_syntax::tree::part::Repeats;

pub(crate) static RULE: Rule = Rule {
    name: "missing-fact",
    family: Family::Text,
    level: Level::Error,
    about: "a fact that has to be said is not",
    page: include_str!("missing_fact.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for fault in &model.faults {
        let FaultKind::MissingFact { thing, what, consequence, name } = &fault.kind else {
            continue;
        };
        let word = what.split(' ').next().unwrap_or(what);
        if word == "site" && facts.doubt.mentions("site") {
            continue;
        }
        let (headline, label) = match word {
            // A response without an effect lacks no single word.
            "close" => (format!("{thing} does nothing"), "no effect".to_owned()),
            // It is not the thing that lacks it.
            "site" => ("this file has no `site`".to_owned(), format!("{thing} needs one")),
            // The words of a law, which says how the figure of a voltage turns into that of another.
            "at" => (
                format!("{thing} does not say at which voltage it draws that"),
                "needs the voltage of the figure".to_owned(),
            ),
            _ => (format!("{thing} does not say `{word}`"), format!("`{word}` is missing")),
        };
        let help = if word == "at" {
            let law = model.text(fault.at);
            format!("CURRENT|POWER at VOLTAGE, {law}")
        } else {
            what.replacen(' ', "  ", 1)
        };
        out.push(
            RULE.finds(headline, fault.at, label)
                .with_why(*consequence)
                .with_help(help)
                .with_about(name.as_str()),
        );
    }
    for zone in &model.zones {
        let part = model.input_part(zone);
        let Some((part, repeats)) = part.and_then(|part| Some((part, part.sheet.repeats?))) else {
            continue;
        };
        if repeats.value != Repeats::AsTheZoneSays || zone.tree.registers.is_some() {
            continue;
        }
        let name = zone.name.text;
        out.push(
            RULE.finds(
                format!("zone `{name}` does not say `registers`"),
                zone.name.at,
                "`registers` is missing",
            )
            .with_other(part.place(repeats.span), "this controller leaves it to the zone")
            .with_why("how often a held contact registers is not known")
            .with_help("registers  once an activation | while active")
            .with_about(name),
        );
    }
}
