//! What the engine knows about every story, as facts.

use super::by_the_clock::with_the_clock;
use super::clock::Clock;
use super::feedback::{Path, comes_back};
use super::paste::{Pasted, Shows};
use super::plant::{Plant, plant};
use super::play::{Told, run};
use super::rehearsed::not_whole;
use super::rings::{QUICK, because, keeps, rings};
use crate::{Facts, Known, NotKnown};
use curtilage_events::explorer::{Answer, Bounds, Explorer, WhyDeaf};
use curtilage_events::player::{Input, TimedInput};
use curtilage_events::system::ZoneId as EngineZone;
use curtilage_events::{DAY, HOUR, Ms, WEEK};
use curtilage_model::{Cause, OutputId, ZoneId};

/// A ring of zones, responses and outputs that may keep itself going.
#[derive(Clone, Debug)]
pub struct KeepsGoing {
    /// Its zones.
    pub zones: Vec<ZoneId>,
    /// Its responses, by index.
    pub responses: Vec<usize>,
    /// Its outputs.
    pub outputs: Vec<OutputId>,
    /// The ways from its outputs to its zones.
    pub paths: Vec<(OutputId, ZoneId, Path)>,
    /// Whether it does, with all sensors at rest.
    pub answer: Known<Option<Keeps>>,
}

/// How a ring keeps itself going.
#[derive(Clone, Debug)]
pub struct Keeps {
    /// A zone of it that registers for ever.
    pub zone: ZoneId,
    /// ms after which it repeats; none when it does not even settle in one instant.
    pub period: Option<Ms>,
    /// Registrations in a period.
    pub registrations: u64,
    /// The share of time for which each output is on.
    pub duty: Vec<(OutputId, f64)>,
    /// The shortest story that starts it, as a rehearsal that fails.
    pub story: Option<Pasted>,
    /// How many sets of states were looked at.
    pub states: usize,
}

/// The most of something in a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Most {
    /// A story shows this much.
    pub at_least: i64,
    /// It is never more than this.
    pub at_most: i64,
}

impl Most {
    fn of(most: curtilage_events::explorer::Most) -> Self {
        Self { at_least: most.at_least, at_most: most.at_most }
    }
}

/// A stretch of time in which a first activation comes to nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Deafness {
    /// Why.
    pub why: WhyDeaf,
    /// ms by the clock that was asked by: of the week, or from 1970.
    pub from: Ms,
    /// ms by the same clock.
    pub until: Ms,
}

impl Facts<'_, '_> {
    /// The system of the ordinary week, on which questions for every story are asked. Beginnings
    /// and ends of schedules cause nothing in it: they come by the clock, not from a sensor.
    ///
    /// # Errors
    /// When the model does not say enough.
    pub fn plant(&self) -> Result<&Plant, &NotKnown> {
        let build = || match not_whole(self.model) {
            Some(why) => Err(why),
            None => {
                let (hours, registering) = (&self.hours, &self.registering);
                plant(self.model, hours, registering, &Clock::Week, (0, WEEK), false)
            }
        };
        self.events.plant.get_or_init(build).as_ref()
    }

    /// The ways by which outputs come back to zones, in the order of outputs.
    #[must_use]
    pub fn paths(&self) -> Vec<(OutputId, ZoneId, Path)> {
        let model = self.model;
        let output = |place: usize| model.outputs_by_id().map(|(id, _)| id).nth(place);
        let zone = |place: usize| model.zones_by_id().map(|(id, _)| id).nth(place);
        let all = super::feedback::paths(model).into_iter();
        all.filter_map(|(from, to, path)| Some((output(from)?, zone(to)?, path))).collect()
    }

    /// The rings of outputs and zones, and whether they keep themselves going.
    #[must_use]
    pub fn feedback(&self) -> &[KeepsGoing] {
        self.events.feedback.get_or_init(|| {
            if !comes_back(self.model) {
                return Vec::new();
            }
            self.plant().map_or_else(|_| Vec::new(), |plant| rings(self.model, plant))
        })
    }

    /// Whether a zone can register for ever while one sensor stays active; none when it cannot.
    ///
    /// # Errors
    /// When it is not known.
    pub fn held_for_ever(&self, zone: ZoneId) -> Known<Option<Keeps>> {
        let answers = self.events.held.get_or_init(|| {
            self.of_each_zone(|explorer, plant, zone, id| {
                let before = explorer.states();
                let answer = explorer.held(id);
                keeps(self.model, plant, zone, answer, explorer.states() - before)
            })
        });
        match answers.get(zone.index()) {
            Some(Some(answer)) => answer.clone(),
            _ => self.plant().map(|_| None).map_err(Clone::clone),
        }
    }

    /// The shortest story in which a zone registers for ever while one sensor stays active, where a
    /// short search shows it.
    #[must_use]
    pub fn held_story(&self, zone: ZoneId) -> Option<Pasted> {
        let plant = self.plant().ok()?;
        let id = plant.zone_of(Cause::Zone(zone))?;
        if plant.open_into(id).is_some() {
            return None;
        }
        let mut explorer = Explorer::new(&plant.system, QUICK);
        let answer = explorer.held(id);
        let story = keeps(self.model, plant, zone, answer, explorer.states()).ok()??.story?;
        self.fails(plant, &story).then_some(story)
    }

