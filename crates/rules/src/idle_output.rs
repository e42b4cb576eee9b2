//! An output that no response uses, or that none ever takes away from its rest.

use crate::moving::Moving;
use crate::rule::{Family, Findings, Rule};
use crate::terminal_reused::moved_by_another;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_facts::events::{is_automatic, rests_on};
use curtilage_model::Effect;
use curtilage_text::Place;
use std::cell::OnceCell;

pub(crate) static RULE: Rule = Rule {
    name: "idle-output",
    family: Family::Behaviour,
    level: Level::Hint,
    about: "no response uses an output, or none ever takes it away from its rest",
    page: include_str!("idle_output.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    if facts.doubt.about_any("response") {
        return;
    }
    // By output: a statement that uses it, and whether one takes it away from its rest.
    let mut used: Vec<(Option<Place>, bool)> = vec![(None, false); model.outputs.len()];
    let responses = model.responses.iter();
    for (effect, line) in responses.flat_map(|response| &response.effects) {
        let (output, leaves) = match effect {
            Effect::Switch { output, on, .. } => (*output, *on != rests_on(model, *output)),
            Effect::Pulse { output, .. } => (*output, true),
            _ => continue,
        };
        if let Some((first, moved)) = used.get_mut(output.index()) {
            first.get_or_insert(*line);
            *moved |= leaves;
        }
    }
    // What moves another output on its side moves it too: told as `terminal-reused`.
    let (moving, shared) = (OnceCell::new(), OnceCell::new());
    for ((id, output), (line, moved)) in model.outputs_by_id().zip(used) {
        if !is_automatic(output)
            || moved
            || moving.get_or_init(|| Moving::by_responses(model)).moves(model, output)
            || shared.get_or_init(|| moved_by_another(facts)).contains(&id.index())
        {
            continue;
        }
        let name = output.name.text;
        let finding = match line {
            None => RULE
                .finds(
                    format!("no response uses output `{name}`"),
                    output.name.at,
                    "never switched",
                )
                .with_why("it is wired and fed, and does nothing")
                .with_help(format!(
                    "close  {name} for 3 min    (in a response), or take the output out"
                )),
            // Behind a contact that is not known it may rest either way.
            Some(_) if output.through.and_then(|contact| model.root_of(contact)).is_none() => {
                continue;
            }
            Some(line) => {
                let (state, verb, other) = match rests_on(model, id) {
                    true => ("on", "open", "off"),
                    false => ("off", "close", "on"),
                };
                RULE.finds(
                    format!("output `{name}` is {state} at rest, and no response ever switches it {other}"),
                    line,
                    format!("it is {state} already"),
                )
                .with_other(output.name.at, format!("always {state}"))
                .with_why("`close` gives an output its current, and `open` takes it away, whatever hangs on it")
                .with_help(format!("{verb}  {name} for 10 s    (in a response)"))
            }
        };
        out.push(finding.with_about(name));
    }
}
