//! Alternating current where direct current is wanted, or the other way round.

use crate::contact_overload::{help, names};
use crate::rule::{Family, Findings, Rule};
use crate::words::and_list;
use curtilage_circuit::contact::{NotRated, Verdict};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, feeding};
use curtilage_model::{Feed, Named, PartRef};
use curtilage_syntax::tree::part::Draw;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "ac-dc-mismatch",
    family: Family::Contact,
    level: Level::Error,
    about: "alternating current where direct current is wanted, or the other way round",
    page: include_str!("ac_dc_mismatch.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    contacts(facts, out);
    let model = facts.model;
    for output in &model.outputs {
        let loads = output.loads.iter().flatten();
        let draws = loads.filter_map(|(_, load)| drawn(load.sheet.draws, *load));
        out.list.extend(fed(facts, output.name, output.fed, draws));
    }
    let mut one = |name, feed, draw: Option<(Draw, Place)>| {
        out.list.extend(fed(facts, name, feed, draw.into_iter()));
    };
    for relay in &model.relays {
        one(relay.name, relay.fed, relay.part.and_then(|part| drawn(part.sheet.coil, part)));
    }
    for zone in &model.zones {
        one(zone.name, zone.fed(), zone.sensor.and_then(|part| drawn(part.sheet.draws, part)));
    }
    for it in &model.cameras {
        one(it.name, it.fed, it.part.and_then(|part| drawn(part.sheet.draws, part)));
    }
    for it in &model.controllers {
        one(it.name, it.fed, it.part.and_then(|part| drawn(part.sheet.draws, part)));
    }
}

/// What something draws, and where its sheet says it.
fn drawn<T>(draw: Option<Draw>, part: PartRef<'_, T>) -> Option<(Draw, Place)> {
    draw.map(|draw| (draw, part.place(draw.span)))
}

/// Contacts rated for the other kind of current only.
fn contacts(facts: &Facts<'_, '_>, out: &mut Findings) {
    for switched in &facts.switched {
        let Some(Verdict::NotRated(NotRated::OtherCurrent)) = switched.verdict else { continue };
        let (Some(load), Some(rating)) = (switched.loads.first(), switched.ratings.first()) else {
            continue;
        };
        // A row that contradicts itself is told at its part.
        if switched.ratings.iter().any(|rating| rating.contradicts()) {
            continue;
        }
        let names = names(facts, switched);
        let headline = format!(
            "`{}` switches {} for {}, and is rated for {} only",
            facts.model.text(switched.contact.at),
            load.kind.word(),
            and_list(names.iter().copied()),
            rating.kind.word(),
        );
        let mut finding = RULE
            .finds(headline, switched.contact.at, format!("breaks {}", load.kind.word()))
            .with_other(
                Place::new(switched.ratings_file, rating.span),
                format!("rated for {}", rating.kind.word()),
            )
            .with_why("a rating for one kind says nothing about the other: an arc of direct current has no zero crossing to go out at")
            .with_help("give the rating for this kind from the data sheet, or switch the load through a relay that has one");
        if switched.proposal.is_some() {
            finding = finding.with_help(help(facts, switched));
        }
        for name in names {
            finding = finding.with_about(name);
        }
        out.push(finding);
    }
}

/// A thing of which something wants the other kind than its supply gives: told once, whatever
/// number of its loads do.
fn fed(
    facts: &Facts<'_, '_>,
    name: Named<'_>,
    feed: Option<Feed<'_>>,
    draws: impl Iterator<Item = (Draw, Place)> + Clone,
) -> Option<Diagnostic> {
    let mut kinds = draws.filter_map(|(draw, at)| Some((draw.kind?, at)));
    let feed = feed.filter(|_| kinds.clone().next().is_some())?;
    let from = feeding(facts.model, feed.origin)?;
    let others = kinds.clone().filter(|(wants, _)| *wants != from.kind);
    let (wants, _) = others.clone().next()?;
    let suits_some = kinds.any(|(wants, _)| wants == from.kind);
    let supply = facts.model.supply(from.supply);
    let supply_name = supply.map_or("", |supply| supply.name.text);
    let (wants_it, given) = (wants.word(), from.kind.word());
    let what = if suits_some { "has a load that wants" } else { "wants" };
    let headline = format!("`{}` {what} {wants_it}, `{supply_name}` gives {given}", name.text);
    let mut finding = RULE
        .finds(headline, feed.at, format!("gives {given}"))
        .with_why("it does not work, or burns out, on the wrong kind of current")
        .with_help(match suits_some {
            false => format!("feed `{}` from a supply that gives {}", name.text, wants_it),
            true => format!(
                "an output of its own for what wants {wants_it}, fed from a supply that gives {wants_it}"
            ),
        })
        .with_about(name.text);
    // Loads of one part share a sheet.
    let mut sheets: Vec<Place> = Vec::new();
    for (wants, sheet) in others {
        if !sheets.contains(&sheet) {
            finding = finding.with_other(sheet, format!("wants {}", wants.word()));
            sheets.push(sheet);
        }
    }
    let part = supply.and_then(|supply| supply.part);
    if let Some((part, kind)) = part.and_then(|part| Some((part, part.sheet.kind?))) {
        finding = finding.with_other(part.place(kind.span), format!("gives {given}"));
    }
    Some(finding)
}
