//! A contact whose sheet says nothing about the load that it switches.

use crate::contact_overload::names;
use crate::rule::{Family, Findings, Rule};
use crate::words::{and_list, article, number};
use curtilage_circuit::contact::{LoadKind, NotRated, Verdict};
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, Switched};
use curtilage_model::{ContactAt, PartId};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "rating-not-given",
    family: Family::Contact,
    level: Level::Hint,
    about: "the sheet of a contact says nothing about the kind of load that it switches",
    page: include_str!("rating_not_given.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for switched in facts.switched.iter().filter(|switched| !switched.loads.is_empty()) {
        let Some((part, word)) = part_of(facts, switched) else { continue };
        if facts.doubt.about_contact(facts.model, &switched.contact) {
            continue;
        }
        let reason = match switched.verdict {
            None if switched.ratings.is_empty() => None,
            Some(Verdict::NotRated(
                why @ (NotRated::OtherLoad
                | NotRated::AboveAc14 { .. }
                | NotRated::SlowerThanDc13 { .. }),
            )) => Some(why),
            _ => continue,
        };
        let contact = facts.model.text(switched.contact.at);
        let kind = kind(switched);
        let current = switched.loads.iter().find(|load| word_of(load.nature) == kind);
        let current = current.map_or("dc", |load| load.kind.word());
        let names = names(facts, switched);
        let of_part = facts.model.part_name(part);
        let said = match reason {
            None => "gives no rating of its contacts".to_owned(),
            Some(NotRated::AboveAc14 { va }) => {
                format!("rates its contacts to 72 VA (AC-14), this is {} VA", number(va))
            }
            Some(NotRated::SlowerThanDc13 { t95_ms, longest_ms }) => format!(
                "rates its contacts for coils up to {} ms (DC-13), this one takes {} ms",
                number(longest_ms),
                number(t95_ms)
            ),
            Some(_) => format!("says nothing of {} {kind} load on {current}", article(kind)),
        };
        let headline = format!(
            "`{contact}` switches {}, and its part {said}",
            and_list(names.iter().copied())
        );
        let rating_at = match switched.ratings.first() {
            Some(rating) => Some(Place::new(switched.ratings_file, rating.span)),
            None => facts.model.parts.get(part.index()).map(|part| part.line),
        };
        let mut finding = RULE
            .finds(headline, switched.contact.at, format!("switches {} {kind} load", article(kind)))
            .with_why("a rating for one kind of load says nothing about another: whether this contact lasts is not known")
            .with_help(format!("give the figure of the data sheet in the part `{of_part}`: `{word}  CURRENT at VOLTAGE {current} {kind}`"));
        if let Some(at) = rating_at {
            let text = if reason.is_some() { "rated for this only" } else { "gives no rating" };
            finding = finding.with_other(at, text);
        }
        for load in switched.loads.iter().filter(|load| word_of(load.nature) == kind) {
            finding = finding.with_other(load.sheet, format!("{} {kind} load", article(kind)));
        }
        for name in names {
            finding = finding.with_about(name);
        }
        out.push(finding);
    }
}

/// The part of a contact, and the word that gives its rating there.
fn part_of(facts: &Facts<'_, '_>, switched: &Switched<'_>) -> Option<(PartId, &'static str)> {
    match switched.contact.of {
        ContactAt::Terminal(terminal) => {
            Some((facts.model.controller(terminal.controller)?.part?.id, "relay"))
        }
        ContactAt::Relay(relay) => Some((facts.model.relay(relay)?.part?.id, "contact")),
    }
}

fn word_of(nature: Option<LoadKind>) -> &'static str {
    match nature {
        Some(LoadKind::Inductive) => "inductive",
        Some(LoadKind::Lamp) => "lamp",
        _ => "resistive",
    }
}

/// The kind of load that the rating leaves out: the first that is not resistive.
fn kind(switched: &Switched<'_>) -> &'static str {
    let words = switched.loads.iter().map(|load| word_of(load.nature));
    words.into_iter().find(|word| *word != "resistive").unwrap_or("resistive")
}
