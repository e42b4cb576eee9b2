//! The sensor rests in one state and its input takes the other for rest.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Fix, Level};
use curtilage_facts::Facts;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "rest-state-mismatch",
    family: Family::Contact,
    level: Level::Error,
    about: "a sensor rests in one state and its input takes the other for rest",
    page: include_str!("rest_state_mismatch.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for zone in &model.zones {
        let (Some(sensor), Some(input)) = (zone.sensor, &zone.input) else { continue };
        let (Some(rests), Some(terminal)) = (sensor.sheet.rests, input.terminal) else { continue };
        let part = model.controller(terminal.controller).and_then(|controller| controller.part);
        let own = zone.tree.input.map(|said| (said, Place::new(zone.name.at.file, said.span)));
        let from_part = part.and_then(|part| {
            let said = part.sheet.input_rests?;
            Some((said, part.place(said.span)))
        });
        let Some((takes, takes_at)) = own.or(from_part) else { continue };
        if takes.value == rests.value || facts.doubt.about_zone(model, zone) {
            continue;
        }
        let name = zone.name.text;
        let terminal = model.terminal_name(&terminal);
        let (is, takes) = (rests.value, takes.value);
        let headline = format!(
            "zone `{name}` is active at rest: its sensor rests {}, `{terminal}` takes {} for rest",
            is.word(),
            takes.word()
        );
        let sensor_at = sensor.place(rests.span);
        let part_name = model.part_name(sensor.id);
        let (at, label) = match own {
            Some((_, at)) => (at, format!("takes {} for rest", takes.word())),
            None => (zone.name.at, "its input keeps the setting of its part".to_owned()),
        };
        let mut finding = RULE
            .finds(headline, at, label)
            .with_other(sensor_at, format!("`{part_name}` rests {} ({})", is.word(), is.jargon()))
            .with_why("it alarms as soon as it is armed, and the event that it is there for puts it to rest")
            .with_help(format!("input  rests {}", is.word()))
            .with_about(name);
        if own.is_none() {
            finding =
                finding.with_other(takes_at, format!("inputs take {} for rest", takes.word()));
        } else {
            let title = format!("let the input take {} for rest", is.word());
            finding = finding.with_fix(Fix::one(title, at, is.word(), false));
        }
        out.push(finding);
    }
}
