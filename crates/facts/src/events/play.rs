//! Plays one story and keeps what happened, thing by thing.

use super::clock::Clock;
use super::edges::edges;
use super::plant::Plant;
use crate::Hours;
use curtilage_events::player::{Ended, Event, Limits, Refusal, Story, TimedInput, What, play};
use curtilage_events::system::{Mode, Windows};
use curtilage_events::{Ms, WEEK};
use curtilage_model::{CameraId, Cause, Effect, Model};
use curtilage_syntax::tree::recording::Class;

/// A stretch of time `[start, end)`, ms.
pub type Run = (Ms, Ms);

/// What a zone did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ZoneLine {
    /// When its input saw it active.
    pub active: Vec<Run>,
    /// When it registered.
    pub registers: Vec<Ms>,
    /// When an activation was refused, and why.
    pub refused: Vec<(Ms, Refusal)>,
    /// When an activation came just as its lockout ended.
    pub equal: Vec<Ms>,
}

/// What happened to a camera.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CameraLine {
    /// When a recording began.
    pub recorded: Vec<Ms>,
    /// When a recording was asked for and refused: by the plan, or because the camera was lost.
    pub refused: Vec<Ms>,
    /// When it was lost.
    pub lost: Vec<Run>,
}

/// What happened in a story.
#[derive(Clone, Debug)]
pub struct Played {
    /// Its time.
    pub clock: Clock,
    /// The first instant that counts.
    pub from: Ms,
    /// The first instant that does not count any more.
    pub until: Ms,
    /// When each line of the rehearsal happens, in order.
    pub acts: Vec<Ms>,
    /// By zone.
    pub zones: Vec<ZoneLine>,
    /// By output: when its load was on.
    pub outputs: Vec<Vec<Run>>,
    /// By output: whether its load is on at rest.
    pub rests_on: Vec<bool>,
    /// By camera.
    pub cameras: Vec<CameraLine>,
    /// By people: when they were told.
    pub people: Vec<Vec<Ms>>,
    /// By supply: when it was lost.
    pub supplies: Vec<Vec<Run>>,
    /// By zone: when its tamper contact moved.
    pub tampered: Vec<Vec<Run>>,
    /// The instant from which it never settles, if it does not.
    pub never_settles: Option<Ms>,
}

/// The most events of one story.
const MOST_EVENTS: usize = 200_000;

/// A story that can be played: from when on it counts, and until when.
pub(crate) struct Told {
    pub(crate) from: Ms,
    pub(crate) until: Ms,
    pub(crate) acts: Vec<Ms>,
    pub(crate) inputs: Vec<TimedInput>,
}

impl Told {
    /// Where the player begins: a week before, so that what the schedules have switched and armed
    /// by then is so.
    pub(crate) fn lead(&self) -> Ms {
        self.from - WEEK
    }
}

/// Plays a story; none when more happens than can be kept.
pub(crate) fn run(
    model: &Model<'_>,
    hours: &Hours,
    plant: &Plant,
    clock: &Clock,
    told: &Told,
) -> Option<Played> {
    let lead = told.lead();
    let mut inputs = told.inputs.clone();
    edges(plant, hours, clock, (lead, told.until), &mut inputs);
    let limits = Limits { events: MOST_EVENTS, ..Limits::until(told.until) };
    let story = plant.begun_at_rest(&Story { from: lead, inputs });
    let trace = play(&plant.system, &story, limits);
    let never_settles = match trace.ended {
        Ended::Played => None,
        Ended::NeverSettles(at) => Some(at),
        Ended::TooLong(_) => return None,
    };
    let mut played = Played {
        clock: clock.clone(),
        from: told.from,
        until: told.until,
        acts: told.acts.clone(),
        zones: vec![ZoneLine::default(); model.zones.len()],
        outputs: vec![Vec::new(); model.outputs.len()],
        rests_on: plant.rests_on.clone(),
        cameras: vec![CameraLine::default(); model.cameras.len()],
        people: vec![Vec::new(); model.site.as_ref().map_or(0, |site| site.people.len())],
        supplies: vec![Vec::new(); model.supplies.len()],
        tampered: vec![Vec::new(); model.zones.len()],
        never_settles,
    };
    played.levels(plant, &trace.events);
    played.loads(model, plant, &trace.events, lead);
    let mut notes = Vec::new();
    for event in &trace.events {
        played.event(plant, *event, &mut notes);
    }
    played.notes(model, hours, &notes);
    Some(played)
}

impl Played {
    /// What contacts did.
    fn levels(&mut self, plant: &Plant, events: &[Event]) {
        for (place, cause) in plant.causes.iter().enumerate() {
            let is = |list: &[bool]| list.get(place).copied().unwrap_or(false);
            let starts = is(&plant.inverted) || is(&plant.moved_at_rest);
            let changes = events.iter().filter_map(|event| match event.what {
                What::Level { contact, active } if contact.index() == place => {
                    Some((event.at, active))
                }
                _ => None,
            });
            let runs = runs(changes, starts, self.from - WEEK, self.until);
            match cause {
                Cause::Zone(id) => {
                    if let Some(line) = self.zones.get_mut(id.index()) {
                        line.active = runs;
                    }
                }
                Cause::Tamper(id) => put(&mut self.tampered, id.index(), runs),
                Cause::SupplyLost(id) => put(&mut self.supplies, id.index(), runs),
                Cause::CameraLost(id) => {
                    if let Some(line) = self.cameras.get_mut(id.index()) {
                        line.lost = runs;
                    }
                }
                Cause::Start(_) | Cause::End(_) => {}
            }
        }
    }

