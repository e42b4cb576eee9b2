//! A recording that is asked for and that the recording plan refuses.

use crate::rule::{Family, Findings, Rule};
use crate::words::uncovered;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Refusal, Refused};

pub(crate) static RULE: Rule = Rule {
    name: "recording-not-kept",
    family: Family::Recording,
    level: Level::Error,
    about: "a recording is asked for and the recording plan does not keep it",
    page: include_str!("recording_not_kept.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    if facts.doubt.about_any("recording") {
        return;
    }
    for refusal in &facts.refusals {
        out.push(word(facts, refusal));
    }
}

fn word(facts: &Facts<'_, '_>, refusal: &Refusal) -> Diagnostic {
    let model = facts.model;
    let camera = model.camera(refusal.camera).map_or("", |camera| camera.name.text);
    let controller = model.controller(refusal.controller).map_or("", |c| c.name.text);
    let finding = match &refusal.why {
        Refused::NoPlan => RULE
            .finds(
                format!("footage of `{camera}` is asked for, and `{controller}` has no recording plan"),
                refusal.at,
                "nothing is kept",
            )
            .with_help(format!("recording {controller} {{\n    keep   events of {camera} during always\n    store  SIZE, at least TIME\n}}")),
        Refused::NotKept { plan, other_class } => {
            let finding = RULE
                .finds(
                    format!("footage of `{camera}` is asked for, and `{controller}` keeps no events of it"),
                    refusal.at,
                    "nothing is kept",
                )
                .with_other(*plan, "the recording plan")
                .with_help(format!("keep  events of {camera} during always"));
            match other_class {
                Some((class, at)) => finding.with_other(*at, format!("keeps only its {}", class.word())),
                None => finding,
            }
        }
        Refused::Hours { keep, during, cause, after, refused } => {
            let (total, when) = uncovered(refused);
            let schedule = model.schedule_name(*during);
            let finding = RULE.finds(
                format!("footage of `{camera}` can be asked for and is not kept, {total}"),
                refusal.at,
                format!("not kept {when}"),
            )
            .with_other(*keep, format!("kept only during `{schedule}`"))
            .with_help(format!("keep  events of {camera} during always"));
            match after {
                Some(after) => finding
                    .with_other(*cause, "can happen so long before that")
                    .with_other(*after, "footage is asked for so long after it"),
                None => finding.with_other(*cause, "can happen then"),
            }
        }
        Refused::Edge { keep, during, cause, edge: (of, ends) } => {
            let (of, kept) = (model.schedule_name(*of), model.schedule_name(*during));
            let edge = if *ends { "ends" } else { "begins" };
            RULE.finds(
                format!("footage of `{camera}` is asked for when `{of}` {edge}, and is not kept then"),
                refusal.at,
                "not kept at that minute",
            )
            .with_other(*keep, format!("kept only during `{kept}`"))
            .with_other(*cause, format!("comes when `{of}` {edge}"))
            .with_help(format!("keep  events of {camera} during always"))
        }
    };
    finding
        .with_why("the alarm goes off, and afterwards there is no picture of it")
        .with_about(camera)
}