    /// Whether a story fails as a rehearsal of the file: played after a week of clocks, with what cuts
    /// out by itself.
    fn fails(&self, plant: &Plant, pasted: &Pasted) -> bool {
        let (hours, registering) = (&self.hours, &self.registering);
        let moments = || pasted.story.inputs.iter().map(|input| input.at);
        let (Some(from), Some(last)) = (moments().min(), moments().max()) else { return false };
        let until = match pasted.shows {
            Shows::On(_, at) => last.max(at),
            Shows::NotOnce(_) => last,
        };
        let until = until.saturating_add(HOUR);
        let span = (from, until);
        let Ok(clocked) =
            super::plant::plant(self.model, hours, registering, &Clock::Week, span, true)
        else {
            return false;
        };
        let moved = pasted.story.inputs.iter().filter_map(|input| {
            let Input::Contact(contact, value) = input.input else { return None };
            let contact = clocked.contact_of(*plant.causes.get(contact.index())?)?;
            Some(TimedInput { at: input.at, input: Input::Contact(contact, value) })
        });
        let told = Told { from, until, acts: Vec::new(), inputs: moved.collect() };
        let Some(played) = run(self.model, hours, &clocked, &Clock::Week, &told) else {
            return false;
        };
        match pasted.shows {
            Shows::On(output, at) => played
                .outputs
                .get(output)
                .is_some_and(|runs| runs.iter().any(|(on, off)| (*on..*off).contains(&at))),
            Shows::NotOnce(zone) => {
                played.zones.get(zone).is_some_and(|line| line.registers.len() != 1)
            }
        }
    }

    /// The most registrations of a zone in any hour.
    ///
    /// # Errors
    /// When it is not known.
    pub fn most_in_an_hour(&self, zone: ZoneId) -> Known<Most> {
        let answers = self.events.hour.get_or_init(|| {
            self.of_each_zone(|explorer, _, _, id| {
                let most = explorer.most_registrations(id, HOUR);
                most.map(Most::of).ok_or_else(|| NotKnown::because("no such zone"))
            })
        });
        answered(answers.get(zone.index()), "no such zone")
    }

    /// The longest time, ms, for which an output's relay can be driven in any day, by sensors and by
    /// schedules. On the break side that is how long its load can be off.
    ///
    /// # Errors
    /// When it is not known.
    pub fn longest_in_a_day(&self, output: OutputId) -> Known<Most> {
        let no_such = || NotKnown::because("no such output");
        let answers = self.events.day.get_or_init(|| {
            let plant = match self.plant() {
                Ok(plant) => plant,
                Err(why) => return vec![Some(Err(why.clone())); self.model.outputs.len()],
            };
            let mut explorer = Explorer::new(&plant.system, Bounds::default());
            let mut one = |output| {
                let id = plant.output_of(output)?;
                if let Some(why) = plant.open_into_output(id) {
                    return Some(Err(NotKnown::because(why.to_owned())));
                }
                Some(explorer.longest_on(id, DAY).map(Most::of).ok_or_else(no_such))
            };
            let mut all: Vec<_> =
                self.model.outputs_by_id().map(|(output, _)| one(output)).collect();
            with_the_clock(self, &mut all);
            all
        });
        answered(answers.get(output.index()), "no such output")
    }

    /// Asks one explorer about each zone, in the order of zones; nothing of a zone that is not in
    /// the system.
    fn of_each_zone<T: Clone>(
        &self,
        mut ask: impl FnMut(&mut Explorer<'_>, &Plant, ZoneId, EngineZone) -> Known<T>,
    ) -> Vec<Option<Known<T>>> {
        let plant = match self.plant() {
            Ok(plant) => plant,
            Err(why) => return vec![Some(Err(why.clone())); self.model.zones.len()],
        };
        let mut explorer = Explorer::new(&plant.system, Bounds::default());
        let mut one = |zone| {
            let id = plant.zone_of(Cause::Zone(zone))?;
            Some(match plant.open_into(id) {
                Some(why) => Err(NotKnown::because(why.to_owned())),
                None => ask(&mut explorer, plant, zone, id),
            })
        };
        self.model.zones_by_id().map(|(zone, _)| one(zone)).collect()
    }

    /// The stretches of an ordinary week in which a first activation of a zone is not heard, or is
    /// heard and does nothing.
    ///
    /// # Errors
    /// When it is not known.
    pub fn deaf(&self, zone: ZoneId) -> Known<Vec<Deafness>> {
        deaf(self.plant().map_err(Clone::clone)?, zone, (0, WEEK))
    }
}

/// The stretches of a span in which a first activation of a zone comes to nothing.
pub(super) fn deaf(plant: &Plant, zone: ZoneId, span: (Ms, Ms)) -> Known<Vec<Deafness>> {
    let Some(id) = plant.zone_of(Cause::Zone(zone)) else { return Ok(Vec::new()) };
    if let Some(why) = plant.open_into(id) {
        return Err(NotKnown::because(why.to_owned()));
    }
    match Explorer::new(&plant.system, Bounds::default()).deaf(id, span.0, span.1) {
        Answer::Yes(all) => {
            let all = all.into_iter();
            let deaf =
                all.map(|deaf| Deafness { why: deaf.why, from: deaf.from, until: deaf.until });
            Ok(deaf.collect())
        }
        Answer::No(_) => Ok(Vec::new()),
        Answer::NotKnown { reason, .. } => Err(NotKnown::because(because(&reason))),
    }
}

fn answered<T: Clone>(answer: Option<&Option<Known<T>>>, otherwise: &'static str) -> Known<T> {
    match answer {
        Some(Some(answer)) => answer.clone(),
        _ => Err(NotKnown::because(otherwise)),
    }
}