    /// What loads did: the relay, turned on the break side, and cut where the output has a limit
    /// of its own.
    fn loads(&mut self, model: &Model<'_>, plant: &Plant, events: &[Event], lead: Ms) {
        let modes = plant.system.outputs().map(|(_, output)| output.mode);
        for ((place, output), mode) in model.outputs.iter().enumerate().zip(modes) {
            let turned = plant.rests_on.get(place).copied().unwrap_or(false);
            let changes = events.iter().filter_map(|event| match event.what {
                What::Output { output, on } if output.index() == place => {
                    Some((event.at, on != turned))
                }
                _ => None,
            });
            let starts = (mode == Mode::ForcedOn) != turned;
            let mut list = runs(changes, starts, lead, self.until);
            if let Some(most) = output.tree.most.filter(|_| !turned) {
                let most = Ms::try_from(most.value).unwrap_or(Ms::MAX);
                for run in &mut list {
                    run.1 = run.1.min(run.0.saturating_add(most));
                }
            }
            put(&mut self.outputs, place, list);
        }
    }

    fn event(&mut self, plant: &Plant, event: Event, notes: &mut Vec<(Ms, Effect)>) {
        let at = event.at;
        let line = |zones: &mut [ZoneLine], zone: usize, with: &mut dyn FnMut(&mut ZoneLine)| {
            // Zones behind those of the model stand for other causes.
            if let Some(line) = zones.get_mut(zone) {
                with(line);
            }
        };
        match event.what {
            What::Registered { zone } => {
                line(&mut self.zones, zone.index(), &mut |line| line.registers.push(at));
            }
            What::Refused { zone, why } => {
                line(&mut self.zones, zone.index(), &mut |line| line.refused.push((at, why)));
            }
            What::OnEquality { zone } => {
                line(&mut self.zones, zone.index(), &mut |line| line.equal.push(at));
            }
            What::Noted { note, .. } => {
                let effect = usize::try_from(note).ok().and_then(|note| plant.notes.get(note));
                notes.extend(effect.map(|effect| (at, effect.clone())));
            }
            _ => {}
        }
    }

    fn notes(&mut self, model: &Model<'_>, hours: &Hours, notes: &[(Ms, Effect)]) {
        let mut kept: Vec<(CameraId, Vec<Windows>)> = Vec::new();
        for (at, effect) in notes {
            match effect {
                Effect::Tell(people) => {
                    if let Some(list) = self.people.get_mut(*people) {
                        list.push(*at);
                    }
                }
                Effect::Record { camera, .. } => {
                    if !kept.iter().any(|(known, _)| known == camera) {
                        let span = (self.from - WEEK, self.until);
                        kept.push((*camera, keeps(model, hours, &self.clock, span, *camera)));
                    }
                    let windows = kept.iter().find(|(known, _)| known == camera);
                    let keeps = windows
                        .is_some_and(|(_, windows)| windows.iter().any(|one| one.contains(*at)));
                    let Some(line) = self.cameras.get_mut(camera.index()) else { continue };
                    let lost = line.lost.iter().any(|run| run.0 <= *at && *at < run.1);
                    let list = if keeps && !lost { &mut line.recorded } else { &mut line.refused };
                    list.push(*at);
                }
                _ => {}
            }
        }
    }
}

/// When the plans of the recorder keep what events of a camera give.
fn keeps(
    model: &Model<'_>,
    hours: &Hours,
    clock: &Clock,
    span: Run,
    camera: CameraId,
) -> Vec<Windows> {
    let channel = model.camera(camera).and_then(|camera| camera.channel);
    let Some(controller) = channel.map(|channel| channel.controller) else { return Vec::new() };
    let plans = model.recordings.iter().filter(|plan| plan.controller == Some(controller));
    let keeps = plans.flat_map(|plan| &plan.keeps);
    keeps
        .filter(|keep| keep.cameras.contains(&camera) && keep.tree.class.value != Class::Motion)
        .filter_map(|keep| clock.windows(hours, keep.during?, span))
        .collect()
}

fn put<T>(list: &mut [T], place: usize, value: T) {
    if let Some(slot) = list.get_mut(place) {
        *slot = value;
    }
}

/// The stretches in which something is on, from its changes.
pub(super) fn runs(
    changes: impl Iterator<Item = (Ms, bool)>,
    starts: bool,
    lead: Ms,
    until: Ms,
) -> Vec<Run> {
    let mut out: Vec<Run> = Vec::new();
    let mut since = starts.then_some(lead);
    for (at, on) in changes {
        match (since, on) {
            (None, true) => since = Some(at),
            (Some(start), false) => {
                since = None;
                if start < at {
                    out.push((start, at));
                }
            }
            _ => {}
        }
    }
    out.extend(since.map(|start| (start, until)));
    out
}
