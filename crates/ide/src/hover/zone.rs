//! A zone: when it is armed, what a meter reads on its loop, what it sets off.

use super::Page;
use crate::figures::{span, time, volts};
use curtilage_facts::{Facts, Placement, StateName};
use curtilage_model::{Cause, Effect, Model, Zone, ZoneId};
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_text::Place;
use curtilage_units::ohms;

pub(super) fn zone(facts: &Facts<'_, '_>, id: ZoneId) -> String {
    let model = facts.model;
    let Some(zone) = model.zone(id) else { return String::new() };
    let mut page = Page::new("zone", zone.name.text, zone.title);
    let part = zone.sensor.map(|sensor| {
        let rests = sensor.sheet.rests.map(|rests| rests.value);
        let rests = rests.map_or(String::new(), |rests| {
            format!(", rests {} ({})", rests.word(), rests.jargon())
        });
        format!("a `{}`{rests}", model.part_name(sensor.id))
    });
    page.say(part.unwrap_or_else(|| "its sensor's part is not known".to_owned()));
    if let Some((armed, _)) = zone.armed {
        let name = model.schedule_name(armed);
        page.say(match facts.hours.week(armed) {
            Some(week) if week.is_full() => format!("armed `{name}`: **168 h** a week"),
            Some(week) => format!(
                "armed `{name}`: **{}** a week; not armed {}",
                curtilage_units::hours(u64::from(week.minutes())),
                week.complement()
            ),
            None => format!("armed `{name}`: its hours are not known"),
        });
    }
    registers(facts, id, &mut page);
    readings(facts, id, &mut page);
    sets_off(facts, id, &mut page);
    comes_back(facts, id, &mut page);
    if let Some(Ok(seen)) = facts.loops.get(id.index()) {
        for name in [StateName::Resting, StateName::Active] {
            if let Some(state) = seen.state(name) {
                page.working(seen.working(model, state));
            }
        }
    }
    page.done()
}

fn registers(facts: &Facts<'_, '_>, id: ZoneId, page: &mut Page) {
    let Some(registering) = facts.registering.get(id.index()) else { return };
    let Some(zone) = facts.model.zone(id) else { return };
    let mut words: Vec<String> = Vec::new();
    let held = zone.sensor.and_then(|sensor| sensor.sheet.held);
    words.extend(registering.active.map(|active| match active {
        ActiveFor::WhileHeld => held.map_or_else(
            || "active while held".to_owned(),
            |held| {
                let least = curtilage_units::duration(held.value);
                format!("active while held, which is at least {least}")
            },
        ),
        ActiveFor::UntilRestored => "active until restored".to_owned(),
        ActiveFor::Time(active) => {
            format!("active for {}", span(active.low, active.high, curtilage_units::duration))
        }
    }));
    words.extend(registering.settle.map(|settle| format!("seen after {}", time(settle))));
    words.extend(match (registering.level, registering.period) {
        (Some(true), Some(period)) if over_before(registering.active, period) => Some(format!(
            "registers once an activation, which ends before {} are over",
            time(period)
        )),
        (Some(true), Some(period)) => {
            Some(format!("registers again every {} while active", time(period)))
        }
        (Some(true), None) => Some("registers again while active".to_owned()),
        (Some(false), _) => Some("registers once an activation".to_owned()),
        (None, _) => None,
    });
    words.extend(zone.tree.lockout.map(|lockout| format!("then deaf for {}", time(lockout.value))));
    words.extend(registering.limit.map(|limit| format!("at most {limit} per arming")));
    if !words.is_empty() {
        page.say(words.join(", "));
    }
    gates(facts.model, zone, page);
}

/// What stands between a registration and an alarm.
fn gates(model: &Model<'_>, zone: &Zone<'_>, page: &mut Page) {
    let mut words: Vec<String> = Vec::new();
    words.extend(zone.tree.entry.map(|entry| format!("entry {}", time(entry.value))));
    words.extend(zone.tree.exit.map(|exit| format!("exit {}", time(exit.value))));
    words.extend(zone.tree.confirmed.map(|(_, within)| {
        let by = zone.confirmed.and_then(|by| model.zone(by));
        let by = by.map_or_else(
            || "a zone that is not known".to_owned(),
            |by| format!("`{}`", by.name.text),
        );
        format!("confirmed by {by} within {}", time(within.value))
    }));
    if !words.is_empty() {
        page.say(words.join(", "));
    }
}

/// Whether no activation lasts so long, ms.
fn over_before(active: Option<ActiveFor>, period: u64) -> bool {
    matches!(active, Some(ActiveFor::Time(active)) if active.high < period as f64)
}

