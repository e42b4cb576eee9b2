//! A fact that has to be said and is not.

use crate::rule::{Family, Findings, Rule};
use crate::runs::each_run;
use crate::standby_too_short::battery_at;
use crate::words::{hours_of, policy_source};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Standby};
use curtilage_model::{Fault, FaultKind, Kind, Zone};
use curtilage_syntax::tree::part::Repeats;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "missing-fact",
    family: Family::Text,
    level: Level::Error,
    about: "a fact that has to be said is not",
    page: include_str!("missing_fact.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for fault in &model.faults {
        let FaultKind::MissingFact { thing, what, consequence, name } = &fault.kind else {
            continue;
        };
        let word = what.split(' ').next().unwrap_or(what);
        if word == "site" && facts.doubt.mentions("site") {
            continue;
        }
        let (headline, label) = match word {
            // A response without an effect lacks no single word.
            "close" => (format!("{thing} does nothing"), "no effect".to_owned()),
            // It is not the thing that lacks it.
            "site" => ("this file has no `site`".to_owned(), format!("{thing} needs one")),
            // The words of a law, which says how the figure of a voltage turns into that of another.
            "at" => (
                format!("{thing} does not say at which voltage it draws that"),
                "needs the voltage of the figure".to_owned(),
            ),
            _ => (format!("{thing} does not say `{word}`"), format!("`{word}` is missing")),
        };
        let help = if word == "at" {
            let law = model.text(fault.at);
            format!("CURRENT|POWER at VOLTAGE, {law}")
        } else {
            what.replacen(' ', "  ", 1)
        };
        let finding = RULE.finds(headline, fault.at, label).with_why(*consequence).with_help(help);
        // A response may have no name.
        out.push(if name.is_empty() { finding } else { finding.with_about(name.as_str()) });
    }
    registers(facts, out);
    joints(facts, out);
    out.list.extend(facts.standby.iter().flatten().filter_map(|of| battery(facts, of)));
}

/// How often a zone registers, where its controller leaves that to it.
fn registers(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for zone in &model.zones {
        if let Some(finding) = tamper(facts, zone) {
            out.push(finding);
        }
        let part = model.input_part(zone);
        let Some((part, repeats)) = part.and_then(|part| Some((part, part.sheet.repeats?))) else {
            continue;
        };
        if repeats.value != Repeats::AsTheZoneSays || zone.tree.registers.is_some() {
            continue;
        }
        let name = zone.name.text;
        out.push(
            RULE.finds(
                format!("zone `{name}` does not say `registers`"),
                zone.name.at,
                "`registers` is missing",
            )
            .with_other(part.place(repeats.span), "this controller leaves it to the zone")
            .with_why("how often a held contact registers is not known")
            .with_help("registers  once an activation | while active")
            .with_about(name),
        );
    }
}

/// Whether a limit of the policy may be said where it cannot be read: in the policy, in a line that
/// stands in no block, or in a second policy, of which nothing counts.
fn policy_in_doubt(facts: &Facts<'_, '_>, limit: &str) -> bool {
    let policy = facts.model.policy.as_ref();
    let second = |fault: &Fault| {
        matches!(&fault.kind, FaultKind::DuplicateName { second: Kind::Policy, .. })
    };
    policy.is_some_and(|policy| facts.doubt.holds(policy.name.at))
        || facts.doubt.about_any("policy")
        || facts.doubt.mentions(limit)
        || facts.model.faults.iter().any(second)
}

/// Joints of which neither the run nor a policy says the resistance.
fn joints(facts: &Facts<'_, '_>, out: &mut Findings) {
    let policy = facts.model.policy.as_ref();
    let said = policy.is_some_and(|policy| policy.tree.joint.is_some());
    let unread = policy_in_doubt(facts, "joint") || facts.doubt.missing_file();
    if said || unread {
        return;
    }
    each_run(facts.model, |name, run| {
        let (Some(joints), None) = (run.tree.joints, run.tree.joint) else { return };
        let at = Place::new(name.at.file, joints.span);
        let (count, word) = (joints.value, if joints.value == 1 { "joint" } else { "joints" });
        out.push(
            RULE.finds(
                format!("a run of `{}` has {count} {word}, and nothing says their resistance", name.text),
                at,
                "counts as 0 ohm",
            )
            .with_why("voltages and loops are worked out as if the cable had no joint: they are better on paper than on site")
            .with_help(format!("{count} {word} of RESISTANCE, or in the policy, for all of them: `joint  RESISTANCE`"))
            .with_about(name.text),
        );
    });
}

