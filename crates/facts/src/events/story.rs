//! From the lines of a rehearsal to the inputs of the player.

use super::HOUR;
use super::clock::Clock;
use super::making::ms;
use super::plant::Plant;
use super::play::Told;
use curtilage_events::Ms;
use curtilage_events::player::{Input, TimedInput};
use curtilage_model::{Cause, Model, Rehearsal, StoryThing, ZoneId};
use curtilage_syntax::tree::Spanned;
use curtilage_syntax::tree::rehearsal::{ActKind, DayOf, Expectation, Moment, Verb};
use curtilage_text::Span;

/// Why a rehearsal means nothing: the words, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Senseless {
    /// The words.
    pub at: Span,
    /// Why.
    pub why: String,
}

/// The moments of an expectation as instants.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Asked {
    pub(crate) from: Option<Ms>,
    pub(crate) at: Option<Ms>,
    pub(crate) hold: Option<Ms>,
}

/// The time of a story: with dates when it gives one.
pub(crate) fn clock(model: &Model<'_>, rehearsal: &Rehearsal<'_>) -> Clock {
    let acts = rehearsal.tree.acts.iter().map(|act| act.at.value);
    let asked = rehearsal.tree.expectations.iter();
    let mut all =
        acts.chain(asked.flat_map(|one| one.from.into_iter().chain(one.at)).map(|m| m.value));
    if all.any(|moment| matches!(moment.day, DayOf::Date(_))) {
        Clock::dated(model)
    } else {
        Clock::Week
    }
}

/// When each line happens. Lines of one day may stand in any order; a weekday before that of the
/// line above is one of the next week.
pub(crate) fn instants(clock: &Clock, rehearsal: &Rehearsal<'_>) -> Result<Vec<Ms>, Senseless> {
    let mut day = None;
    let mut out = Vec::new();
    for act in &rehearsal.tree.acts {
        let at = instant(clock, act.at, day)?;
        day = Some(clock.midnight(at));
        out.push(at);
    }
    Ok(out)
}

fn instant(clock: &Clock, moment: Spanned<Moment>, from: Option<Ms>) -> Result<Ms, Senseless> {
    clock.instant(moment.value, from).ok_or_else(|| Senseless {
        at: moment.span,
        why: match moment.value.day {
            DayOf::Weekday(_) => "a weekday in a story with dates needs a date before it",
            DayOf::Date(_) => "this day is too far away",
        }
        .to_owned(),
    })
}

/// The moments of every expectation, counted from the day of the first line.
pub(crate) fn asked(
    clock: &Clock,
    rehearsal: &Rehearsal<'_>,
    first: Option<Ms>,
) -> Result<Vec<Asked>, Senseless> {
    let day = first.map(|first| clock.midnight(first));
    let moment = |moment: Option<Spanned<Moment>>| {
        moment.map(|moment| instant(clock, moment, day)).transpose()
    };
    let one = |expectation: &Expectation| {
        Ok(Asked {
            from: moment(expectation.from)?,
            at: moment(expectation.at)?,
            hold: expectation.hold.map(|hold| ms(hold.value)),
        })
    };
    rehearsal.tree.expectations.iter().map(one).collect()
}

/// The story as the player takes it. It ends an hour after the last thing that it speaks of.
pub(crate) fn told(
    plant: &Plant,
    rehearsal: &Rehearsal<'_>,
    instants: &[Ms],
    asked: &[Asked],
) -> Told {
    let mut inputs = Vec::new();
    let mut stays: Vec<(ZoneId, Ms, Ms)> = Vec::new();
    let mut restored: Vec<(ZoneId, Ms)> = Vec::new();
    let mut last = Ms::MIN;
    let lines = rehearsal.tree.acts.iter().zip(&rehearsal.acts).zip(instants);
    for ((act, thing), &at) in lines {
        last = last.max(at);
        let (own, tamper) = match thing {
            Some(StoryThing::Zone(id)) => (Cause::Zone(*id), Some(Cause::Tamper(*id))),
            Some(StoryThing::Camera(id)) => (Cause::CameraLost(*id), None),
            Some(StoryThing::Supply(id)) => (Cause::SupplyLost(*id), None),
            _ => continue,
        };
        let mut set =
            |cause: Cause, at: Ms, active: bool| inputs.extend(moved(plant, cause, at, active));
        match (act.kind, tamper) {
            (ActKind::Active(hold), _) => {
                let end = hold.map_or(Ms::MAX, |hold| at.saturating_add(ms(hold.value)));
                last = last.max(if hold.is_some() { end } else { at });
                if let Cause::Zone(zone) = own {
                    stays.push((zone, at, end));
                }
            }
            (ActKind::Restored, _) => {
                if let Cause::Zone(zone) = own {
                    restored.push((zone, at));
                }
                if let Some(tamper) = tamper {
                    set(tamper, at, false);
                }
            }
            (ActKind::Tampered, Some(tamper)) => set(tamper, at, true),
            (ActKind::Tampered, None) => {}
            (ActKind::Lost, _) => set(own, at, true),
            (ActKind::Returns, _) => set(own, at, false),
        }
    }
    for (zone, from, until) in active(stays, restored) {
        let ends = (until < Ms::MAX).then_some((until, false));
        for (at, active) in std::iter::once((from, true)).chain(ends) {
            inputs.extend(moved(plant, Cause::Zone(zone), at, active));
        }
    }
    for one in asked {
        if let Some(at) = one.at.or(one.from) {
            last = last.max(at.saturating_add(one.hold.unwrap_or(0)));
        }
    }
    let first = instants.iter().copied().min();
    let named = asked.iter().filter_map(|one| one.at.or(one.from)).min();
    let from = first.or(named).unwrap_or(0);
    Told { from, until: last.max(from).saturating_add(HOUR), acts: instants.to_vec(), inputs }
}

