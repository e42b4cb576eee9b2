//! An output that no response uses.

use crate::forced_output::uses;
use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
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
    for (id, output) in facts.model.outputs_by_id() {
        let automatic = output.tree.mode.is_none_or(|mode| mode.value == Mode::Automatic);
        if !automatic || !uses(facts.model, id).is_empty() {
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
