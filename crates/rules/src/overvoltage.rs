//! A load that gets more voltage than it stands.

use crate::rule::{Family, Findings, Rule};
use crate::runs::{gives_at, supply_name};
use crate::words::{volts, volts_apart};
use curtilage_circuit::limit::above;
use curtilage_diagnostic::Level;
use curtilage_facts::{Case, Consumer, Drawing, Facts, Power};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "overvoltage",
    family: Family::Power,
    level: Level::Error,
    about: "a load gets more voltage than it stands",
    page: include_str!("overvoltage.md"),
    from_absence: false,
    check,
};

struct High<'p> {
    drawing: &'p Drawing,
    volts: f64,
    most: f64,
    works: Place,
    /// What the supply gives, V.
    gives: f64,
    /// None for alternating current, of which only the least that it gets is known.
    case: Option<Case>,
}

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for power in &facts.power {
        let mut told: Vec<Consumer> = Vec::new();
        let mut highs: Vec<High<'_>> =
            power.drawings.iter().filter_map(|drawing| high(power, drawing)).collect();
        // Of several loads of one output the one that is worst off.
        highs.sort_by(|a, b| (b.volts / b.most).total_cmp(&(a.volts / a.most)));
        for high in &highs {
            if !told.contains(&high.drawing.of) {
                told.push(high.drawing.of);
                finding(facts, power, high, out);
            }
        }
    }
}

fn high<'p>(power: &'p Power<'_>, drawing: &'p Drawing) -> Option<High<'p>> {
    let (works, at) = drawing.works?;
    // No load gets more than the supply gives: only then it is worth solving a case for it.
    if power.volts.as_ref().ok()?.hi() <= works.high {
        return None;
    }
    let (volts, gives, case) = match power.alternating() {
        Some((_, gives)) => {
            let volts = power.alternating_at_least(drawing).filter(|_| drawing.is_ever_on())?;
            (volts, gives, None)
        }
        None => {
            let (volts, case) = power.highest(drawing).ok()??;
            (volts, case.scene.volts, Some(case))
        }
    };
    let high = High { drawing, volts, most: works.high, works: at, gives, case };
    above(volts, works.high).then_some(high)
}

fn finding<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, high: &High<'_>, out: &mut Findings) {
    let Some(feed) = high.drawing.of.feed(facts.model) else { return };
    let name = high.drawing.of.name(facts.model).text;
    let supply = supply_name(facts, power).text;
    let (gets, works) = volts_apart(high.volts, high.most);
    let headline = match high.case {
        Some(_) => format!("`{name}` gets up to {gets}, works to {works}"),
        None => format!("`{name}` gets {gets} or more at times, works to {works}"),
    };
    let mut finding = RULE
        .finds(headline, feed.at, format!("gives up to {}", volts(high.gives)))
        .with_other(high.works, format!("works to {}", volts(high.most)))
        .with_why("it gets hot, fails before its time, or burns out")
        .with_help(format!(
            "feed `{name}` from a supply that never gives more than {}",
            volts(high.most)
        ))
        .with_about(name)
        .with_about(supply);
    if let Some(case) = &high.case {
        finding = finding.with_working(power.working(facts.model, high.drawing.branch, case));
        if let Some(at) = power.volts_at(facts.model, case) {
            finding = finding.with_other(at, format!("gives {}", volts(high.gives)));
        }
    } else if let Some(at) = gives_at(facts, power) {
        finding = finding.with_other(at, format!("gives up to {}", volts(high.gives)));
    }
    out.push(finding);
}
