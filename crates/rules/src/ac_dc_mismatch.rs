//! Alternating current where direct current is wanted, or the other way round.

use crate::contact_overload::{help, names};
use crate::rule::{Family, Findings, Rule};
use crate::words::and_list;
use curtilage_circuit::contact::{NotRated, Verdict};
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, feeding};
use curtilage_model::{Feed, Named};
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
        for (_, load) in loads {
            let draw = load.sheet.draws.map(|draw| (draw, load.place(draw.span)));
            fed(facts, output.name, output.fed, draw, out);
        }
    }
    for relay in &model.relays {
        let coil = relay.part.and_then(|part| Some((part.sheet.coil?, part)));
        let draw = coil.map(|(draw, part)| (draw, part.place(draw.span)));
        fed(facts, relay.name, relay.fed, draw, out);
    }
    for zone in &model.zones {
        let draw = zone.sensor.and_then(|part| Some((part.sheet.draws?, part)));
        let draw = draw.map(|(draw, part)| (draw, part.place(draw.span)));
        fed(facts, zone.name, zone.fed(), draw, out);
    }
    for camera in &model.cameras {
        let draw = camera.part.and_then(|part| Some((part.sheet.draws?, part)));
        let draw = draw.map(|(draw, part)| (draw, part.place(draw.span)));
        fed(facts, camera.name, camera.fed, draw, out);
    }
    for controller in &model.controllers {
        let draw = controller.part.and_then(|part| Some((part.sheet.draws?, part)));
        let draw = draw.map(|(draw, part)| (draw, part.place(draw.span)));
        fed(facts, controller.name, controller.fed, draw, out);
    }
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

/// Loads that want the other kind than their supply gives.
fn fed(
    facts: &Facts<'_, '_>,
    name: Named<'_>,
    feed: Option<Feed<'_>>,
    draw: Option<(Draw, Place)>,
    out: &mut Findings,
) {
    let (Some(feed), Some((draw, sheet))) = (feed, draw) else { return };
    let (Some(wants), Some(from)) = (draw.kind, feeding(facts.model, feed.origin)) else { return };
    if wants == from.kind {
        return;
    }
    let supply = facts.model.supply(from.supply);
    let supply_name = supply.map_or("", |supply| supply.name.text);
    let headline = format!(
        "`{}` wants {}, `{supply_name}` gives {}",
        name.text,
        wants.word(),
        from.kind.word()
    );
    let mut finding = RULE
        .finds(headline, feed.at, format!("gives {}", from.kind.word()))
        .with_other(sheet, format!("wants {}", wants.word()))
        .with_why("it does not work, or burns out, on the wrong kind of current")
        .with_help(format!("feed `{}` from a supply that gives {}", name.text, wants.word()))
        .with_about(name.text);
    let part = supply.and_then(|supply| supply.part);
    if let Some((part, kind)) = part.and_then(|part| Some((part, part.sheet.kind?))) {
        finding = finding.with_other(part.place(kind.span), format!("gives {}", from.kind.word()));
    }
    out.push(finding);
}
