//! An output that no response uses, or that none ever takes away from its rest.

use crate::rule::{Family, Findings, Rule};
use crate::terminal_reused::moved_by_another;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_facts::events::rests_on;
use curtilage_model::{ControllerId, Effect, Model, Output};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;
use std::cell::OnceCell;
use std::collections::BTreeSet;

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
    if used.iter().all(|(_, moved)| *moved) {
        return;
    }
    let mut moving = Moving::default();
    for (output, _) in model.outputs.iter().zip(&used).filter(|(_, (_, moved))| *moved) {
        moving.add(model, output);
    }
    // What moves another output on its side moves it too: told as `terminal-reused`.
    let shared = OnceCell::new();
    for ((id, output), (line, moved)) in model.outputs_by_id().zip(used) {
        if !is_automatic(output)
            || moved
            || moving.moves(model, output)
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

fn is_automatic(output: &Output<'_>) -> bool {
    output.tree.mode.is_none_or(|mode| mode.value == Mode::Automatic)
}

/// The relays of controllers that responses move. What moves an output on one side of a contact moves the
/// one on its other side too: a lock lets go when the lamp beside its exit goes on.
#[derive(Default)]
pub(crate) struct Moving<'a>(BTreeSet<(ControllerId, &'a str)>);

impl<'a> Moving<'a> {
    /// Adds that of an output which a response takes away from its rest.
    pub(crate) fn add(&mut self, model: &Model<'a>, output: &Output<'a>) {
        if is_automatic(output) {
            self.0.extend(root(model, output));
        }
    }

    /// Whether the contact of an output is moved.
    pub(crate) fn moves(&self, model: &Model<'a>, output: &Output<'a>) -> bool {
        root(model, output).is_some_and(|root| self.0.contains(&root))
    }
}

/// The relay of a controller that moves its contact in the end.
fn root<'a>(model: &Model<'a>, output: &Output<'a>) -> Option<(ControllerId, &'a str)> {
    let (terminal, _) = model.root_of(output.through?)?;
    Some((terminal.controller, terminal.name))
}
