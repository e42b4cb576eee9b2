//! A load that gets less voltage than it works from.

use crate::rule::{Family, Findings, Rule};
use crate::runs::{cable_name, culprit_words, gives_at, mend_words, source_label, supply_name};
use crate::words::{amps, volts, volts_apart};
use curtilage_circuit::limit::below;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Case, Culprit, Drawing, Facts, Least, Power};
use curtilage_units::round_up;
use std::borrow::Cow;
use std::collections::BTreeMap;

pub(crate) static RULE: Rule = Rule {
    name: "undervoltage",
    family: Family::Power,
    level: Level::Error,
    about: "a load gets less voltage than it works from",
    page: include_str!("undervoltage.md"),
    from_absence: false,
    check,
};

/// A drawing that gets too little.
struct Low<'p> {
    drawing: &'p Drawing,
    volts: f64,
    least: f64,
    needs: Least,
    case: Cow<'p, Case>,
}

/// What a group of them has in common: a cable, or the supply itself for each consumer.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Blame {
    Cable(Culprit),
    Supply(usize),
}

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        if let Some((least, most)) = power.alternating() {
            alternating(facts, power, (least, most), out);
            continue;
        }
        // That is told by a rule of its own.
        if power.collapse().is_some() {
            continue;
        }
        let mut groups: BTreeMap<Blame, Vec<Low<'_>>> = BTreeMap::new();
        for drawing in &power.drawings {
            let Some(low) = low(power, drawing) else { continue };
            // A supply that is itself below the least voltage is at fault, whatever the cable.
            let by_cable = low.case.scene.volts > low.least;
            let culprit = by_cable.then(|| power.culprit(drawing.branch, &low.case)).flatten();
            let blame = culprit.map_or(Blame::Supply(drawing.branch), Blame::Cable);
            groups.entry(blame).or_default().push(low);
        }
        for (blame, mut lows) in groups {
            // Of equals the name decides, so that the order of the file does not.
            let name = |low: &Low<'_>| low.drawing.of.name(facts.model).text;
            lows.sort_by(|a, b| {
                let short = (a.volts - a.least).total_cmp(&(b.volts - b.least));
                short.then_with(|| name(a).cmp(name(b)))
            });
            out.list.extend(finding(facts, power, &blame, &lows));
        }
    }
}

