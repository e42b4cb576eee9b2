//! A sensor whose pulse can end before the input takes note of it.

use crate::rule::{Family, Findings, Rule};
use crate::words::time;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::Interval;
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "pulse-too-short",
    family: Family::Contact,
    level: Level::Error,
    about: "a sensor's pulse can end before its input takes note of it",
    page: include_str!("pulse_too_short.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for (zone, registering) in model.zones.iter().zip(&facts.registering) {
        let Some(settle) = registering.settle else { continue };
        let pulse = match registering.active {
            Some(ActiveFor::Time(pulse)) => pulse,
            Some(ActiveFor::WhileHeld) => match zone.sensor.and_then(|sensor| sensor.sheet.held) {
                Some(held) => Interval { low: held.value, high: f64::INFINITY },
                None => continue,
            },
            _ => continue,
        };
        #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
        let needed = settle as f64;
        // A pulse of just that length is over in the moment in which it would be seen.
        if pulse.low > needed || settle == 0 {
            continue;
        }
        let (shortest, longest) =
            (curtilage_units::duration(pulse.low), curtilage_units::duration(pulse.high));
        let name = zone.name.text;
        let settle = time(settle);
        let never = pulse.high <= needed;
        let just = if never { pulse.high == needed } else { pulse.low == needed };
        let needs = if just { format!("more than {settle}") } else { settle.clone() };
        let headline = if never {
            format!(
                "zone `{name}` is never seen: its sensor stays active for at most {longest}, its input needs {needs}"
            )
        } else {
            format!(
                "zone `{name}` can be missed: its sensor may stay active for only {shortest}, its input needs {needs}"
            )
        };
        let own = zone.tree.settle.map(|said| Place::new(zone.name.at.file, said.span));
        let part = model.input_part(zone);
        let settles = part.and_then(|part| Some(part.place(part.sheet.settles?.span)));
        let mut finding = RULE
            .finds(headline, own.unwrap_or(zone.name.at), "the input is slower than the sensor")
            .with_why("the activation is over before the controller takes note of it")
            .with_help(format!(
                "settle  TIME    (less than {shortest}, where the controller lets it be set)"
            ))
            .with_help("a sensor with a longer pulse")
            .with_about(name);
        if let Some(at) = registering.active_at {
            let active =
                if never { format!("{longest} at most") } else { format!("{shortest} at least") };
            finding = finding.with_other(at, format!("active for {active}"));
        }
        if let (None, Some(at)) = (own, settles) {
            finding = finding.with_other(at, format!("settles in {settle}"));
        }
        out.push(finding);
    }
}
