//! One event that switches an output both on and off.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{Cause, Effect, OutputId, Response};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "conflicting-effects",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "one event switches an output both on and off",
    page: include_str!("conflicting_effects.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let mut switches: Vec<(OutputId, bool, Place, &Response<'_>)> = Vec::new();
    // Of a header that could not be read, what is left may be another event.
    let read = |response: &&Response<'_>| !facts.doubt.unread(response.line);
    for response in model.responses.iter().filter(read) {
        for (effect, line) in &response.effects {
            match effect {
                Effect::Switch { output, on, .. } => switches.push((*output, *on, *line, response)),
                Effect::Pulse { output, .. } => switches.push((*output, true, *line, response)),
                _ => {}
            }
        }
    }
    if switches.iter().all(|(_, on, _, _)| *on) {
        return;
    }
    switches.sort_by_key(|(output, _, line, _)| (*output, *line));
    for (index, (output, on, line, response)) in switches.iter().enumerate() {
        let earlier = switches.iter().take(index).rev();
        let earlier = earlier.take_while(|(other, _, _, _)| other == output);
        let conflict = earlier
            .filter(|(_, other, _, _)| other != on)
            .find_map(|other| Some((other, shared(response, other.3)?)));
        let Some(((_, _, other_line, _), cause)) = conflict else { continue };
        let name = model.output(*output).map_or("", |output| output.name.text);
        let event = model.text(cause);
        let headline = format!("`{event}` switches `{name}` both on and off at once");
        out.push(
            RULE.finds(headline, *line, if *on { "switches it on" } else { "switches it off" })
                .with_other(*other_line, if *on { "switches it off" } else { "switches it on" })
                .with_other(cause, "the event that does both")
                .with_why("which of the two wins is the controller's secret")
                .with_help(
                    "take one of them out, or let them happen at different times with `after`",
                )
                .with_about(name),
        );
    }
}

/// A cause that sets off both responses at the same moment.
fn shared(one: &Response<'_>, other: &Response<'_>) -> Option<Place> {
    let delay = |response: &Response<'_>| response.tree.after.map_or(0, |after| after.value);
    // Responses that wait for several causes, or work in other hours, may never meet.
    let plain =
        |response: &Response<'_>| response.all_within.is_none() && response.tree.during.is_none();
    if std::ptr::eq(one, other) {
        return one.causes.first().map(|(_, at)| *at);
    }
    if delay(one) != delay(other) || !plain(one) || !plain(other) {
        return None;
    }
    let has = |cause: &Cause| other.causes.iter().any(|(known, _)| known == cause);
    one.causes.iter().find(|(cause, _)| has(cause)).map(|(_, at)| *at)
}
