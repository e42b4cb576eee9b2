//! How long an output is on at a stretch, by every event that switches it on.

use crate::words::time;
use curtilage_facts::{Brings, Facts, Registering, longest_hold};
use curtilage_model::{Cause, Effect, Model, OutputId, Response, ScheduleRef, Zone, ZoneId};
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_text::Place;

/// One way in which an output is switched on.
#[derive(Clone)]
pub(crate) struct Run {
    pub(crate) line: Place,
    /// From the event to its beginning, ms.
    after: u64,
    /// How long it is on, ms; none when nothing ends it.
    pub(crate) length: Option<u64>,
    /// Whether every such event brings it.
    each: bool,
    /// What keeps the output on before it or with it, by the same event.
    pub(crate) before: Vec<Place>,
    /// How much of the length they take before it begins, ms.
    earlier: u64,
    /// The lockout of the zone that brings it, ms.
    lockout: u64,
    pulses: bool,
    /// Where it is one registration after the other of a zone that stays active.
    pub(crate) held: Option<Held>,
}

/// How a contact that stays active keeps an output on: each registration begins where the time of the one
/// before it is over.
#[derive(Clone, Copy)]
pub(crate) struct Held {
    pub(crate) zone: ZoneId,
    /// How often it registers.
    pub(crate) times: u64,
    /// How long one registration keeps the output on, ms.
    pub(crate) each: u64,
}

impl Run {
    fn end(&self) -> u64 {
        self.length.map_or(u64::MAX, |length| self.after.saturating_add(length))
    }

    /// This one with all that the same event brings for sure and that leaves no pause: told at the one that
    /// ends last.
    fn together(&self, all: &[Self]) -> Self {
        let mut parts = vec![self];
        let (mut start, mut end) = (self.after, self.end());
        let joins = |one: &Self, start, end| one.after <= end && start <= one.end();
        while let Some(more) = all.iter().find(|one| {
            one.each && joins(one, start, end) && !parts.iter().any(|part| part.line == one.line)
        }) {
            (start, end) = (start.min(more.after), end.max(more.end()));
            parts.push(more);
        }
        let Some(last) = parts.iter().max_by_key(|part| part.end()) else { return self.clone() };
        let before = parts.iter().filter(|part| part.after < last.after).map(|part| part.line);
        Self {
            length: (end < u64::MAX).then(|| end - start),
            before: before.collect(),
            earlier: last.after - start,
            ..(*last).clone()
        }
    }

    /// The line that keeps the limit, as text to type; none where no time in it would.
    pub(crate) fn shorter(&self, model: &Model<'_>, output: OutputId, most: u64) -> Option<String> {
        if self.pulses {
            return None;
        }
        let most = most.checked_sub(self.earlier)? / self.held.map_or(1, |held| held.times);
        let hold = longest_hold(model, output, self.lockout, most)?;
        Some(format!("close  {} for {}", model.output(output)?.name.text, time(hold)))
    }
}

/// Every way in which an output is switched on, but for those that another line ends earlier or that
/// never come.
pub(crate) fn runs(facts: &Facts<'_, '_>, id: OutputId) -> Vec<Run> {
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
        let own = registering.drives.iter();
        let mut own = own.filter(|one| one.output == id && one.brings != Brings::None).peekable();
        if own.peek().is_none() || ended(&[Cause::Zone(zone_id)]) {
            continue;
        }
        let mut all = Vec::new();
        for driven in own {
            // The sheet does not say how the controller makes the time.
            if driven.length.is_none() && !driven.latched {
                continue;
            }
            all.push(Run {
                line: driven.line,
                after: driven.delay,
                length: driven.length,
                each: driven.brings == Brings::Each,
                before: Vec::new(),
                earlier: 0,
                lockout: zone.tree.lockout.map_or(0, |lockout| lockout.value),
                pulses: driven.pulses,
                held: None,
            });
        }
        out.extend(all.iter().map(|run| run.together(&all)));
        if let [only] = all.as_slice() {
            out.extend(while_held(only, zone_id, zone, registering));
        }
    }
    let mut by_cause: Vec<(Cause, Vec<Run>)> = Vec::new();
    let switches = |effect: &Effect| match effect {
        Effect::Switch { output, on, .. } => *output == id && *on,
        Effect::Pulse { output, .. } => *output == id,
        _ => false,
    };
    for response in &model.responses {
        if !response.effects.iter().any(|(effect, _)| switches(effect)) {
            continue;
        }
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
            let run = Run {
                line: *line,
                after: response.tree.after.map_or(0, |after| after.value),
                length,
                each: response.all_within.is_none() && response.tree.during.is_none(),
                before: Vec::new(),
                earlier: 0,
                lockout: 0,
                pulses,
                held: None,
            };
            for cause in causes.iter().filter(|cause| !matches!(cause, Cause::Zone(_))) {
                match by_cause.iter_mut().find(|(known, _)| known == cause) {
                    Some((_, runs)) => runs.push(run.clone()),
                    None => by_cause.push((*cause, vec![run.clone()])),
                }
            }
        }
    }
    for (_, all) in by_cause {
        out.extend(all.iter().map(|run| run.together(&all)));
    }
    out
}

/// What a contact that stays active makes of a run that is the only one of its zone, where each registration
/// follows the one before it without a pause, and a limit or the sensor ends them.
fn while_held(run: &Run, id: ZoneId, zone: &Zone<'_>, registering: &Registering) -> Option<Run> {
    let each = run.length?;
    // A time of entry or confirmation is a pause, and so may be a lockout that ends with the run.
    let follows = run.each && run.after == 0 && registering.period == Some(each);
    let alone = zone.tree.confirmed.is_none() && zone.follows.is_none();
    if !follows || !alone || run.lockout >= each || registering.level != Some(true) {
        return None;
    }
    let times = match registering.active? {
        ActiveFor::Time(_) => registering.counts()?,
        ActiveFor::UntilRestored | ActiveFor::WhileHeld => u64::from(registering.limit?),
    };
    let held = Held { zone: id, times, each };
    let length = each.checked_mul(times)?;
    (times > 1).then(|| Run { length: Some(length), held: Some(held), ..run.clone() })
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