/// The input that moves a contact, where the plant has it.
fn moved(plant: &Plant, cause: Cause, at: Ms, active: bool) -> Option<TimedInput> {
    let place = plant.causes.iter().position(|other| *other == cause)?;
    let turned = *plant.inverted.get(place)?;
    let input = Input::Contact(*plant.contacts.get(place)?, active != turned);
    Some(TimedInput { at, input })
}

/// The stretches in which sensors are active, whatever the order of the lines: as long as one of them says
/// so, and never beyond the next line that restores it.
fn active(
    mut stays: Vec<(ZoneId, Ms, Ms)>,
    mut restored: Vec<(ZoneId, Ms)>,
) -> Vec<(ZoneId, Ms, Ms)> {
    stays.sort_unstable();
    restored.sort_unstable();
    let mut out: Vec<(ZoneId, Ms, Ms)> = Vec::new();
    for (zone, from, until) in stays {
        let next = restored.partition_point(|known| *known <= (zone, from));
        let next = restored.get(next).filter(|(of, _)| *of == zone);
        let until = next.map_or(until, |(_, at)| until.min(*at));
        match out.last_mut() {
            Some(last) if last.0 == zone && from <= last.2 => last.2 = last.2.max(until),
            _ => out.push((zone, from, until)),
        }
    }
    out
}

/// The first line that cannot be, whatever happens.
pub(crate) fn senseless(model: &Model<'_>, rehearsal: &Rehearsal<'_>) -> Option<Senseless> {
    for (act, thing) in rehearsal.tree.acts.iter().zip(&rehearsal.acts) {
        let Some(thing) = thing else { continue };
        let fits = match act.kind {
            ActKind::Active(_) | ActKind::Restored | ActKind::Tampered => {
                matches!(thing, StoryThing::Zone(_))
            }
            ActKind::Lost | ActKind::Returns => {
                matches!(thing, StoryThing::Camera(_) | StoryThing::Supply(_))
            }
        };
        if !fits {
            let (name, kind) = named(model, *thing);
            let why = format!("`{name}` is {kind}: {}", what_it_does(*thing));
            return Some(Senseless { at: act.line, why });
        }
    }
    let lines = rehearsal.tree.expectations.iter().zip(&rehearsal.expectations);
    for (expectation, thing) in lines {
        let Some(thing) = thing else { continue };
        let fits = match expectation.verb.value {
            Verb::Registers => matches!(thing, StoryThing::Zone(_)),
            Verb::Closed | Verb::Open => matches!(thing, StoryThing::Output(_)),
            Verb::Recorded => matches!(thing, StoryThing::Camera(_)),
            Verb::Told => matches!(thing, StoryThing::People(_)),
        };
        if !fits {
            let (name, kind) = named(model, *thing);
            let why = format!("`{name}` is {kind}: {}", what_is_expected(*thing));
            return Some(Senseless { at: expectation.line, why });
        }
    }
    None
}

/// The name of a thing and its kind in words.
#[must_use]
pub(crate) fn named<'a>(model: &Model<'a>, thing: StoryThing) -> (&'a str, &'static str) {
    match thing {
        StoryThing::Zone(id) => (model.zone(id).map_or("", |one| one.name.text), "a zone"),
        StoryThing::Output(id) => (model.output(id).map_or("", |one| one.name.text), "an output"),
        StoryThing::Camera(id) => (model.camera(id).map_or("", |one| one.name.text), "a camera"),
        StoryThing::Supply(id) => (model.supply(id).map_or("", |one| one.name.text), "a supply"),
        StoryThing::People(index) => {
            let person = model.site.as_ref().and_then(|site| site.people.get(index));
            (person.map_or("", |person| person.name.text), "people")
        }
    }
}

fn what_it_does(thing: StoryThing) -> &'static str {
    match thing {
        StoryThing::Zone(_) => "it is active, restored or tampered",
        StoryThing::Camera(_) | StoryThing::Supply(_) => "it is lost, or returns",
        StoryThing::Output(_) | StoryThing::People(_) => {
            "a story tells what happens to zones, cameras and supplies"
        }
    }
}

fn what_is_expected(thing: StoryThing) -> &'static str {
    match thing {
        StoryThing::Zone(_) => "it registers",
        StoryThing::Output(_) => "it is closed or open",
        StoryThing::Camera(_) => "it is recorded",
        StoryThing::People(_) => "they are told",
        StoryThing::Supply(_) => "nothing can be expected of it",
    }
}