/// A battery whose figures are enough for no model, where the policy says how long it has to last.
fn battery(facts: &Facts<'_, '_>, standby: &Standby<'_>) -> Option<Diagnostic> {
    let model = facts.model;
    let policy = model.policy.as_ref()?;
    let (asked, limit_at) = standby.standby.or(standby.alarm_time)?;
    let limit = policy.tree.standby.or(policy.tree.alarm_time)?;
    standby.wells.as_ref().err()?;
    let sheet = standby.battery.sheet;
    // What its sheet lacks altogether, or says wrong, is told there.
    let holds = sheet.holds.first().filter(|_| sheet.contradiction().is_none())?;
    let part = model.parts.get(standby.battery.id.index())?.name;
    if facts.doubt.holds(part.at) || policy_in_doubt(facts, "peukert") {
        return None;
    }
    let supply = model.supply(standby.supply)?;
    let gives = |hours| standby.at_rate(hours).is_some();
    let rates: Vec<String> =
        [10, 1].iter().filter(|hours| !gives(**hours)).map(|hours| format!("{hours} h")).collect();
    let rates = rates.join(" and ");
    let (lacks, help) = match (gives(20), rates.as_str()) {
        (false, _) => (
            "does not say its capacity over 20 h".to_owned(),
            format!("`holds  CHARGE over 20 h` in the part `{}`", part.text),
        ),
        (true, "") => (
            "does not say `peukert`, and its capacities fit no battery of two wells".to_owned(),
            format!("`peukert  NUMBER` in the part `{}` or in the policy", part.text),
        ),
        (true, rates) => (
            format!("says neither `peukert` nor its capacity over {rates}"),
            format!(
                "its capacity over {rates} in the part `{}`, or `peukert  NUMBER` there or in the policy",
                part.text
            ),
        ),
    };
    let asked = hours_of(asked);
    let finding = RULE
        .finds(
            format!("part `{}` {lacks}", part.text),
            battery_at(supply),
            "how long it lasts is not known",
        )
        .with_other(standby.battery.place(holds.0.span), "all that its sheet says of its capacity")
        .with_other(limit_at, format!("asks for {asked}{}", policy_source(facts, limit.source)))
        .with_why(format!("whether it lasts the {asked} that the policy asks for is not known"))
        .with_help(help)
        .with_about(supply.name.text)
        .with_about(part.text);
    Some(finding)
}

/// A tamper contact that is wired and that the sensor's sheet does not have.
fn tamper(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> Option<Diagnostic> {
    let model = facts.model;
    let sensor = zone.sensor.filter(|sensor| sensor.sheet.tamper.is_none())?;
    let of_pair = zone.tree.ends.as_ref().and_then(|ends| ends.tamper());
    let in_pair = of_pair.map(|span| (Place::new(zone.name.at.file, span), "in its pair of wires"));
    let landed = zone.tamper().map(|input| (input.at, "on an input of its own"));
    let (at, place) = landed.or(in_pair)?;
    if facts.doubt.about_zone(model, zone) {
        return None;
    }
    let (name, part) = (zone.name.text, model.part_name(sensor.id));
    let mut finding = RULE
        .finds(
            format!("zone `{name}` has a tamper contact {place}, `{part}` does not say `tamper`"),
            at,
            "a contact that the sensor does not have",
        )
        .with_why("where the sensor has none, nobody is told that its cover is off")
        .with_help(format!("tamper  rests open | rests closed    (in the part `{part}`)"))
        .with_help("take the tamper contact out, or fit a sensor that has one")
        .with_about(name);
    if let Some(sheet) = model.parts.get(sensor.id.index()) {
        finding = finding.with_other(sheet.name.at, "`tamper` is missing");
    }
    Some(finding)
}
