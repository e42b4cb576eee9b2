//! A cable behind which no working voltage is left.

use crate::rule::{Family, Findings, Rule};
use crate::runs::{
    cable_name, cabling, culprit_words, mend_words, owner, source_label, supply_name,
};
use crate::words::and_list;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{BranchOf, Came, Case, Culprit, Drawing, Facts, Power};
use curtilage_text::Place;
use std::collections::BTreeMap;

pub(crate) static RULE: Rule = Rule {
    name: "voltage-collapse",
    family: Family::Power,
    level: Level::Error,
    about: "a cable cannot carry the power that its loads want: the voltage collapses",
    page: include_str!("voltage_collapse.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        if let Some(case) = power.collapse() {
            out.list.extend(finding(facts, power, case));
        }
    }
}

/// The cable to blame: of those without whose resistance all would work the one that has most of
/// it; when none alone is to blame, the one that has most of all.
fn culprit<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, case: &Case) -> Option<Culprit> {
    let mut found: BTreeMap<Culprit, (f64, &str)> = BTreeMap::new();
    for (index, branch) in power.branches.iter().enumerate().filter(|(_, b)| cabling(b).is_some()) {
        let culprit = match branch.of {
            BranchOf::Tap(cable, _) => Culprit::Cable(cable),
            _ => Culprit::Run(index),
        };
        let entry = found.entry(culprit).or_insert((0.0, owner(facts, branch)));
        entry.0 += branch.ohm(case.scene.celsius);
    }
    let mut found: Vec<(Culprit, (f64, &str))> = found.into_iter().collect();
    // Of equals the name decides, so that the order of the file does not.
    found.sort_by(|(_, a), (_, b)| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    let alone = found.iter().find(|(culprit, _)| {
        let pieces = power.pieces(*culprit);
        let without = |branch: usize| pieces.contains(&branch).then_some(0.0);
        let works = power.again(&case.scene, without);
        works.is_ok_and(|case| matches!(*case.came, Came::Solved { .. }))
    });
    alone.or(found.first()).map(|(culprit, _)| *culprit)
}

/// Ohms from the supply to a load.
fn way_ohm(power: &Power<'_>, case: &Case, load: &Drawing) -> f64 {
    let way = power.way(load.branch);
    let way = way.iter().filter_map(|index| power.branches.get(*index));
    way.map(|branch| branch.ohm(case.scene.celsius)).sum()
}

fn finding<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, case: &Case) -> Option<Diagnostic> {
    let supply = supply_name(facts, power);
    let Some(culprit) = culprit(facts, power, case) else {
        let headline = format!(
            "the voltage of `{}` collapses: its loads want more than it can give",
            supply.text
        );
        let finding = RULE.finds(headline, supply.at, "no working voltage");
        return Some(
            finding
                .with_why(why(power.drawings.iter(), case, "inside the supply"))
                .with_help("take loads off it, or use a supply of a lower internal resistance")
                .with_working(power.collapse_working(facts.model, case, None))
                .with_about(supply.text),
        );
    };
    let pieces = power.pieces(culprit);
    let behind = |drawing: &&Drawing| {
        case.scene.is_on(drawing)
            && power.way(drawing.branch).iter().any(|index| pieces.contains(index))
    };
    let mut loads: Vec<&Drawing> = power.drawings.iter().filter(behind).collect();
    let name_of = |load: &Drawing| load.of.name(facts.model).text;
    // What pulls the voltage down stands for all of them: the most power, then the longest way.
    loads.sort_by(|a, b| {
        let watts = |load: &Drawing| load.constant_power().unwrap_or(0.0);
        let most = watts(b).total_cmp(&watts(a));
        let far = way_ohm(power, case, b).total_cmp(&way_ohm(power, case, a));
        most.then(far).then(name_of(a).cmp(name_of(b)))
    });
    let (at, words) = culprit_words(facts, power, culprit)?;
    let first = loads.first()?;
    let name = name_of(first);
    let headline =
        format!("the voltage of `{name}` collapses: {words} cannot carry what is asked of it");
    let low: Vec<(&Case, usize, f64)> = loads
        .iter()
        .map(|load| (case, load.branch, load.least().map_or(0.0, |least| least.volts)))
        .collect();
    let mend = power.mend(facts.model, culprit, &low);
    let mut finding = RULE
        .finds(headline, at, "no working voltage is left behind it")
        .with_why(why(loads.iter().copied(), case, "on the way"))
        .with_working(power.collapse_working(facts.model, case, Some(first.branch)));
    let mut told: Vec<Place> = Vec::new();
    for load in &loads {
        if told.contains(&load.at) {
            continue;
        }
        told.push(load.at);
        let same = loads.iter().filter(|other| other.at == load.at);
        let mut names: Vec<&str> = same.map(|same| same.of.name(facts.model).text).collect();
        names.dedup();
        let verb = if names.len() == 1 { "draws" } else { "draw" };
        finding = finding.with_other(load.at, format!("{} {verb} this", and_list(names)));
    }
    if let Some((at, text)) = source_label(facts, power, case) {
        finding = finding.with_other(at, text);
    }
    for help in mend_words(facts, power, culprit, &mend) {
        finding = finding.with_help(help);
    }
    let mut names: Vec<&str> = loads.iter().map(|load| name_of(load)).collect();
    if let Culprit::Cable(id) = culprit {
        names.push(cable_name(facts, id).text);
    }
    names.push(supply.text);
    names.dedup();
    for name in names {
        finding = finding.with_about(name);
    }
    Some(finding)
}

/// Why it matters: loads of constant power pull each other down, others just want too much.
fn why<'p>(mut loads: impl Iterator<Item = &'p Drawing>, case: &Case, place: &str) -> String {
    if loads.any(|load| case.scene.is_on(load) && load.constant_power().is_some()) {
        return "a load of constant power draws the more the less voltage it gets; past the limit the current only heats the cable, and everything on it fails at once".to_owned();
    }
    format!(
        "the current that is asked for would take more volts {place} than there are: what hangs behind it stays silent or dark"
    )
}
