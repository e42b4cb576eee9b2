//! An output that no response uses.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::Effect;
use curtilage_syntax::tree::output::Mode;

pub(crate) static RULE: Rule = Rule {
    name: "idle-output",
    family: Family::Behaviour,
    level: Level::Hint,
    about: "no response uses an output",
    page: include_str!("idle_output.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    if facts.doubt.about_any("response") {
        return;
    }
    let mut used = vec![false; facts.model.outputs.len()];
    let responses = facts.model.responses.iter();
    for (effect, _) in responses.flat_map(|response| &response.effects) {
        if let Effect::Switch { output, .. } | Effect::Pulse { output, .. } = effect
            && let Some(slot) = used.get_mut(output.index())
        {
            *slot = true;
        }
    }
    for (output, used) in facts.model.outputs.iter().zip(used) {
        let automatic = output.tree.mode.is_none_or(|mode| mode.value == Mode::Automatic);
        if !automatic || used {
            continue;
        }
        let name = output.name.text;
        out.push(
            RULE.finds(
                format!("no response uses output `{name}`"),
                output.name.at,
                "never switched",
            )
            .with_why("it is wired and fed, and does nothing")
            .with_help(format!(
                "close  {name} for 3 min    (in a response), or take the output out"
            ))
            .with_about(name),
        );
    }
}
