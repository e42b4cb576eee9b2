//! A zone asks for a setting that its controller does not have.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::part::Repeats;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "setting-not-offered",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a zone asks for a setting that its controller does not have",
    page: include_str!("setting_not_offered.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    for zone in &model.zones {
        let Some(asked) = zone.tree.registers else { continue };
        let part = model.input_part(zone);
        let Some((part, repeats)) = part.and_then(|part| Some((part, part.sheet.repeats?))) else {
            continue;
        };
        let given = match repeats.value {
            Repeats::AsTheZoneSays => continue,
            Repeats::WhileActive => "registers again while a zone stays active",
            Repeats::OnceAnActivation => "registers once an activation",
        };
        if asked.value == (repeats.value == Repeats::WhileActive) {
            continue;
        }
        let name = zone.name.text;
        let part_name = model.part_name(part.id);
        let at = Place::new(zone.name.at.file, asked.span);
        out.push(
            RULE.finds(
                format!("zone `{name}` cannot choose: `{part_name}` always {given}"),
                at,
                "there is no such setting",
            )
            .with_other(part.place(repeats.span), given)
            .with_why("the file says one thing and the controller does another")
            .with_help("take the line out, or choose a controller that repeats `as the zone says`")
            .with_about(name),
        );
    }
}
