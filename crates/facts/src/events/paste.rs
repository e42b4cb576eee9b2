//! A story of the explorer as a rehearsal that can be pasted into the file, and then fails.

use super::clock::Clock;
use super::expect::time;
use super::plant::Plant;
use curtilage_events::explorer::Endless;
use curtilage_events::player::{Input, Limits, Story, TimedInput, What, play};
use curtilage_events::{DAY, HOUR, Ms};
use curtilage_model::{Cause, Model, ZoneId};

/// A rehearsal that fails.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pasted {
    /// The whole block.
    pub block: String,
    /// How many lines of it are things that happen.
    pub acts: usize,
    /// What happens in it, on the contacts of the system without clocks.
    pub(super) story: Story,
    /// What shows that its expectation fails.
    pub(super) shows: Shows,
}

/// What becomes of the expectation of a story that fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shows {
    /// The load of an output, by number, is on at an instant.
    On(usize, Ms),
    /// A zone, by number, does not register once.
    NotOnce(usize),
}

/// Where a story is moved to if it comes to the same then: Monday, 10:00.
const MORNING: Ms = 10 * HOUR;

/// The story of a ring that keeps going.
pub(super) fn block(
    model: &Model<'_>,
    plant: &Plant,
    story: &Story,
    zone: ZoneId,
    endless: &Endless,
) -> Option<Pasted> {
    let goes_on = |story: &Story| {
        let last = story.inputs.last().map_or(story.from, |input| input.at);
        let begun = (endless.from - first_of(&endless.story)).max(0) + first_of(story);
        let end = last.max(begun) + 3 * endless.period;
        let trace = play(&plant.system, &plant.begun_at_rest(story), Limits::until(end));
        trace.events.iter().any(|event| {
            let registers =
                matches!(event.what, What::Registered { zone: of } if of.index() == zone.index());
            registers && event.at >= end - endless.period
        })
    };
    let plain = from_outside(model, plant, story).into_iter().find(|story| goes_on(story));
    let story = plain.as_ref().unwrap_or(story);
    let morning = moved(story, MORNING - first_of(story));
    let story = [morning, story.clone()].into_iter().find(|story| goes_on(story))?;
    let (first, last) = (first_of(&story), story.inputs.last()?.at);
    let acts = acts(model, plant, &story)?;
    let after = last.max(first + HOUR);
    let (expected, shows) = open_at(model, plant, &story, endless, after)
        .or_else(|| often(model, plant, &story, zone, after))?;
    let name = model.zone(zone)?.name.text;
    let title = format!("what starts {name} comes to an end");
    Some(written(&title, &acts, &expected, story, shows))
}

fn first_of(story: &Story) -> Ms {
    story.inputs.first().map_or(story.from, |input| input.at)
}

/// Stories of one activation, to stand for one in which a contact moves that only an output can
/// move: the search does not know that nobody else does.
fn from_outside(model: &Model<'_>, plant: &Plant, story: &Story) -> Vec<Story> {
    let follows = |place: usize| {
        let zone = model.zones.get(place);
        zone.is_some_and(|zone| zone.follows.is_some())
    };
    let moves = |input: &Input| matches!(input, Input::Contact(of, _) if follows(of.index()));
    if !story.inputs.iter().any(|input| moves(&input.input)) {
        return Vec::new();
    }
    let at = first_of(story);
    let mut out = Vec::new();
    for (id, contact) in plant.system.contacts() {
        if follows(id.index()) || contact.starts_active {
            continue;
        }
        let longest = contact.longest.unwrap_or(Ms::MAX);
        let active = contact.shortest.max(contact.settle_on + 1).max(1000).min(longest);
        let inputs = [(at, true), (at + active, false)];
        let inputs = inputs.map(|(at, on)| TimedInput { at, input: Input::Contact(id, on) });
        out.push(Story { from: story.from, inputs: inputs.to_vec() });
    }
    out
}

/// The story of a ring that does not settle within an instant.
pub(super) fn unsettled(
    model: &Model<'_>,
    plant: &Plant,
    story: &Story,
    zone: ZoneId,
) -> Option<Pasted> {
    let acts = acts(model, plant, story)?;
    let name = model.zone(zone)?.name.text;
    let (title, expected) = (format!("{name} settles"), format!("{name} registers once"));
    Some(written(&title, &acts, &expected, story.clone(), Shows::NotOnce(zone.index())))
}

fn written(title: &str, acts: &[String], expected: &str, story: Story, shows: Shows) -> Pasted {
    let mut block = format!("rehearsal \"{title}\" {{\n");
    for act in acts {
        block.push_str(&format!("    {act}\n"));
    }
    block.push_str(&format!("    expect  {expected}\n}}"));
    Pasted { block, acts: acts.len(), story, shows }
}

fn moved(story: &Story, by: Ms) -> Story {
    let mut story = story.clone();
    story.from += by;
    for input in &mut story.inputs {
        input.at += by;
    }
    story
}

