//! A sounder that runs longer at a stretch than the policy allows.

use crate::rule::{Family, Findings, Rule};
use crate::words::time;
use curtilage_diagnostic::Level;
use curtilage_facts::events::rests_on;
use curtilage_facts::{Brings, Facts, longest_hold};
use curtilage_model::{Cause, Effect, Model, OutputId, Response, ScheduleRef};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "sounder-run-too-long",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "a sounder runs longer at a stretch than the policy allows",
    page: include_str!("sounder_run_too_long.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let Some(policy) = &model.policy else { return };
    let Some(limit) = policy.tree.sounder_run else { return };
    let most = limit.value.value;
    let limit_at = Place::new(policy.file, limit.line);
    for (id, output) in model.outputs_by_id() {
        let sounds = output.loads.iter().flatten().any(|(_, load)| load.sheet.loudness.is_some());
        // A timer of its own that cuts out in time is enough.
        let cut_off = output.tree.most.is_some_and(|own| own.value <= most);
        // One that sounds at rest is on for as long as nobody switches it off, which is meant.
        if !sounds || cut_off || rests_on(model, id) || facts.doubt.holds(output.name.at) {
            continue;
        }
        // One that stays on for good is longer than any limit.
        let runs = runs(facts, id);
        let worst = runs.iter().max_by_key(|run| run.length.unwrap_or(u64::MAX));
        let Some(worst) = worst else { continue };
        let name = output.name.text;
        // A timer of its own that cuts out too late still ends it.
        let own = output.tree.most.map(|own| own.value);
        let length = [worst.length, own].into_iter().flatten().min();
        let (headline, label) = match length {
            None => (
                format!(
                    "`{name}` sounds until somebody stops it, at most {} is allowed",
                    time(most)
                ),
                "no end is given".to_owned(),
            ),
            Some(length) if length > most => (
                format!("`{name}` sounds for {}, at most {} is allowed", time(length), time(most)),
                format!("on for {}", time(length)),
            ),
            _ => continue,
        };
        let mut finding = RULE
            .finds(headline, worst.line, label)
            .with_other(limit_at, format!("at most {}", time(most)))
            .with_why("neighbours and the by-law decide how long a sounder may sound, and a hand that reaches for it first");
        if let Some(help) = worst.shorter(model, id, most) {
            finding = finding.with_help(help);
        }
        let timer = format!(
            "runs  at most {}    (in the output, where it has a timer of its own)",
            time(most)
        );
        out.push(finding.with_help(timer).with_about(name));
    }
}

/// One way in which an output is switched on.
struct Run {
    line: Place,
    /// How long it is on, ms; none when nothing ends it.
    length: Option<u64>,
    /// The lockout of the zone that brings it, ms.
    lockout: u64,
    pulses: bool,
}

impl Run {
    /// The line that keeps the limit, as text to type; none where no time in it would.
    fn shorter(&self, model: &Model<'_>, output: OutputId, most: u64) -> Option<String> {
        if self.pulses {
            return None;
        }
        let hold = longest_hold(model, output, self.lockout, most)?;
        Some(format!("close  {} for {}", model.output(output)?.name.text, time(hold)))
    }
}

/// Every way in which an output is switched on, but for those that another line ends earlier or that
/// never come.
fn runs(facts: &Facts<'_, '_>, id: OutputId) -> Vec<Run> {
    let model = facts.model;
    let mut out = Vec::new();
    // What the same cause switches off again is shorter than its line says.
    let off = |effect: &Effect| matches!(effect, Effect::Switch { output, on: false, .. } if *output == id);
    let ends = |response: &&Response<'_>| response.effects.iter().any(|(effect, _)| off(effect));
    let enders = |causes: &[Cause]| {
        let all = model.responses.iter().filter(ends);
        let by = |response: &&Response<'_>| {
            response.causes.iter().any(|(cause, _)| causes.contains(cause))
        };
        all.filter(by).collect::<Vec<_>>()
    };
    let ended = |causes: &[Cause]| !enders(causes).is_empty();
    for ((zone_id, zone), registering) in model.zones_by_id().zip(&facts.registering) {
        if ended(&[Cause::Zone(zone_id)]) {
            continue;
        }
        let own = registering.drives.iter();
        for driven in own.filter(|one| one.output == id && one.brings != Brings::None) {
            // The sheet does not say how the controller makes the time.
            if driven.length.is_none() && !driven.latched {
                continue;
            }
            out.push(Run {
                line: driven.line,
                length: driven.length,
                lockout: zone.tree.lockout.map_or(0, |lockout| lockout.value),
                pulses: driven.pulses,
            });
        }
    }
    for response in &model.responses {
        let causes: Vec<Cause> = response.causes.iter().map(|(cause, _)| *cause).collect();
        let others = causes.iter().any(|cause| !matches!(cause, Cause::Zone(_)));
        if !others || ended(&causes) {
            continue;
        }
        let edge = causes.iter().find_map(|cause| other_edge(*cause));
        let enders = edge.map_or(Vec::new(), |(_, ends)| enders(&[ends]));
        for (effect, line) in &response.effects {
            let (length, pulses) = match effect {
                Effect::Switch { output, on: true, hold } if *output == id => (*hold, false),
                Effect::Pulse { output, hold, .. } if *output == id => (Some(*hold), true),
                _ => continue,
            };
            // What begins with a schedule and is switched off at its end runs as long as it does. Where
            // one of the two waits or has hours, or has other causes as well, nothing is said.
            let length = match (length, edge) {
                (None, Some(((of, inside), _))) if !enders.is_empty() => {
                    let alone = causes.len() == 1 && at_once(response);
                    let stretch = facts.hours.longest_stretch(of, inside);
                    let Some(stretch) = stretch.filter(|_| alone) else { continue };
                    if !enders.iter().all(|ender| at_once(ender)) {
                        continue;
                    }
                    Some(stretch)
                }
                (length, _) => length,
            };
            out.push(Run { line: *line, length, lockout: 0, pulses });
        }
    }
    out
}

/// The stretch of a schedule that an edge begins, inside or between its hours, and the edge that ends it.
fn other_edge(cause: Cause) -> Option<((ScheduleRef, bool), Cause)> {
    match cause {
        Cause::Start(of) => Some(((of, true), Cause::End(of))),
        Cause::End(of) => Some(((of, false), Cause::Start(of))),
        _ => None,
    }
}

/// Whether a response neither waits, for whatever it may be, nor has hours.
fn at_once(response: &Response<'_>) -> bool {
    let tree = response.tree;
    tree.after.is_none() && tree.during.is_none() && response.all_within.is_none()
}
