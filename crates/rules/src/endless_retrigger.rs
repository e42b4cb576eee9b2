//! A contact that stays active registers again and again without an end.

use crate::held_open_fills_store::kept_share;
use crate::rule::{Family, Findings, Rule};
use crate::words::{STORY, and_list, bytes, number, time};
use curtilage_diagnostic::{Diagnostic, Fix, Input, Level, Step};
use curtilage_facts::events::rests_on;
use curtilage_facts::{Brings, Facts, Registering};
use curtilage_model::{Effect, OutputId, ScheduleRef, Zone, ZoneId};
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
        if is_endless(facts, zone, registering) {
            out.push(find(facts, id, zone, registering));
        }
    }
}

/// Whether nothing ends the registrations of a contact that stays active.
pub(crate) fn is_endless(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    registering: &Registering,
) -> bool {
    registering.level == Some(true)
        && can_count(facts, zone)
        && stays_active(facts, zone)
        && registering.active == Some(ActiveFor::UntilRestored)
        && registering.limit.is_none()
        && !registering.responses.is_empty()
        && zone.tree.confirmed.is_none()
        // An output that stays on for good ends it: nothing runs out.
        && !registering.drives.iter().any(|one| one.latched && one.brings == Brings::Each)
}

/// Whether the zone is ever armed, as far as its hours are known.
pub(crate) fn can_count(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> bool {
    zone.armed.is_none_or(|(armed, _)| facts.hours.is_empty(armed) != Some(true))
}

/// Whether its contact can stay active: one that follows an output goes back with it.
fn stays_active(facts: &Facts<'_, '_>, zone: &Zone<'_>) -> bool {
    let Some(followed) = zone.follows else { return true };
    let rests_on = rests_on(facts.model, followed);
    let mut effects = facts.model.responses.iter().flat_map(|response| &response.effects);
    effects.any(|(effect, _)| {
        matches!(effect, Effect::Switch { output, on, hold: None } if *output == followed && *on != rests_on)
    })
}

fn find(
    facts: &Facts<'_, '_>,
    id: ZoneId,
    zone: &Zone<'_>,
    registering: &Registering,
) -> Diagnostic {
    let model = facts.model;
    let name = zone.name.text;
    let name_of = |output: OutputId| model.output(output).map_or("", |output| output.name.text);
    let brought = |brings| registering.drives.iter().filter(move |one| one.brings == brings);
    let mut outputs: Vec<OutputId> = Vec::new();
    for one in brought(Brings::Each) {
        if !outputs.contains(&one.output) {
            outputs.push(one.output);
        }
    }
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
    for output in &outputs {
        if let Some(share) = share(facts, registering, *output) {
            let share = curtilage_units::significant(share * 100.0, 3);
            // On the break side what is driven is off.
            let state = if rests_on(model, *output) { "off" } else { "on" };
            costs.push(format!("`{}` is {state} {share} % of the time", name_of(*output)));
        }
    }
    let kept = |camera| {
        let plans = model.recordings.iter();
        plans.map(|plan| kept_share(facts, plan, zone, camera)).fold(0.0, f64::max)
    };
    if let Some(footage) = registering.footage_a_day_kept(kept) {
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
    // Always armed, in one word or by hours that leave none out, is one arming: a limit would make the zone
    // deaf for good.
    let ends = |armed| facts.hours.uncovered(armed).is_none_or(|uncovered| !uncovered.is_empty());
    let limited = zone.armed.is_some_and(|(armed, _)| armed != ScheduleRef::Always && ends(armed));
    finding = finding.with_help(if limited {
        "repeats  at most 3 per arming"
    } else {
        "a controller that repeats `once an activation`"
    });
    // Only where the zone has said it itself can it say something else.
    if zone.tree.registers.is_some() {
        finding = finding.with_help("registers  once an activation");
    }
    if let Some(first) = brought(Brings::Each).next() {
        let names = and_list(outputs.iter().map(|output| name_of(*output)));
        finding = finding.with_other(first.line, format!("each time it switches {names}"));
    } else if let Some(first) = brought(Brings::AtTimes).next() {
        let label = format!("at some hours it switches `{}`", name_of(first.output));
        finding = finding.with_other(first.line, label);
    } else {
        finding.level = Level::Warning;
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

/// The share of time in which an output is on while the sensor stays active; none where several lines
/// or a timer of its own make it another one than each line says, or where it hangs on the hour.
fn share(facts: &Facts<'_, '_>, registering: &Registering, output: OutputId) -> Option<f64> {
    let own = || registering.drives.iter().filter(|driven| driven.output == output);
    let first = own().next()?;
    if own().any(|driven| driven.brings != Brings::Each || driven.delay != first.delay) {
        return None;
    }
    let longest = own().max_by_key(|driven| driven.length)?;
    let cut = facts.model.output(output)?.tree.most.map(|most| most.value);
    if cut.is_some_and(|cut| longest.length.is_none_or(|length| cut < length)) {
        return None;
    }
    Some(registering.duty(longest)?.as_f64())
}

/// From one registration to the next: the entry time and the longest delay and on-time, but not less than
/// the lockout, which begins with the entry time.
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
    for driven in registering.drives.iter().filter(|driven| driven.brings == Brings::Each) {
        if let Some(length) = driven.length {
            inputs.push(Input {
                name: "delay and on-time".to_owned(),
                value: time(driven.delay + length),
                at: Some(driven.line),
            });
        }
    }
    // A delay that no output follows on counts as well.
    let driven = registering.drives.iter().map(|driven| driven.delay).max().unwrap_or(0);
    let delays = registering.delays.iter().filter(|delay| delay.brings == Brings::Each);
    for delay in delays.filter(|delay| delay.delay > driven) {
        inputs.push(Input {
            name: "delay".to_owned(),
            value: time(delay.delay),
            at: Some(delay.line),
        });
    }
    let formula = match zone.tree.entry {
        Some(entry) => {
            inputs.push(Input {
                name: "entry".to_owned(),
                value: time(entry.value),
                at: Some(curtilage_text::Place::new(file, entry.span)),
            });
            "T = max(lockout, entry + longest delay + on-time)"
        }
        None => "T = max(lockout, longest delay + on-time)",
    };
    Step {
        what: format!("time from one registration of `{}` to the next", zone.name.text),
        formula: formula.to_owned(),
        inputs,
        result: time(period),
        source: "the timers TP and TOF of IEC 61131-3".to_owned(),
    }
}