/// An output of the ring that is still on long after, although nobody does anything any more.
fn open_at(
    model: &Model<'_>,
    plant: &Plant,
    story: &Story,
    endless: &Endless,
    after: Ms,
) -> Option<(String, Shows)> {
    let on_most = endless.duty.iter().filter(|(output, _)| {
        // On the break side the load is off while the relay is driven.
        !plant.rests_on.get(output.index()).copied().unwrap_or(true)
    });
    let (output, _) = on_most.max_by(|a, b| a.1.as_f64().total_cmp(&b.1.as_f64()))?;
    let end = after + 2 * endless.period + 1;
    let trace = play(&plant.system, &plant.begun_at_rest(story), Limits::until(end));
    let mut on = false;
    let mut since = Ms::MIN;
    let mut at = None;
    for event in &trace.events {
        let What::Output { output: of, on: now } = event.what else { continue };
        if of != *output {
            continue;
        }
        if on && event.at > after {
            at = at.or(Some(since.max(after)));
        }
        (on, since) = (now, event.at);
    }
    let at = at.or(on.then_some(since.max(after)))?;
    // A whole second reads better, if it is still on then.
    let round = at + (1000 - at.rem_euclid(1000)) % 1000;
    let still = !trace.events.iter().any(|event| {
        matches!(event.what, What::Output { output: of, on: false } if of == *output)
            && (at..=round).contains(&event.at)
    });
    let at = if still { round } else { at };
    (at - story.inputs.first()?.at < 6 * DAY).then_some(())?;
    let name = model.outputs.get(output.index())?.name.text;
    let expected = format!("{name} open at {}", Clock::Week.show(at));
    Some((expected, Shows::On(output.index(), at)))
}

/// Where no output shows it: how often the zone registers, one fewer than it does.
fn often(
    model: &Model<'_>,
    plant: &Plant,
    story: &Story,
    zone: ZoneId,
    after: Ms,
) -> Option<(String, Shows)> {
    let trace = play(&plant.system, &plant.begun_at_rest(story), Limits::until(after));
    let count = trace.events.iter().filter(
        |event| matches!(event.what, What::Registered { zone: of } if of.index() == zone.index()),
    );
    let name = model.zone(zone)?.name.text;
    let shows = Shows::NotOnce(zone.index());
    (count.count() > 1).then(|| (format!("{name} registers once"), shows))
}

/// The lines of a story; none when it cannot be written with weekdays.
fn acts(model: &Model<'_>, plant: &Plant, story: &Story) -> Option<Vec<String>> {
    let mut list: Vec<(Ms, String)> = Vec::new();
    let mut taken = vec![false; story.inputs.len()];
    for (place, input) in story.inputs.iter().enumerate() {
        let Input::Contact(contact, value) = input.input else { return None };
        if taken.get(place).copied().unwrap_or(true) {
            continue;
        }
        // What an output moves at rest is let go before the story begins.
        let moved = plant.moved_at_rest.get(contact.index()).copied()?;
        if moved && !value && list.is_empty() {
            continue;
        }
        let active = value != plant.inverted.get(contact.index()).copied()?;
        let cause = *plant.causes.get(contact.index())?;
        let over = story.inputs.iter().enumerate().skip(place + 1).find(|(_, other)| {
            matches!(other.input, Input::Contact(of, next) if of == contact && next != value)
        });
        let at = Clock::Week.show(input.at);
        list.push((
            input.at,
            match (cause, active) {
                (Cause::Zone(id), true) => {
                    let name = model.zone(id)?.name.text;
                    match over {
                        Some((over_at, over)) => {
                            *taken.get_mut(over_at)? = true;
                            format!("{at}  {name} active for {}", time(over.at - input.at))
                        }
                        None => format!("{at}  {name} active until restored"),
                    }
                }
                (Cause::Zone(id), false) => format!("{at}  {} restored", model.zone(id)?.name.text),
                (Cause::Tamper(id), true) => {
                    format!("{at}  {} tampered", model.zone(id)?.name.text)
                }
                (Cause::Tamper(id), false) => {
                    format!("{at}  {} restored", model.zone(id)?.name.text)
                }
                (Cause::CameraLost(id), lost) => {
                    let word = if lost { "lost" } else { "returns" };
                    format!("{at}  {} {word}", model.camera(id)?.name.text)
                }
                (Cause::SupplyLost(id), lost) => {
                    let word = if lost { "lost" } else { "returns" };
                    format!("{at}  {} {word}", model.supply(id)?.name.text)
                }
                (Cause::Start(_) | Cause::End(_), _) => return None,
            },
        ));
    }
    let close = list.iter().zip(list.iter().skip(1)).all(|(a, b)| b.0 - a.0 < 6 * DAY);
    close.then(|| list.into_iter().map(|(_, line)| line).collect())
}
