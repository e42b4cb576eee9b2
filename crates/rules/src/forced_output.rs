//! An output that is forced while responses use it.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::{Effect, Model, Output, OutputId};
use curtilage_syntax::tree::Spanned;
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
        let name = output.name.text;
        let Some(first) = uses.first() else {
            out.list.extend(sounds(facts, output, mode));
            continue;
        };
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

/// A sounder that is forced on sounds for ever, also where no response uses it.
fn sounds(facts: &Facts<'_, '_>, output: &Output<'_>, mode: Spanned<Mode>) -> Option<Diagnostic> {
    let mut loads = output.loads.iter().flatten();
    let (_, sounder) = loads.find(|(_, load)| load.sheet.loudness.is_some())?;
    // One that has a timer of its own falls silent; a response may be one that cannot be read.
    if mode.value != Mode::ForcedOn
        || output.tree.most.is_some()
        || facts.doubt.about_any("response")
    {
        return None;
    }
    let name = output.name.text;
    let headline = format!("output `{name}` is forced on: its sounder never falls silent");
    let at = Place::new(output.name.at.file, mode.span);
    let mut finding = RULE
        .finds(headline, at, "stays on day and night, and no response uses it")
        .with_why("whoever lives beside it will cut its wires")
        .with_help(format!("mode  automatic, and  close  {name} for 3 min    (in a response)"))
        .with_about(name);
    if let Some((level, _)) = sounder.sheet.loudness {
        finding = finding.with_other(sounder.place(level.span), "a sounder");
    }
    Some(finding)
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