fn readings(facts: &Facts<'_, '_>, id: ZoneId, page: &mut Page) {
    let model = facts.model;
    let input = model.zone(id).and_then(|zone| zone.input?.terminal);
    let at = input.map_or_else(String::new, |at| format!(" at `{}`", model.terminal_name(&at)));
    match facts.loops.get(id.index()) {
        Some(Ok(seen)) => {
            page.say(format!("a meter{at} reads"));
            let rows: Vec<Vec<String>> = seen
                .states()
                .iter()
                .map(|state| {
                    let band = match &state.placement {
                        Some(Placement::Within(band)) => {
                            seen.bands().get(*band).map_or("", |band| band.word())
                        }
                        Some(_) => "none",
                        None => "",
                    };
                    let at_input = state
                        .volts
                        .map_or_else(String::new, |window| span(window.lo(), window.hi(), volts));
                    vec![
                        state.name.words().to_owned(),
                        format!("**{}**", ohms(state.nominal)),
                        span(state.ohms.lo(), state.ohms.hi(), ohms),
                        at_input,
                        band.to_owned(),
                    ]
                })
                .collect();
            page.table(&["", "meter", "window", "at the input", "taken for"], &rows);
        }
        Some(Err(why)) => page.say(format!("what a meter{at} reads is {why}")),
        None => {}
    }
}

/// The responses that answer the zone, with what they do; those that only its tamper brings apart.
fn sets_off(facts: &Facts<'_, '_>, id: ZoneId, page: &mut Page) {
    let named = |cause: Cause| {
        let all = facts.model.responses.iter().enumerate();
        let found = all.filter(|(_, one)| one.causes.iter().any(|(by, _)| *by == cause));
        found.map(|(index, _)| index).collect::<Vec<usize>>()
    };
    let (registers, tampered) = (named(Cause::Zone(id)), named(Cause::Tamper(id)));
    page.say(if registers.is_empty() { "sets off nothing" } else { "sets off" });
    for line in registers.into_iter().flat_map(|index| effects(facts, index, Some(id))) {
        page.under(line);
    }
    if !tampered.is_empty() {
        page.say("when tampered, sets off");
    }
    for line in tampered.into_iter().flat_map(|index| effects(facts, index, None)) {
        page.under(line);
    }
}

/// The effects of a response in words; for outputs with the time for which one registration of a
/// zone keeps them on.
pub(super) fn effects(facts: &Facts<'_, '_>, index: usize, zone: Option<ZoneId>) -> Vec<String> {
    let model = facts.model;
    let Some(response) = model.responses.get(index) else { return Vec::new() };
    let registering = zone.and_then(|zone| facts.registering.get(zone.index()));
    let mut out: Vec<String> = Vec::new();
    let mut last: Option<Place> = None;
    for (effect, line) in &response.effects {
        // One line may record several cameras.
        if last.replace(*line) == Some(*line) {
            continue;
        }
        let mut words = format!("`{}`", crate::symbols::one_line(model.text(*line)));
        if let Effect::Switch { output, .. } | Effect::Pulse { output, .. } = effect {
            let driven = registering.and_then(|one| {
                one.drives.iter().find(|driven| driven.output == *output && driven.line == *line)
            });
            if let Some(driven) = driven {
                if let Some(length) = driven.length {
                    words.push_str(&format!(", on for {} after one registration", time(length)));
                }
                if driven.latched {
                    words.push_str(", until something switches it off");
                }
            }
        }
        out.push(words);
    }
    let mut conditions = Vec::new();
    if let Some(after) = response.tree.after {
        conditions.push(format!("after {}", time(after.value)));
    }
    if let Some((during, _)) = response.during {
        conditions.push(format!("during `{}`", model.schedule_name(during)));
    }
    if let Some(within) = response.all_within {
        conditions.push(format!("when all causes come within {}", time(within)));
    }
    if !conditions.is_empty() {
        out.push(format!("only {}", conditions.join(", ")));
    }
    out
}

/// The outputs that can move or disturb the zone.
fn comes_back(facts: &Facts<'_, '_>, id: ZoneId, page: &mut Page) {
    let model: &Model<'_> = facts.model;
    for (output, zone, path) in facts.paths() {
        if zone != id {
            continue;
        }
        let name = model.output(output).map_or("", |output| output.name.text);
        page.say(match path {
            curtilage_facts::events::Path::Follows(_) => format!("follows `{name}`"),
            curtilage_facts::events::Path::Reaches(_) => format!("`{name}` reaches it"),
            curtilage_facts::events::Path::Disturbs(_, by) => {
                format!("the {} of `{name}` reaches it", by.word())
            }
        });
    }
}
