//! A response that waits for a tampering which nothing on site can tell.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Tampering, shares_the_wires, tampering};
use curtilage_model::{Cause, ZoneId};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "tamper-not-told",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a response waits for a tampering that no input tells",
    page: include_str!("tamper_not_told.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (cause, at) in facts.model.responses.iter().flat_map(|response| &response.causes) {
        if let Cause::Tamper(id) = cause
            && !facts.doubt.unread(*at)
        {
            out.list.extend(find(facts, *id, *at));
        }
    }
}

fn find(facts: &Facts<'_, '_>, id: ZoneId, at: Place) -> Option<Diagnostic> {
    let model = facts.model;
    let zone = model.zone(id)?;
    if facts.doubt.about_zone(model, zone) || tampering(model, zone) != Tampering::Nothing {
        return None;
    }
    let input = zone.input?;
    let (sensor, controller) = (zone.sensor?, model.input_part(zone)?);
    let name = zone.name.text;
    let terminal = input.terminal.map(|terminal| model.terminal_name(&terminal))?;
    let own =
        format!("tamper  to TERMINAL    (in `{name}`: an input of its own for its tamper contact)");
    let other = "wire it to an input that tells a cut wire and shorted wires, with its resistors at the sensor";
    let (why_not, help) = if shares_the_wires(zone) {
        (
            format!("`{terminal}` takes its tamper contact for an alarm, or for nothing"),
            vec![other, &own],
        )
    } else if sensor.sheet.tamper.is_some() {
        ("its tamper contact is wired nowhere".to_owned(), vec![own.as_str(), other])
    } else {
        let part = model.parts.get(sensor.id.index()).map_or("", |part| part.name.text);
        (format!("`{part}` has no tamper contact"), vec![other])
    };
    let headline = format!("no input tells that `{name}` is tampered with: {why_not}");
    let mut finding = RULE
        .finds(headline, at, "never happens")
        .with_other(input.at, "lands here, and nowhere else")
        .with_why("somebody opens it or cuts its wires, and nothing comes of it")
        .with_about(name);
    if let Some(spec) = &controller.sheet.input {
        let label = "tells no tampering, no cut wire and no shorted wires";
        finding = finding.with_other(controller.place(spec.span), label);
    }
    Some(help.into_iter().fold(finding, Diagnostic::with_help))
}
