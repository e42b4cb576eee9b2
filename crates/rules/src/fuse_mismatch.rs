//! A fuse that blows in operation, or that does not protect the cable behind it.

use crate::conductor_overcurrent::overcurrent;
use crate::rule::{Family, Findings, Rule};
use crate::runs::{cable_name, cabling, carries, owner, run_words, supply_name};
use crate::words::{amps, amps_apart};
use curtilage_circuit::limit::above;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Branch, BranchOf, Facts, Fuse, FuseOf, Power};
use curtilage_model::CableId;
use std::borrow::Cow;

pub(crate) static RULE: Rule = Rule {
    name: "fuse-mismatch",
    family: Family::Power,
    level: Level::Error,
    about: "a fuse is smaller than the current it carries, or larger than the cable behind it",
    page: include_str!("fuse_mismatch.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        for fuse in power.fuses(facts.model) {
            // A cable that carries too much is told by its own rule, whatever its fuse.
            if fuse.protects.iter().any(|index| overcurrent(power, *index).is_some()) {
                continue;
            }
            if let Some(finding) = too_small(facts, power, &fuse) {
                out.push(finding);
                continue;
            }
            let mut told: Vec<CableId> = Vec::new();
            for index in &fuse.protects {
                if let Some(BranchOf::Tap(id, _)) = power.branches.get(*index).map(|b| b.of) {
                    if told.contains(&id) {
                        continue;
                    }
                    told.push(id);
                }
                out.list.extend(too_large(facts, power, &fuse, *index));
            }
        }
    }
}

/// Whose fuse it is.
fn whose<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, fuse: &Fuse) -> &'a str {
    match fuse.of {
        FuseOf::Supply => supply_name(facts, power).text,
        FuseOf::Branch(index) => {
            power.branches.get(index).map_or("", |branch| owner(facts, branch))
        }
    }
}

/// The fuse blows in operation.
fn too_small<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, fuse: &Fuse) -> Option<Diagnostic> {
    let flows = fuse.flows.filter(|flows| above(*flows, fuse.amps))?;
    let name = whose(facts, power, fuse);
    let (through, case) = match fuse.of {
        FuseOf::Supply => (None, Cow::Borrowed(power.most_source_amps()?.1)),
        FuseOf::Branch(index) => (Some(index), power.most_amps(index)?.1),
    };
    let (rated, has_to) = amps_apart(fuse.amps, flows);
    let headline = format!("the fuse of `{name}`, {rated}, has to carry {has_to}");
    let help = larger(facts, power, fuse, flows);
    Some(
        RULE.finds(headline, fuse.at, format!("blows at {}", amps(flows)))
            .with_why("it blows when everything is on, which is in an alarm")
            .with_help(help)
            .with_working([power.currents(facts.model, &case, through)])
            .with_about(name),
    )
}

/// A larger fuse, and fuses of their own for what it would not protect; or that no fuse fits.
fn larger(facts: &Facts<'_, '_>, power: &Power<'_>, fuse: &Fuse, flows: f64) -> String {
    let next = RATINGS.iter().copied().find(|rating| !above(flows, *rating));
    let rating = next.unwrap_or_else(|| flows.ceil());
    let mut out = match next {
        Some(rating) => format!("fuse  {}", amps(rating)),
        None => format!("a fuse of {} or more", amps(rating)),
    };
    // Where a fuse was put, and its rating.
    let mut put: Vec<(usize, f64)> = Vec::new();
    for index in &fuse.protects {
        let Some(branch) = power.branches.get(*index) else { continue };
        let Some((limit, _)) = branch.limit().filter(|(limit, _)| above(rating, *limit)) else {
            continue;
        };
        if put.iter().any(|(at, amps)| !above(*amps, limit) && is_behind(power, *index, *at)) {
            continue;
        }
        let start = start(power, *index);
        let flows = power.most_amps(start).map_or(0.0, |(amps, _)| amps);
        match protecting(flows, limit).filter(|_| !is_own(power, fuse, *index)) {
            Some(rating) => {
                let (whose, rated) = (owner(facts, branch), amps(rating));
                out.push_str(&format!(
                    "\nand give `{whose}` a fuse of its own, since its cable {}: `fuse  {rated}`",
                    carries(limit)
                ));
                put.push((start, rating));
            }
            None => {
                return format!(
                    "no fuse fits: the cable behind it {}; a thicker cable first",
                    carries(limit)
                );
            }
        }
    }
    out
}

