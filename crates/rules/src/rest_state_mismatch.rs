//! The sensor, or its tamper contact, rests in one state and its input takes the other for rest.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{PartRef, Terminal, Zone};
use curtilage_syntax::tree::part;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "rest-state-mismatch",
    family: Family::Contact,
    level: Level::Error,
    about: "a sensor or its tamper contact rests in one state and its input takes the other for rest",
    page: include_str!("rest_state_mismatch.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for zone in &facts.model.zones {
        let Some(sensor) = zone.sensor else { continue };
        let own = own_contact(facts, zone, sensor);
        let one_line = own.is_some() && {
            let (own, tamper) = (sensor.sheet.rests, sensor.sheet.tamper);
            own.map(|own| own.value) == tamper.map(|tamper| tamper.value)
        };
        out.list.extend(own);
        // Of two contacts that rest alike one line mends both.
        if !one_line {
            out.list.extend(tamper_contact(facts, zone, sensor));
        }
    }
}

fn own_contact<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    sensor: PartRef<'a, part::Sensor>,
) -> Option<Diagnostic> {
    let model = facts.model;
    let (rests, terminal) = (sensor.sheet.rests?, zone.input.as_ref()?.terminal?);
    let own = zone.tree.input.map(|said| (said, Place::new(zone.name.at.file, said.span)));
    let from_part = part_of(facts, terminal).and_then(|part| {
        let said = part.sheet.input_rests?;
        Some((said, part.place(said.span)))
    });
    let (takes, takes_at) = own.or(from_part)?;
    if takes.value == rests.value || facts.doubt.about_zone(model, zone) {
        return None;
    }
    let name = zone.name.text;
    let terminal = model.terminal_name(&terminal);
    let (is, takes) = (rests.value, takes.value);
    let headline = format!(
        "zone `{name}` is active at rest: its sensor rests {}, `{terminal}` takes {} for rest",
        is.word(),
        takes.word()
    );
    let (at, label) = match own {
        Some((_, at)) => (at, format!("takes {} for rest", takes.word())),
        None => (zone.name.at, "its input keeps the setting of its part".to_owned()),
    };
    let finding = RULE
        .finds(headline, at, label)
        .with_other(
            sensor.place(rests.span),
            format!("`{}` rests {} ({})", model.part_name(sensor.id), is.word(), is.jargon()),
        )
        .with_why(
            "it alarms as soon as it is armed, and the event that it is there for puts it to rest",
        )
        .with_help(format!("input  rests {}", is.word()))
        .with_about(name);
    Some(match own {
        None => finding.with_other(takes_at, format!("inputs take {} for rest", takes.word())),
        Some(_) => {
            let title = format!("let the input take {} for rest", is.word());
            finding.with_fix(Fix::one(title, at, is.word(), false))
        }
    })
}

/// The tamper contact on an input of its own, which keeps the setting of its part. What the zone
/// says of its input may be meant for both.
fn tamper_contact<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    sensor: PartRef<'a, part::Sensor>,
) -> Option<Diagnostic> {
    let model = facts.model;
    let (rests, input) = (sensor.sheet.tamper?, zone.tamper()?);
    let terminal = input.terminal?;
    let part = part_of(facts, terminal)?;
    let takes = part.sheet.input_rests?;
    let said = zone.tree.input.is_some_and(|said| said.value == rests.value);
    if takes.value == rests.value || said || facts.doubt.about_tamper(model, zone) {
        return None;
    }
    let name = zone.name.text;
    let terminal = model.terminal_name(&terminal);
    let (is, takes_at, takes) = (rests.value, part.place(takes.span), takes.value);
    let headline = format!(
        "the tamper contact of zone `{name}` is active at rest: it rests {}, `{terminal}` takes {} for rest",
        is.word(),
        takes.word()
    );
    let of_its_own = format!(
        "or make it a zone of its own there, with `purpose  tamper` and `input  rests {}`",
        is.word()
    );
    Some(
        RULE.finds(headline, input.at, "keeps the setting of its part")
            .with_other(
                sensor.place(rests.span),
                format!(
                    "the tamper contact of `{}` rests {} ({})",
                    model.part_name(sensor.id),
                    is.word(),
                    is.jargon()
                ),
            )
            .with_other(takes_at, format!("inputs take {} for rest", takes.word()))
            .with_why("it tells a tampering all the time, and an opened cover puts it to rest")
            .with_help(format!(
                "tamper  to INPUT    (one that takes {} for rest)\n{of_its_own}",
                is.word()
            ))
            .with_about(name),
    )
}

fn part_of<'a>(
    facts: &Facts<'_, 'a>,
    terminal: Terminal<'a>,
) -> Option<PartRef<'a, part::Controller>> {
    facts.model.controller(terminal.controller)?.part
}
