//! A walk that sets off every response with the fewest activations.

use super::answers::answers;
use super::cover::{Action, cover};
use super::moments::Moments;
use super::response::{apart, never, not_told};
use super::seen::seen;
use crate::table::{Cell, Table, cells};
use crate::words::{self, time};
use curtilage_facts::{Facts, Tampering, tampering};
use curtilage_model::{Cause, Model, Response, ScheduleRef, ZoneId};
use std::collections::BTreeSet;

/// Something to do, with why it has to be done so.
struct Step {
    activates: BTreeSet<usize>,
    within: Option<u64>,
}

/// The walk, and below it how near it is to the least.
pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let model = facts.model;
    let head = ["step", "area", "do", "sets off", "expect", "pass"];
    let mut table = Table::new("walk", "The shortest walk", &head);
    table.about = "Every response is set off once, with all that it does. It does not take the place of the tests below: a zone that is not on it is not tested by it.".to_owned();
    let causes = causes(model);
    let steps = steps(model, &causes);
    let moments = Moments::of(facts);
    let (of, actions): (Vec<usize>, Vec<Action>) =
        actions(facts, &causes, &steps, &moments).into_iter().unzip();
    let found = cover(&actions);
    let step = |at: usize| steps.get(*of.get(at)?);
    let chosen = found.chosen.iter().filter_map(|at| Some((step(*at)?, actions.get(*at)?)));
    let mut chosen: Vec<(&Step, &Action)> = chosen.collect();
    chosen.sort_by_key(|(step, _)| place(model, &causes, step));
    let mut done: BTreeSet<usize> = BTreeSet::new();
    for (step, action) in &chosen {
        let new: Vec<usize> =
            action.reaches.iter().copied().filter(|response| done.insert(*response)).collect();
        // What the steps before have set off is not gone for again.
        if !new.is_empty() {
            row(facts, &causes, &moments, &mut table, (step, action, &new));
        }
    }
    let all = model.responses.len();
    table.note(format!(
        "{} set off {} of {}",
        counted(found.activations, "activation"),
        done.len(),
        counted(all, "response")
    ));
    // On a date that is no ordinary one hours may meet that do not otherwise.
    let week = if moments.count() > 1 { " in an ordinary week" } else { "" };
    let across = |cause: &usize| cause % (moments.count() + 1) == moments.count();
    table.note(if actions.iter().any(|action| action.activates.iter().any(across)) {
        // What else it sets off hangs on which comes first.
        "fewer may do, where hours change between two activations".to_owned()
    } else if found.at_least == found.activations {
        format!(
            "no walk needs fewer{week}: every other choice was looked at, or ruled out by counting"
        )
    } else {
        format!("no walk needs fewer than {}{week}", found.at_least)
    });
    let at_any_time: BTreeSet<usize> =
        steps.iter().flat_map(|step| reached(facts, &causes, &step.activates, &|_| None)).collect();
    for (index, response) in model.responses.iter().enumerate() {
        if done.contains(&index) {
            continue;
        }
        let name = words::response(model, index);
        let why = match never(facts, response) {
            Some(why) => format!("nothing sets off {name}: {why}"),
            None if at_any_time.contains(&index) => {
                format!("nothing sets off {name} in an ordinary week: {}", apart(response))
            }
            None => format!("nothing that is known sets off {name}"),
        };
        table.note(Cell::hole(why));
    }
    table
}

/// What can be done: each step in each moment, with the step's index. An activation in another
/// moment is another activation.
fn actions(
    facts: &Facts<'_, '_>,
    causes: &[Cause],
    steps: &[Step],
    moments: &Moments,
) -> Vec<(usize, Action)> {
    let model = facts.model;
    let mut uses = vec![0_usize; causes.len()];
    for cause in steps.iter().flat_map(|step| &step.activates) {
        if let Some(count) = uses.get_mut(*cause) {
            *count += 1;
        }
    }
    let mut out: Vec<(usize, Action)> = Vec::new();
    for (at, step) in steps.iter().enumerate() {
        let mut own: Vec<Action> = Vec::new();
        let mut all: BTreeSet<usize> = BTreeSet::new();
        // Nothing else can use what only this step activates: a moment that reaches more is enough.
        let alone = step.activates.iter().all(|cause| uses.get(*cause) == Some(&1));
        let single = step.activates.len() == 1 && alone;
        for moment in 0..moments.count() {
            let counts = |schedule: ScheduleRef| moments.counts(moment, schedule);
            let reaches = reached(facts, causes, &step.activates, &counts);
            all.extend(&reaches);
            let beaten = |known: &Action| reaches.is_subset(&known.reaches);
            if reaches.is_empty() || single && own.iter().any(beaten) {
                continue;
            }
            if single {
                own.retain(|known| !known.reaches.is_subset(&reaches));
            }
            own.push(Action { activates: in_moment(step, moments, moment), reaches });
        }
        // Several that belong together may lie on both sides of the end of some hours.
        if step.activates.len() > 1 {
            let mut reaches = reached(facts, causes, &step.activates, &|_| None);
            reaches.retain(|index| {
                let response = model.responses.get(*index);
                !all.contains(index) && response.is_some_and(|one| never(facts, one).is_none())
            });
            if !reaches.is_empty() {
                let activates = in_moment(step, moments, moments.count());
                own.push(Action { activates, reaches });
            }
        }
        out.extend(own.into_iter().map(|action| (at, action)));
    }
    out
}

