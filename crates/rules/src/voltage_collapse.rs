//! A cable behind which no working voltage is left.

use crate::rule::{Family, Findings, Rule};
use crate::runs::{cable_name, cabling, culprit_words, mend_words, source_label, supply_name};
use crate::words::and_list;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{BranchOf, Came, Case, Culprit, Drawing, Facts, Power};
use curtilage_text::Place;

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
        // Nothing on is the lighter case: when that collapses, the other one does too.
        let cases = [&power.quiet, &power.worst].into_iter().filter_map(|case| case.as_ref().ok());
        let found = cases.into_iter().find_map(|case| match case.came {
            Came::Collapsed(branch) => Some((case, branch)),
            Came::Solved { .. } => None,
        });
        if let Some((case, branch)) = found {
            out.list.extend(finding(facts, power, case, branch));
        }
    }
}

/// The cable of most resistance on the way to where the collapse was seen.
fn culprit(power: &Power<'_>, case: &Case, branch: usize) -> Option<Culprit> {
    let mut sums: Vec<(Culprit, f64)> = Vec::new();
    for index in power.way(branch) {
        let Some(found) = power.branches.get(index).filter(|branch| cabling(branch).is_some()) else {
            continue;
        };
        let culprit = match found.of {
            BranchOf::Tap(cable, _) => Culprit::Cable(cable),
            _ => Culprit::Run(index),
        };
        let ohm = found.ohm(case.scene.celsius);
        match sums.iter_mut().find(|(known, _)| *known == culprit) {
            Some((_, sum)) => *sum += ohm,
            None => sums.push((culprit, ohm)),
        }
    }
    sums.into_iter().reduce(|most, one| if one.1 > most.1 { one } else { most }).map(|most| most.0)
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    power: &Power<'a>,
    case: &Case,
    branch: Option<usize>,
) -> Option<Diagnostic> {
    let supply = supply_name(facts, power);
    let culprit = branch.and_then(|branch| culprit(power, case, branch));
    let Some(culprit) = culprit else {
        let headline = format!("the voltage of `{}` collapses: its loads want more than it can give", supply.text);
        let finding = RULE.finds(headline, supply.at, "no working voltage");
        return Some(
            finding
                .with_why(WHY)
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
    let loads: Vec<&Drawing> = power.drawings.iter().filter(behind).collect();
    let (at, words) = culprit_words(facts, power, culprit)?;
    let seen = branch.and_then(|branch| loads.iter().find(|load| load.branch == branch));
    let name = seen.or(loads.first()).map_or("", |load| load.of.name(facts.model).text);
    let headline = format!("the voltage of `{name}` collapses: {words} cannot carry what is asked of it");
    let low: Vec<(usize, f64)> = loads
        .iter()
        .map(|load| (load.branch, load.works.map_or(0.0, |(works, _)| works.low)))
        .collect();
    let mend = power.mend(facts.model, culprit, case, &low);
    let mut finding = RULE
        .finds(headline, at, "no working voltage is left behind it")
        .with_why(WHY)
        .with_working(power.collapse_working(facts.model, case, branch));
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
    let mut names: Vec<&str> = loads.iter().map(|load| load.of.name(facts.model).text).collect();
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

const WHY: &str = "a load of constant power draws the more the less voltage it gets; past the limit the current only heats the cable, and everything on it fails at once";