/// The largest fuse that can be bought which carries a current and protects a cable.
fn protecting(flows: f64, limit: f64) -> Option<f64> {
    let fits = |rating: &f64| !above(flows, *rating) && !above(*rating, limit);
    RATINGS.iter().copied().rev().find(fits)
}

/// Where the fuse of a piece sits: at the start of its cable.
fn start(power: &Power<'_>, index: usize) -> usize {
    let of = power.branches.get(index).map(|branch| branch.of);
    let Some(BranchOf::Tap(id, _)) = of else { return index };
    let starts = |branch: &Branch<'_>| matches!(branch.of, BranchOf::Start(of) if of == id);
    power.branches.iter().position(starts).unwrap_or(index)
}

fn is_behind(power: &Power<'_>, index: usize, at: usize) -> bool {
    let parent = |index: &usize| power.branches.get(*index)?.parent;
    std::iter::successors(Some(index), parent).any(|one| one == at)
}

/// Whether a fuse is that of a piece: the thing's own, or its cable's.
fn is_own(power: &Power<'_>, fuse: &Fuse, index: usize) -> bool {
    matches!(fuse.of, FuseOf::Branch(at) if at == start(power, index))
}

/// The fuse does not protect a cable behind it.
fn too_large<'a>(
    facts: &Facts<'_, 'a>,
    power: &Power<'a>,
    fuse: &Fuse,
    index: usize,
) -> Option<Diagnostic> {
    let branch = power.branches.get(index)?;
    let cable = cabling(branch)?;
    let (limit, limit_at) = branch.limit()?;
    if !above(fuse.amps, limit) {
        return None;
    }
    let (name, behind) = (whose(facts, power, fuse), owner(facts, branch));
    let words = match branch.of {
        BranchOf::Tap(id, _) => format!("cable `{}`", cable_name(facts, id).text),
        _ => format!("{} to `{behind}`", run_words(facts, cable)),
    };
    let headline = format!(
        "the fuse of `{name}`, {}, does not protect {words}, which {}",
        amps(fuse.amps),
        carries(limit)
    );
    let flows = power.most_amps(index).map_or(0.0, |(amps, _)| amps);
    let own = is_own(power, fuse, index);
    let help = match protecting(flows, limit) {
        Some(rating) if own => format!("fuse  {}", amps(rating)),
        Some(rating) => format!("give `{behind}` a fuse of its own: `fuse  {}`", amps(rating)),
        None => format!("a cable that carries {}", amps(fuse.amps)),
    };
    let finding = if own {
        RULE.finds(headline, fuse.at, format!("blows above {}", amps(fuse.amps)))
            .with_other(cable.at(), carries(limit))
    } else {
        RULE.finds(headline, cable.at(), carries(limit))
            .with_other(fuse.at, format!("the fuse before it: {}", amps(fuse.amps)))
    };
    let mut finding = finding
        .with_other(limit_at, format!("at most {}", amps(limit)))
        .with_why("when the wires touch, the cable burns before the fuse blows")
        .with_help(help)
        .with_about(name);
    if behind != name {
        finding = finding.with_about(behind);
    }
    Some(finding)
}

/// Rated currents of fuses that can be bought, A (common practice, no source).
const RATINGS: &[f64] = &[
    0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.0, 3.15,
    4.0, 5.0, 6.0, 6.3, 8.0, 10.0, 12.5, 16.0, 20.0, 25.0, 32.0,
];
