//! A supply, or an outlet of a controller, that has to give more than it is rated for.

use crate::rule::{Family, Findings, Rule};
use crate::runs::supply_name;
use crate::words::{amps, amps_apart};
use curtilage_circuit::limit::{above, below};
use curtilage_diagnostic::Level;
use curtilage_facts::{BranchOf, Drawing, Facts, Power};
use curtilage_model::{Model, PartId};
use curtilage_syntax::tree::part;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "supply-overload",
    family: Family::Power,
    level: Level::Error,
    about: "a supply or an outlet has to give more current than it is rated for",
    page: include_str!("supply_overload.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        supply(facts, power, out);
        for index in 0..power.branches.len() {
            outlet(facts, power, index, out);
        }
    }
}

/// Whether a supply has to give more than it is rated for: how much, and its rating.
pub(crate) fn overload(power: &Power<'_>) -> Option<(f64, f64, Place)> {
    let (rated, at) = power.rated?;
    let (most, _) = power.most_source_amps()?;
    above(most, rated).then_some((most, rated, at))
}

fn supply<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, out: &mut Findings) {
    let Some((most, rated, rated_at)) = overload(power) else { return };
    let Some((_, case)) = power.most_source_amps() else { return };
    let name = supply_name(facts, power);
    let (gives, least) = amps_apart(most, rated);
    let headline = format!("`{}` has to give {gives}, rated {least}", name.text);
    let mut finding = RULE
        .finds(headline, name.at, format!("gives up to {}", amps(most)))
        .with_other(rated_at, format!("rated {}", amps(rated)))
        .with_why(
            "its voltage breaks down or its fuse blows when everything is on, which is in an alarm",
        )
        .with_working([power.currents(facts.model, case, None)])
        .with_about(name.text);
    // What the policy wants to stay unused is kept.
    let policy = facts.model.policy.as_ref();
    let spare = policy.and_then(|policy| policy.tree.spare).map_or(0.0, |spare| spare.value.value);
    for help in larger(facts.model, power, spare) {
        finding = finding.with_help(help);
    }
    out.push(finding);
}

/// A larger supply from the parts in scope, of which a share stays unused, as text to type.
pub(crate) fn larger(model: &Model<'_>, power: &Power<'_>, spare: f64) -> Vec<String> {
    let supply = model.supply(power.supply);
    let name = supply.map_or("", |supply| supply.name.text);
    let less = "take loads off it: feed some of them from another supply".to_owned();
    let own =
        supply.and_then(|supply| supply.part).and_then(|part| Some((part.sheet.gives?, part)));
    let Some((own, own_part)) = own else { return vec![less] };
    let battery = supply.is_some_and(|supply| supply.tree.battery.is_some());
    let mut fits: Vec<(f64, PartId)> = Vec::new();
    for (index, part) in model.parts.iter().enumerate() {
        let part::Body::Supply(sheet) = part.body else { continue };
        let (Some(gives), Some(most), Some(id)) = (sheet.gives, sheet.most, model.part_id(index))
        else {
            continue;
        };
        let same_kind = sheet.kind.map(|kind| kind.value) == own_part.sheet.kind.map(|k| k.value);
        let same = gives.value.low >= own.value.low && gives.value.high <= own.value.high;
        let larger = power.rated.is_none_or(|(rated, _)| most.value > rated);
        if larger && same_kind && same && carries(power, sheet, battery, most.value * (1.0 - spare))
        {
            fits.push((most.value, id));
        }
    }
    fits.sort_by(|a, b| {
        a.0.total_cmp(&b.0).then_with(|| model.part_name(a.1).cmp(model.part_name(b.1)))
    });
    let mut out: Vec<String> = Vec::new();
    if let Some((_, part)) = fits.first() {
        out.push(format!("a larger supply: `supply {name} is {}`", model.part_name(*part)));
    }
    out.push(less);
    out
}

/// Whether everything works behind another supply that may give so much: its internal resistance takes
/// no voltage that something needs.
fn carries(power: &Power<'_>, sheet: &part::Supply, battery: bool, most: f64) -> bool {
    let Some(other) = power.fed_by(sheet, battery) else { return false };
    let stands = [&other.worst, &other.quiet, &other.loud, &other.best]
        .into_iter()
        .all(|case| case.as_ref().is_ok_and(|case| case.source_amps().is_some()));
    let low = |power: &Power<'_>, drawing: &Drawing| {
        let lowest = power.lowest(drawing).ok().flatten().map(|(volts, _)| volts);
        let needs = drawing.least().map(|needs| needs.volts);
        lowest.zip(needs).is_some_and(|(volts, needs)| below(volts, needs))
    };
    let worse = |drawing: &Drawing| low(&other, drawing) && !low(power, drawing);
    let gives = other.most_source_amps();
    stands
        && gives.is_some_and(|(gives, _)| !above(gives, most))
        && !power.drawings.iter().any(worse)
}

/// An outlet of a controller.
fn outlet<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, index: usize, out: &mut Findings) {
    let Some(branch) = power.branches.get(index) else { return };
    let BranchOf::Outlet(terminal) = branch.of else { return };
    let Some((rated, rated_at)) = branch.limit() else { return };
    let Some((most, case)) = power.most_amps(index) else { return };
    if !above(most, rated) {
        return;
    }
    // The words that name the outlet, where something is fed from it.
    let users = power.branches.iter().filter(|user| user.parent == Some(index));
    let mut users: Vec<Place> = users
        .filter_map(|user| match user.of {
            BranchOf::Feed(consumer) => Some(consumer.feed(facts.model)?.at),
            BranchOf::Start(id) => {
                let cable = facts.model.cable(id)?;
                Some(Place::new(cable.name.at.file, cable.tree.from?.span()))
            }
            _ => None,
        })
        .collect();
    users.sort();
    let Some((first, others)) = users.split_first() else { return };
    let name = facts.model.terminal_name(&terminal);
    let (gives, least) = amps_apart(most, rated);
    let headline = format!("outlet `{name}` has to give {gives}, rated {least}");
    let mut finding = RULE
        .finds(headline, *first, "fed from here")
        .with_other(rated_at, format!("rated {}", amps(rated)))
        .with_why("the outlet switches itself off or its voltage breaks down, and all that it feeds with it")
        .with_help("feed some of it from another outlet, or from the supply itself")
        .with_working([power.currents(facts.model, &case, Some(index))])
        .with_about(facts.model.controller(terminal.controller).map_or("", |c| c.name.text));
    for other in others {
        finding = finding.with_other(*other, "and from here");
    }
    out.push(finding);
}
