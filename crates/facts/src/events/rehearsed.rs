//! The rehearsals of a site, played.

use super::clock::Clock;
use super::drawing::{Drawing, Row, changing, draw, rows};
use super::expect::{Outcome, judge};
use super::making::ms;
use super::plant::plant;
use super::play::{Played, Told, run};
use super::story::{self, Senseless};
use crate::{Facts, Hours, Known, NotKnown, Registering};
use curtilage_events::Ms;
use curtilage_events::player::Input;
use curtilage_model::{Cause, FaultKind, Model, Rehearsal, StoryThing};
use curtilage_syntax::tree::rehearsal::ActKind;

/// A rehearsal that could not be played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unplayed {
    /// It means nothing.
    Senseless(Senseless),
    /// Something that it depends on is not known.
    NotKnown(NotKnown),
}

/// A rehearsal, played.
#[derive(Clone, Debug)]
pub struct Rehearsed {
    /// What happened.
    pub played: Result<Played, Unplayed>,
    /// What became of each expectation, in order; empty when it was not played.
    pub outcomes: Vec<Outcome>,
    /// The stretches that expectations name, in order; a moment is an empty one.
    asked: Vec<Option<(Ms, Ms)>>,
    /// The things of the story, as the lines name them first.
    things: Vec<StoryThing>,
}

/// What to draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Show {
    /// The things of the lines.
    Acts,
    /// The things of the lines, and the thing of one expectation.
    Expectation(usize),
    /// All things of the lines and the expectations, and all that changes.
    Everything,
}

impl Rehearsed {
    /// Whether it was played and every expectation came true.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.played.is_ok() && self.outcomes.iter().all(|outcome| *outcome == Outcome::Holds)
    }

    /// The time line; none when it was not played.
    #[must_use]
    pub fn drawing(
        &self,
        model: &Model<'_>,
        rehearsal: &Rehearsal<'_>,
        show: Show,
    ) -> Option<Drawing> {
        let played = self.played.as_ref().ok()?;
        let mut things = Vec::new();
        let mut add = |thing: StoryThing| {
            if !things.contains(&thing) {
                things.push(thing);
            }
        };
        rehearsal.acts.iter().flatten().for_each(|thing| add(*thing));
        match show {
            Show::Acts => {}
            Show::Expectation(index) => {
                rehearsal.expectations.get(index).copied().flatten().into_iter().for_each(add);
            }
            Show::Everything => {
                self.things.iter().for_each(|thing| add(*thing));
                changing(model, played).into_iter().for_each(add);
            }
        }
        let mut lines: Vec<Row> =
            things.into_iter().flat_map(|thing| rows(model, played, thing)).collect();
        let mut asked = Vec::new();
        if let Show::Expectation(index) = show {
            let stretch = self.asked.get(index).copied().flatten();
            asked.extend(stretch.into_iter().flat_map(|run| [run.0, run.1]));
            lines.extend(stretch.filter(|run| run.0 < run.1).map(Row::expected));
        }
        Some(draw(played, lines, &asked))
    }
}

/// Why nothing can be said about what happens: a statement that could not be read, or a name that
/// is not known, may be one that matters.
pub(crate) fn not_whole(model: &Model<'_>) -> Option<NotKnown> {
    let unread = model.sources().iter().any(|source| !source.parsed.faults.is_empty());
    let lost = model.faults.iter().any(|fault| {
        matches!(
            fault.kind,
            FaultKind::Import(_)
                | FaultKind::UnknownName { .. }
                | FaultKind::WrongKind { .. }
                | FaultKind::DuplicateName { .. }
                | FaultKind::UnknownTerminal { .. }
                | FaultKind::ScheduleCycle(_)
                | FaultKind::Ring(..)
                | FaultKind::BadValue { .. }
        )
    });
    (unread || lost).then(|| {
        NotKnown::because("a statement could not be read, or names something that is not there")
    })
}

/// Plays every rehearsal of a site.
pub(crate) fn rehearsed(facts: &Facts<'_, '_>) -> Vec<Rehearsed> {
    let model = facts.model;
    let whole = not_whole(model);
    let all = model.rehearsals.iter().map(|rehearsal| match &whole {
        Some(why) => Rehearsed {
            played: Err(Unplayed::NotKnown(why.clone())),
            outcomes: Vec::new(),
            asked: Vec::new(),
            things: things(rehearsal),
        },
        None => one(model, &facts.hours, &facts.registering, rehearsal),
    });
    all.collect()
}