/// The activations of a step in a moment; the one behind the last is across two of them.
fn in_moment(step: &Step, moments: &Moments, moment: usize) -> BTreeSet<usize> {
    step.activates.iter().map(|cause| cause * (moments.count() + 1) + moment).collect()
}

fn counted(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

/// Everything that causes something, each once.
fn causes(model: &Model<'_>) -> Vec<Cause> {
    let mut out: Vec<Cause> = Vec::new();
    for response in &model.responses {
        for (cause, _) in &response.causes {
            if !out.contains(cause) {
                out.push(*cause);
            }
        }
    }
    // A zone that only confirms another one is activated too.
    for zone in &model.zones {
        if let Some(other) = zone.confirmed.map(Cause::Zone)
            && !out.contains(&other)
        {
            out.push(other);
        }
    }
    out
}

/// What has to be activated for a cause to count: itself, and what confirms it.
fn with_confirmation(
    model: &Model<'_>,
    causes: &[Cause],
    cause: Cause,
    out: &mut BTreeSet<usize>,
) -> Option<u64> {
    let mut within = None;
    let mut next = Some(cause);
    while let Some(cause) = next.take() {
        let Some(at) = causes.iter().position(|known| *known == cause) else { break };
        // Two zones that confirm each other end here.
        if !out.insert(at) {
            break;
        }
        let Cause::Zone(id) = cause else { break };
        let Some(zone) = model.zone(id) else { break };
        if let (Some(other), Some((_, time))) = (zone.confirmed, zone.tree.confirmed) {
            within = Some(within.map_or(time.value, |least: u64| least.min(time.value)));
            next = Some(Cause::Zone(other));
        }
    }
    within
}

fn steps(model: &Model<'_>, causes: &[Cause]) -> Vec<Step> {
    let mut out: Vec<Step> = Vec::new();
    for cause in causes {
        if not_told(model, cause) {
            continue;
        }
        let mut activates = BTreeSet::new();
        let within = with_confirmation(model, causes, *cause, &mut activates);
        out.push(Step { activates, within });
    }
    for response in &model.responses {
        let Some(mut within) = response.all_within else { continue };
        // A cause that is not known cannot be activated: it never answers.
        if response.causes.len() != response.tree.causes.list().len()
            || response.causes.iter().any(|(cause, _)| not_told(model, cause))
        {
            continue;
        }
        let mut activates = BTreeSet::new();
        for (cause, _) in &response.causes {
            if let Some(least) = with_confirmation(model, causes, *cause, &mut activates) {
                within = within.min(least);
            }
        }
        out.push(Step { activates, within: Some(within) });
    }
    out
}

/// The responses that activating some causes together sets off while some schedules count, with
/// those that follow from what they switch.
fn reached(
    facts: &Facts<'_, '_>,
    causes: &[Cause],
    activates: &BTreeSet<usize>,
    now: &dyn Fn(ScheduleRef) -> Option<bool>,
) -> BTreeSet<usize> {
    answers(facts, &named(causes, activates), now).iter().map(|answer| answer.response).collect()
}

/// Some of the causes, in their order.
fn named(causes: &[Cause], activates: &BTreeSet<usize>) -> Vec<Cause> {
    activates.iter().filter_map(|at| causes.get(*at).copied()).collect()
}

/// Where a step lies on the walk: by area, then as written.
fn place(model: &Model<'_>, causes: &[Cause], step: &Step) -> (usize, usize) {
    let first = step.activates.first().copied().unwrap_or(0);
    let area = causes.get(first).and_then(|cause| area(model, *cause));
    (area.unwrap_or(usize::MAX), first)
}

fn area(model: &Model<'_>, cause: Cause) -> Option<usize> {
    match cause {
        Cause::Zone(id) | Cause::Tamper(id) => model.zone(id)?.area,
        Cause::CameraLost(id) => model.camera(id)?.area,
        _ => None,
    }
}

/// A row of the walk: what is done, and the responses that are set off by it first.
type Row<'r> = (&'r Step, &'r Action, &'r [usize]);

