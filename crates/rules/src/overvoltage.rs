//! A load that gets more voltage than it stands.

use crate::rule::{Family, Findings, Rule};
use crate::runs::supply_name;
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
    case: Case,
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
    let (volts, case) = power.highest(drawing).ok()??;
    above(volts, works.high).then_some(High { drawing, volts, most: works.high, works: at, case })
}

fn finding<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>, high: &High<'_>, out: &mut Findings) {
    let Some(feed) = high.drawing.of.feed(facts.model) else { return };
    let name = high.drawing.of.name(facts.model).text;
    let supply = supply_name(facts, power).text;
    let (gets, works) = volts_apart(high.volts, high.most);
    let headline = format!("`{name}` gets up to {gets}, works to {works}");
    let mut finding = RULE
        .finds(headline, feed.at, format!("gives up to {}", volts(high.case.scene.volts)))
        .with_other(high.works, format!("works to {}", volts(high.most)))
        .with_why("it gets hot, fails before its time, or burns out")
        .with_help(format!(
            "feed `{name}` from a supply that never gives more than {}",
            volts(high.most)
        ))
        .with_working(power.working(facts.model, high.drawing.branch, &high.case))
        .with_about(name)
        .with_about(supply);
    if let Some(at) = power.volts_at(facts.model, &high.case) {
        let text = format!("gives {}", volts(high.case.scene.volts));
        finding = finding.with_other(at, text);
    }
    out.push(finding);
}
