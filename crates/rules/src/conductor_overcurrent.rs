//! A cable whose cores carry more current than they may.

use crate::rule::{Family, Findings, Rule};
use crate::runs::{cable_name, cabling, carries, owner, run_words, thicker_cable, thicker_run};
use crate::words::{amps, amps_apart};
use curtilage_circuit::conductor::Conductor;
use curtilage_circuit::limit::above;
use curtilage_diagnostic::Level;
use curtilage_facts::{BranchOf, Cabling, Culprit, Facts, Power, conductor, has_cores};
use curtilage_model::{CableId, Model, PartId};
use curtilage_syntax::tree::part;

pub(crate) static RULE: Rule = Rule {
    name: "conductor-overcurrent",
    family: Family::Power,
    level: Level::Error,
    about: "a cable carries more current than its cores may",
    page: include_str!("conductor_overcurrent.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        let mut told: Vec<CableId> = Vec::new();
        for index in 0..power.branches.len() {
            let Some(cable) = tapped(power, index) else {
                finding(facts, power, index, out);
                continue;
            };
            if told.contains(&cable) {
                continue;
            }
            told.push(cable);
            // Of the pieces of a cable the one that carries the most.
            let pieces = power.pieces(Culprit::Cable(cable)).into_iter();
            let amps = |piece: &usize| power.most_flow(*piece).unwrap_or(0.0);
            if let Some(most) = pieces.max_by(|a, b| amps(a).total_cmp(&amps(b))) {
                finding(facts, power, most, out);
            }
        }
    }
}

fn tapped(power: &Power<'_>, index: usize) -> Option<CableId> {
    match power.branches.get(index)?.of {
        BranchOf::Tap(cable, _) => Some(cable),
        _ => None,
    }
}

/// The current in a piece of cable and what it may carry, when it is too much.
pub(crate) fn overcurrent(power: &Power<'_>, index: usize) -> Option<(f64, f64)> {
    let branch = power.branches.get(index)?;
    cabling(branch)?;
    let (limit, _) = branch.limit()?;
    let most = power.most_flow(index)?;
    above(most, limit).then_some((most, limit))
}

fn finding<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, index: usize, out: &mut Findings) {
    let Some((most, limit)) = overcurrent(power, index) else { return };
    let Some(branch) = power.branches.get(index) else { return };
    let (Some(cable), Some((_, limit_at))) = (cabling(branch), branch.limit()) else { return };
    let Some((_, case)) = power.most_amps(index) else { return };
    let owner = owner(facts, branch);
    let (at, words) = match branch.of {
        BranchOf::Tap(id, _) => (cable.named, format!("cable `{}`", cable_name(facts, id).text)),
        _ => (cable.at(), format!("{} to `{owner}`", run_words(facts, cable))),
    };
    let (flows, carry) = amps_apart(most, limit);
    let headline = format!("{words} carries {flows}, its cores carry {carry}");
    let each = match cable.cores {
        1 => String::new(),
        cores => format!(" a core, {cores} each way"),
    };
    let core = cable.part.sheet.most.map_or(limit, |most| most.value);
    let mut finding = RULE
        .finds(headline, at, carries(most))
        .with_other(limit_at, format!("at most {}{each}", amps(core)))
        .with_why("a cable that carries too much gets hot until its insulation softens, and that inside a wall")
        .with_working([power.currents(facts.model, &case, Some(index))])
        .with_about(owner);
    let part = thick_enough(facts.model, cable, most, cable.cores);
    let part = part.map(|part| (facts.model.part_name(part), cable.cores)).or_else(|| {
        let part = thick_enough(facts.model, cable, most, 1)?;
        Some((facts.model.part_name(part), 1))
    });
    finding = finding.with_help(match (part, branch.of) {
        (Some((part, cores)), BranchOf::Tap(id, _)) => {
            thicker_cable(cable_name(facts, id).text, part, cores, cable)
        }
        (Some((part, cores)), _) => {
            thicker_run(facts.model.text(cable.length_at), part, cores, cable)
        }
        (None, _) => format!("a cable whose cores carry {}", amps(most)),
    });
    out.push(finding);
}

/// The thinnest cable part in scope that carries a current with so many cores each way, and has no more
/// resistance than what is wired.
fn thick_enough(model: &Model<'_>, wired: &Cabling<'_>, most: f64, cores: u32) -> Option<PartId> {
    let ohm = |conductor: Conductor, cores: u32| conductor.ohm_per_m_at_20() / f64::from(cores);
    let now = ohm(wired.conductor, wired.cores);
    let mut fits: Vec<(f64, PartId)> = Vec::new();
    for (index, part) in model.parts.iter().enumerate() {
        let part::Body::Cable(sheet) = part.body else { continue };
        let (Some(carries), Some(id)) = (sheet.most, model.part_id(index)) else { continue };
        let thick = conductor(sheet).is_some_and(|conductor| ohm(conductor, cores) <= now);
        if thick && has_cores(sheet, cores) && !above(most, carries.value * f64::from(cores)) {
            fits.push((carries.value, id));
        }
    }
    fits.sort_by(|a, b| {
        a.0.total_cmp(&b.0).then_with(|| model.part_name(a.1).cmp(model.part_name(b.1)))
    });
    fits.first().map(|(_, id)| *id)
}
