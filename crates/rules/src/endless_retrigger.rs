//! A contact that stays active registers again and again without an end.

use crate::rule::{Family, Findings, Rule};
use crate::words::{STORY, and_list, bytes, number, time};
use curtilage_diagnostic::{Diagnostic, Fix, Input, Level, Step};
use curtilage_facts::{Facts, Registering};
use curtilage_model::{ScheduleRef, Zone, ZoneId};
use curtilage_syntax::tree::part::ActiveFor;

pub(crate) static RULE: Rule = Rule {
    name: "endless-retrigger",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a contact that stays active registers again and again without an end",
    page: include_str!("endless_retrigger.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for ((id, zone), registering) in facts.model.zones_by_id().zip(&facts.registering) {
        if is_endless(zone, registering) {
            out.push(find(facts, id, zone, registering));
        }
    }
}

/// Whether nothing ends the registrations of a contact that stays active.
pub(crate) fn is_endless(zone: &Zone<'_>, registering: &Registering) -> bool {
    registering.level == Some(true)
        && registering.active == Some(ActiveFor::UntilRestored)
        && registering.limit.is_none()
        && !registering.responses.is_empty()
        && zone.tree.confirmed.is_none()
        // An output that stays on for good ends it: nothing runs out.
        && !registering.drives.iter().any(|driven| driven.latched)
}

fn find(
    facts: &Facts<'_, '_>,
    id: ZoneId,
    zone: &Zone<'_>,
    registering: &Registering,
) -> Diagnostic {
    let model = facts.model;
    let name = zone.name.text;
    let drives: Vec<&str> = registering
        .drives
        .iter()
        .filter_map(|driven| Some(model.output(driven.output)?.name.text))
        .collect();
    let often = match registering.per_hour() {
        Some(often) => {
            format!("again and again while it stays active, {} times an hour", number(often))
        }
        None if registering.unpaused() => {
            "without pause while it stays active: it has no lockout, and no output runs a time"
                .to_owned()
        }
        None => "again and again while it stays active".to_owned(),
    };
    let headline = format!("zone `{name}` registers {often}");
    let mut costs = Vec::new();
    for (driven, output) in registering.drives.iter().zip(&drives) {
        if let Some(duty) = registering.duty(driven) {
            let share = curtilage_units::significant(duty.as_f64() * 100.0, 3);
            costs.push(format!("`{output}` is on {share} % of the time"));
        }
    }
    if let Some(footage) = registering.footage_a_day() {
        costs.push(format!("{} of footage a day", bytes(footage)));
    }
    let until = "it alarms until somebody restores it, and nobody listens any more";
    let mut why =
        if costs.is_empty() { until.to_owned() } else { format!("{until}: {}", costs.join(", ")) };
    if let Some(story) = facts.held_story(id) {
        why.push_str(STORY);
        why.push_str(&story.block);
    }
    let mut finding =
        RULE.finds(headline, zone.name.at, "nothing ends it").with_why(why).with_about(name);
    // Always armed is one arming: a limit would make the zone deaf for good.
    let limited = matches!(zone.armed, Some((armed, _)) if armed != ScheduleRef::Always);
    finding = finding.with_help(if limited {
        "repeats  at most 3 per arming"
    } else {
        "a controller that repeats `once an activation`, or an output with a longer time"
    });
    // Only where the zone has said it itself can it say something else.
    if zone.tree.registers.is_some() {
        finding = finding.with_help("registers  once an activation");
    }
    if drives.is_empty() {
        finding.level = Level::Warning;
    } else {
        let label = format!("each time it switches {}", and_list(drives.iter().copied()));
        if let Some(driven) = registering.drives.first() {
            finding = finding.with_other(driven.line, label);
        }
    }
    if let Some(at) = registering.active_at {
        finding = finding.with_other(at, "stays active until somebody restores it");
    }
    if let Some(at) = registering.level_at {
        finding = finding.with_other(at, "registers again while active");
    }
    if let Some(period) = registering.period {
        finding = finding.with_working([period_step(zone, registering, period)]);
    }
    if let Some(armed) = zone.tree.armed.filter(|_| limited) {
        let end = curtilage_text::Span::at(armed.span.end);
        let at = curtilage_text::Place::new(zone.name.at.file, end);
        let text = "\n    repeats  at most 3 per arming";
        finding = finding.with_fix(Fix::one(
            "let it register at most 3 times in one arming",
            at,
            text,
            false,
        ));
    }
    finding
}

/// From one registration to the next: the longest delay and on-time, but not less than the lockout.
pub(crate) fn period_step(zone: &Zone<'_>, registering: &Registering, period: u64) -> Step {
    let file = zone.name.at.file;
    let mut inputs = Vec::new();
    if let Some(lockout) = zone.tree.lockout {
        inputs.push(Input {
            name: "lockout".to_owned(),
            value: time(lockout.value),
            at: Some(curtilage_text::Place::new(file, lockout.span)),
        });
    }
    for driven in &registering.drives {
        if let Some(length) = driven.length {
            inputs.push(Input {
                name: "delay and on-time".to_owned(),
                value: time(driven.delay + length),
                at: Some(driven.line),
            });
        }
    }
    Step {
        what: format!("time from one registration of `{}` to the next", zone.name.text),
        formula: "T = max(lockout, longest delay + on-time)".to_owned(),
        inputs,
        result: time(period),
        source: "the timers TP and TOF of IEC 61131-3".to_owned(),
    }
}
