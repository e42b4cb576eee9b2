//! An output that is forced while responses use it.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{Effect, Model, OutputId};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "forced-output",
    family: Family::Behaviour,
    level: Level::Error,
    about: "an output is forced while responses use it",
    page: include_str!("forced_output.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (id, output) in facts.model.outputs_by_id() {
        let Some(mode) = output.tree.mode else { continue };
        let state = match mode.value {
            Mode::Automatic => continue,
            Mode::ForcedOff => "off",
            Mode::ForcedOn => "on",
        };
        let uses = uses(facts.model, id);
        let Some(first) = uses.first() else { continue };
        let name = output.name.text;
        let count = uses.len();
        let many = if count == 1 {
            "a response uses".to_owned()
        } else {
            format!("{count} responses use")
        };
        let headline = format!("output `{name}` is forced {state}, and {many} it");
        let at = Place::new(output.name.at.file, mode.span);
        let why = if state == "off" {
            "it does nothing on the night when it matters"
        } else {
            "it runs all the time, and says nothing when it matters"
        };
        out.push(
            RULE.finds(headline, at, format!("stays {state} whatever happens"))
                .with_other(*first, "asked for here")
                .with_why(why)
                .with_help("mode  automatic")
                .with_fix(Fix::one("let it obey its responses", at, "mode  automatic", false))
                .with_about(name),
        );
    }
}

/// The statements that switch an output.
fn uses(model: &Model<'_>, id: OutputId) -> Vec<Place> {
    let effects = model.responses.iter().flat_map(|response| &response.effects);
    effects
        .filter(|(effect, _)| match effect {
            Effect::Switch { output, .. } | Effect::Pulse { output, .. } => *output == id,
            _ => false,
        })
        .map(|(_, line)| *line)
        .collect()
}