fn low<'p>(power: &'p Power<'_>, drawing: &'p Drawing) -> Option<Low<'p>> {
    let needs = drawing.least()?;
    let (volts, case) = power.lowest(drawing).ok()??;
    below(volts, needs.volts).then_some(Low { drawing, volts, least: needs.volts, needs, case })
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    power: &Power<'a>,
    blame: &Blame,
    lows: &[Low<'_>],
) -> Option<Diagnostic> {
    let first = lows.first()?;
    let name = first.drawing.of.name(facts.model).text;
    let supply = supply_name(facts, power).text;
    let says = |name: &str, low: &Low<'_>| {
        let (gets, from) = volts_apart(low.volts, low.least);
        format!("`{name}` gets {gets}, {} {from}", words(low.needs))
    };
    let gets = says(name, first);
    let mut finding = match blame {
        Blame::Cable(culprit) => {
            let (at, words) = culprit_words(facts, power, *culprit)?;
            let drop = drop(power, *culprit, first);
            let taken = format!("{words} takes {}", volts(drop));
            let most =
                power.pieces(*culprit).into_iter().filter_map(|piece| first.case.amps(piece));
            let most = most.fold(0.0, f64::max);
            let label = format!("takes {} at {}", volts(drop), amps(most));
            let low: Vec<(&Case, usize, f64)> =
                lows.iter().map(|low| (&*low.case, low.drawing.branch, low.least)).collect();
            let mend = power.mend(facts.model, *culprit, &low);
            let mut finding = RULE.finds(format!("{gets}: {taken}"), at, label);
            for help in mend_words(facts, power, *culprit, &mend) {
                finding = finding.with_help(help);
            }
            if let Culprit::Cable(id) = culprit {
                finding = finding.with_about(cable_name(facts, *id).text);
            }
            finding
        }
        Blame::Supply(_) => {
            let feed = first.drawing.of.feed(facts.model)?;
            let gives = format!("`{supply}` gives {}", volts(first.case.scene.volts));
            let label = format!("gives {}", volts(first.case.scene.volts));
            let mut finding = RULE.finds(format!("{gets}: {gives}"), feed.at, label);
            let needed =
                |low: &Low<'_>| power.source_volts(&low.case, low.drawing.branch, low.least);
            let needed: Option<Vec<f64>> = lows.iter().map(needed).collect();
            finding = finding.with_help(match needed {
                Some(all) => format!(
                    "feed `{name}` from a supply that never gives less than {}",
                    volts(round_up(all.into_iter().fold(0.0, f64::max)))
                ),
                None => format!("feed `{name}` from a supply of a higher voltage"),
            });
            finding
        }
    };
    finding = finding
        .with_other(first.needs.at, format!("{} {}", words(first.needs), volts(first.least)));
    if let Some((at, text)) = source_label(facts, power, &first.case) {
        finding = finding.with_other(at, text);
    }
    let mut told = vec![name];
    for low in lows.iter().skip(1) {
        let other = low.drawing.of.name(facts.model).text;
        if told.contains(&other) {
            continue;
        }
        told.push(other);
        if let Some(feed) = low.drawing.of.feed(facts.model) {
            finding = finding.with_other(feed.at, says(other, low));
        }
    }
    for name in told.into_iter().chain([supply]) {
        finding = finding.with_about(name);
    }
    Some(
        finding
            .with_why("below its voltage it stays silent or dark, or starts anew again and again, and that in an alarm with a low battery")
            .with_working(power.working(facts.model, first.drawing.branch, &first.case)),
    )
}

/// What wants more than an alternating supply gives: whatever the phases are, no load gets more.
fn alternating(
    facts: &Facts<'_, '_>,
    power: &Power<'_>,
    (least, most): (f64, f64),
    out: &mut Findings,
) {
    let supply = supply_name(facts, power).text;
    let mut told = Vec::new();
    for drawing in &power.drawings {
        let Some(needs) = drawing.least().filter(|needs| below(least, needs.volts)) else {
            continue;
        };
        let Some(feed) = drawing.of.feed(facts.model).filter(|_| drawing.is_ever_on()) else {
            continue;
        };
        if told.contains(&drawing.of) {
            continue;
        }
        told.push(drawing.of);
        let name = drawing.of.name(facts.model).text;
        let (gets, wants) = volts_apart(least, needs.volts);
        let range = match below(most, needs.volts) {
            true => format!("{} at most", volts(most)),
            false => format!("down to {gets}"),
        };
        let headline = format!("`{name}` {} {wants}: `{supply}` gives {range}", words(needs));
        let mut finding = RULE
            .finds(headline, feed.at, format!("gives {range}"))
            .with_other(needs.at, format!("{} {}", words(needs), volts(needs.volts)));
        if let Some(at) = gives_at(facts, power) {
            finding = finding.with_other(at, format!("gives {range}"));
        }
        out.push(
            finding
                .with_why("below its voltage it hums, stays silent or dark, and does not move")
                .with_help(format!(
                    "feed `{name}` from a supply that never gives less than {wants}"
                ))
                .with_about(name)
                .with_about(supply),
        );
    }
}

fn words(needs: Least) -> &'static str {
    if needs.pulls_in { "pulls in at" } else { "works from" }
}

/// V that a cable takes on the way to a drawing.
fn drop(power: &Power<'_>, culprit: Culprit, low: &Low<'_>) -> f64 {
    let pieces = power.pieces(culprit);
    let way = power.way(low.drawing.branch).into_iter().filter(|index| pieces.contains(index));
    let each = way.filter_map(|index| {
        let branch = power.branches.get(index)?;
        Some(low.case.amps(index)? * branch.ohm(low.case.scene.celsius))
    });
    each.sum()
}