fn things(rehearsal: &Rehearsal<'_>) -> Vec<StoryThing> {
    rehearsal.acts.iter().chain(&rehearsal.expectations).flatten().copied().collect()
}

fn one(
    model: &Model<'_>,
    hours: &Hours,
    registering: &[Registering],
    rehearsal: &Rehearsal<'_>,
) -> Rehearsed {
    let mut out = Rehearsed {
        played: Err(Unplayed::NotKnown(NotKnown::because(""))),
        outcomes: Vec::new(),
        asked: Vec::new(),
        things: things(rehearsal),
    };
    let senseless = |found: Senseless| Err(Unplayed::Senseless(found));
    if let Some(found) = story::senseless(model, rehearsal) {
        out.played = senseless(found);
        return out;
    }
    let clock = story::clock(model, rehearsal);
    let instants = match story::instants(&clock, rehearsal) {
        Ok(instants) => instants,
        Err(found) => {
            out.played = senseless(found);
            return out;
        }
    };
    let asked = match story::asked(&clock, rehearsal, instants.iter().copied().min()) {
        Ok(asked) => asked,
        Err(found) => {
            out.played = senseless(found);
            return out;
        }
    };
    match play_it(model, hours, registering, rehearsal, &clock, &instants, &asked) {
        Ok(played) => {
            let lines = rehearsal.tree.expectations.iter().zip(&rehearsal.expectations).zip(&asked);
            for ((expectation, thing), asked) in lines {
                out.outcomes.push(match thing {
                    _ if played.never_settles.is_some() => never_settles(&played),
                    Some(thing) => judge(model, &played, expectation, *thing, *asked),
                    None => Outcome::Holds,
                });
            }
            let stretch = |one: &story::Asked| {
                let start = one.at.or(one.from)?;
                Some((start, start + one.hold.unwrap_or(0)))
            };
            out.asked = asked.iter().map(stretch).collect();
            out.played = Ok(played);
        }
        Err(why) => out.played = Err(Unplayed::NotKnown(why)),
    }
    out
}

fn never_settles(played: &Played) -> Outcome {
    let at = played.clock.show(played.never_settles.unwrap_or(played.from));
    Outcome::Fails {
        instead: format!("from {at} on nothing settles: an output comes back without any delay"),
        why: None,
    }
}

fn play_it(
    model: &Model<'_>,
    hours: &Hours,
    registering: &[Registering],
    rehearsal: &Rehearsal<'_>,
    clock: &Clock,
    instants: &[Ms],
    asked: &[story::Asked],
) -> Known<Played> {
    // The span is not known before the story is told, and the story is told to a plant: the
    // schedules of a week and a month around its lines hold it all.
    let rough = span(rehearsal, instants, asked);
    if rough.1.saturating_sub(rough.0) > LONGEST_STORY {
        return Err(NotKnown::because("a story may last ten years at most"));
    }
    let plant = plant(model, hours, registering, clock, rough, true)?;
    let told: Told = story::told(&plant, rehearsal, instants, asked);
    let moved = told.inputs.iter().filter_map(|input| match input.input {
        Input::Contact(contact, _) => Some(contact.index()),
        _ => None,
    });
    let edges = plant.causes.iter().enumerate().filter_map(|(place, cause)| {
        matches!(cause, Cause::Start(_) | Cause::End(_)).then_some(place)
    });
    let moved = moved.chain(edges);
    if let Some(why) = plant.open_from(moved) {
        return Err(NotKnown::because(why.to_owned()));
    }
    run(model, hours, &plant, clock, &told)
        .ok_or_else(|| NotKnown::because("more happens in this story than can be kept"))
}

const LONGEST_STORY: Ms = 10 * 366 * curtilage_events::DAY;

/// Instants between which everything of a story lies.
fn span(rehearsal: &Rehearsal<'_>, instants: &[Ms], asked: &[story::Asked]) -> (Ms, Ms) {
    let moments = asked.iter().filter_map(|one| one.at.or(one.from));
    let all = || instants.iter().copied().chain(moments.clone());
    let active = rehearsal.tree.acts.iter().map(|act| match act.kind {
        ActKind::Active(Some(hold)) => ms(hold.value),
        _ => 0,
    });
    let longest = asked.iter().filter_map(|one| one.hold).chain(active).max().unwrap_or(0);
    let (first, last) = (all().min().unwrap_or(0), all().max().unwrap_or(0));
    let margin = curtilage_events::WEEK;
    (first - 2 * margin, last.saturating_add(longest).saturating_add(5 * margin))
}
