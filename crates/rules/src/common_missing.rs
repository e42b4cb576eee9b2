//! A contact with one wire: its input has no common to return to.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{Input, Model, Zone};
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
        for input in [zone.input, zone.tamper].into_iter().flatten() {
            one(facts.model, zone, &input, out);
        }
    }
}

fn one(model: &Model<'_>, zone: &Zone<'_>, input: &Input<'_>, out: &mut Findings) {
    let Some(terminal) = input.terminal else { return };
    let name = zone.name.text;
    let screw = model.terminal_name(&terminal);
    let declared = terminal.group.common.map(|common| Place::new(terminal.file, common.span));
    let finding = match (declared, input.common, input.tree.common) {
        (None, None, None) => RULE
            .finds(
                format!("zone `{name}` has one wire: `{screw}` has no common to return to"),
                input.at,
                "only one of the contact's two wires has a place",
            )
            .with_other(terminal.declared(), "declared without a common")
            .with_help(format!("wired  to {screw} and CONTROLLER.COMMON ...")),
        (Some(declared), Some(written), _) if model.text(declared) != written.name => {
            let common = model.text(declared);
            let written_name = model.terminal_name(&written);
            let controller = model.controller(terminal.controller).map_or("", |c| c.name.text);
            RULE.finds(
                format!(
                    "zone `{name}` returns to `{written_name}`, `{screw}` belongs to `{common}`"
                ),
                input.at,
                format!("its common is `{controller}.{common}`"),
            )
            .with_other(declared, "the common of this input")
            .with_help(format!("wired  to {screw} ..."))
        }
        _ => return,
    };
    out.push(
        finding
            .with_why("no current flows through a contact with one wire: the zone stays as it is whatever happens")
            .with_about(name),
    );
}