fn row(
    facts: &Facts<'_, '_>,
    causes: &[Cause],
    moments: &Moments,
    table: &mut Table,
    (step, action, new): Row<'_>,
) {
    let model = facts.model;
    let own = named(causes, &step.activates);
    // Of a step across two moments it is not known which hours count.
    let moment = action.activates.first().map_or(0, |at| at % (moments.count() + 1));
    let counts = |schedule: ScheduleRef| moments.counts(moment, schedule);
    let answers = answers(facts, &own, &counts);
    let doing: Vec<String> = own.iter().map(|cause| doing(model, *cause)).collect();
    let mut action = doing.join(", and ");
    if let Some(within) = step.within {
        action.push_str(&format!(", within {}", time(within)));
    }
    let answering = answers.iter().filter_map(|answer| {
        let response = model.responses.get(answer.response)?;
        let told = new.contains(&answer.response)
            || response.during.is_some_and(|(during, _)| counts(during) == Some(true));
        told.then_some(response)
    });
    let hours = hours(model, &own, answering);
    if !hours.is_empty() {
        action.push_str(&format!(", during {}", hours.join(" and ")));
    }
    let area = own.first().and_then(|cause| area(model, *cause));
    let sets: Vec<String> = new
        .iter()
        .filter_map(|index| {
            let response = model.responses.get(*index)?;
            let conditions = words::conditions(model, response);
            let name = words::response(model, *index);
            Some(if conditions.is_empty() { name } else { format!("{name} ({conditions})") })
        })
        .collect();
    let given = |schedule: ScheduleRef| counts(schedule) == Some(true);
    let expect = seen(facts, &answers, &|index| new.contains(&index), &given);
    table.row(cells![
        (table.rows.len() + 1).to_string(),
        words::area(model, area),
        action,
        sets.join(", "),
        expect,
        Cell::fill()
    ]);
}

/// The schedules that have to count for causes to set off responses.
fn hours<'a, 'm>(
    model: &Model<'a>,
    causes: &[Cause],
    responses: impl Iterator<Item = &'m Response<'a>>,
) -> Vec<&'a str>
where
    'a: 'm,
{
    let armed = causes.iter().filter_map(|cause| match cause {
        Cause::Zone(id) => model.zone(*id)?.armed,
        _ => None,
    });
    let mut out: Vec<&str> = Vec::new();
    for (schedule, _) in armed.chain(responses.filter_map(|response| response.during)) {
        let name = model.schedule_name(schedule);
        if schedule != ScheduleRef::Always && !out.contains(&name) {
            out.push(name);
        }
    }
    out
}

/// What makes a cause happen.
pub(super) fn doing(model: &Model<'_>, cause: Cause) -> String {
    match cause {
        Cause::Zone(id) => match model.zone(id).and_then(|zone| zone.follows) {
            Some(output) => format!("let {} run", words::output(model, output)),
            None => format!("activate {}", words::zone(model, id)),
        },
        Cause::Tamper(id) => tamper(model, id),
        Cause::CameraLost(id) => format!("unplug {}", words::camera(model, id)),
        Cause::SupplyLost(id) => format!("switch the mains of {} off", words::supply(model, id)),
        Cause::Start(id) => format!("wait for {} to begin", model.schedule_name(id)),
        Cause::End(id) => format!("wait for {} to end", model.schedule_name(id)),
    }
}

/// What makes `tamper of` a zone happen.
fn tamper(model: &Model<'_>, id: ZoneId) -> String {
    let name = words::zone(model, id);
    match model.zone(id).map(|zone| tampering(model, zone)) {
        Some(Tampering::Cut) => format!("take a wire of {name} off its terminal"),
        Some(Tampering::Shorted) => format!("short the wires of {name}"),
        _ => format!("open the cover of {name}"),
    }
}
