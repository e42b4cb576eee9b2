//! A contact with one wire: its input has no common to return to.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{Input, Model, Terminal, TerminalKind, Zone};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "common-missing",
    family: Family::Contact,
    level: Level::Error,
    about: "a contact has no terminal to return to, or returns to the wrong one",
    page: include_str!("common_missing.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for zone in &facts.model.zones {
        for input in zone.inputs() {
            let is_tamper = zone.tamper().is_some_and(|tamper| tamper.at == input.at);
            one(facts, zone, input, is_tamper, out);
        }
    }
}

fn one(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    input: &Input<'_>,
    is_tamper: bool,
    out: &mut Findings,
) {
    let model = facts.model;
    let Some(terminal) = &input.terminal else { return };
    let name = zone.name.text;
    let (of, word, stays) = match is_tamper {
        false => ("", "wired", "the zone stays as it is whatever happens"),
        true => ("the tamper contact of ", "tamper", "nobody is told that its cover is off"),
    };
    let declared = terminal.group.common.map(|common| Place::new(terminal.file, common.span));
    let screw = || model.terminal_name(terminal);
    let finding = match (declared, &input.common, input.tree.common) {
        (None, None, None) => {
            // A line that could not be read may be the one that gives the common.
            if facts.doubt.holds(terminal.declared()) || facts.doubt.mentions(terminal.name) {
                return;
            }
            let screw = screw();
            RULE.finds(
                format!("{of}zone `{name}` has one wire: `{screw}` has no common to return to"),
                input.at,
                "only one of the contact's two wires has a place",
            )
            .with_other(terminal.declared(), "declared without a common")
            .with_help(format!("{word}  to {screw} and {}", commons(model, terminal)))
        }
        (None, Some(written), Some(path)) if written.controller != terminal.controller => {
            let (screw, written_name) = (screw(), model.terminal_name(written));
            RULE.finds(
                format!("{of}zone `{name}` leaves from `{screw}` and returns to `{written_name}`, on another controller"),
                Place::new(zone.name.at.file, path.span()),
                "another controller",
            )
            .with_other(input.at, "leaves from here")
            .with_help("return it to a common of the same controller")
        }
        (Some(declared), Some(written), Some(path))
            if written.controller != terminal.controller
                || model.text(declared) != written.name && !serves_all(model, written) =>
        {
            let common = model.text(declared);
            let (screw, written_name) = (screw(), model.terminal_name(written));
            let controller = model.controller(terminal.controller).map_or("", |c| c.name.text);
            RULE.finds(
                format!(
                    "{of}zone `{name}` returns to `{written_name}`, `{screw}` belongs to `{common}`"
                ),
                Place::new(zone.name.at.file, path.span()),
                format!("the common of this input is `{controller}.{common}`"),
            )
            .with_other(declared, "the common of this input")
            .with_help(format!("take `and {written_name}` out"))
        }
        _ => return,
    };
    out.push(
        finding.with_why(format!("no current flows through the contact: {stays}")).with_about(name),
    );
}

/// Whether a common belongs to no input alone.
fn serves_all(model: &Model<'_>, common: &Terminal<'_>) -> bool {
    let part = model.controller(common.controller).and_then(|controller| controller.part);
    part.is_some_and(|part| {
        part.sheet.commons.iter().any(|group| std::ptr::eq(group, common.group))
    })
}

/// The commons that the controller's part declares, to choose from.
fn commons(model: &Model<'_>, terminal: &Terminal<'_>) -> String {
    let controller = model.controller(terminal.controller);
    let name = controller.map_or("", |controller| controller.name.text);
    let offered = controller.and_then(|controller| controller.part);
    let offered = offered.map(|part| model.terminals(part)).unwrap_or_default();
    let commons = offered.into_iter().filter(|offer| offer.kind == TerminalKind::Common);
    let known: Vec<String> = commons.map(|offer| format!("{name}.{}", offer.name)).collect();
    if known.is_empty() { format!("{name}.COMMON") } else { known.join(" | ") }
}
