//! Lines above things: what tests them, and what to run.

use crate::View;
use crate::names::item_at;
use curtilage_facts::events::Unplayed;
use curtilage_model::{Named, ReadingAt, StoryThing};
use curtilage_text::Span;

/// A line above a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lens {
    /// The first line of the thing.
    pub span: Span,
    /// What it says.
    pub title: String,
    /// What happens when it is chosen.
    pub command: LensCommand,
}

/// What a lens does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LensCommand {
    /// Runs a program: these words, from the workspace root.
    Run(Vec<String>),
    /// Shows these places.
    Show(Vec<Span>),
}

/// The lenses of a file, in order.
#[must_use]
pub fn lenses(view: View<'_>) -> Vec<Lens> {
    let mut out = Vec::new();
    let Some(source) = view.source() else { return out };
    let model = view.model();
    if view.file != model.root_file() {
        return out;
    }
    for (story, rehearsed) in model.rehearsals.iter().zip(view.facts().rehearsed()) {
        let failed = rehearsed.outcomes.iter();
        let failed = failed
            .filter(|outcome| !matches!(outcome, curtilage_facts::events::Outcome::Holds))
            .count();
        let came = match &rehearsed.played {
            Ok(_) if failed == 0 => "holds".to_owned(),
            Ok(_) => format!("{failed} of {} expectations fail", rehearsed.outcomes.len()),
            Err(Unplayed::Senseless(_)) => "cannot be played".to_owned(),
            Err(Unplayed::NotKnown(why)) => why.to_string(),
        };
        let words = ["curtilage", "rehearse", &source.path, story.title];
        out.push(Lens {
            span: story.tree.line,
            title: format!("run this rehearsal ({came})"),
            command: LensCommand::Run(words.map(str::to_owned).to_vec()),
        });
    }
    if model.rehearsals.len() > 1
        && let Some(site) = &model.site
    {
        let words = ["curtilage", "rehearse", &source.path];
        out.push(Lens {
            span: site.tree.line,
            title: format!("run all {} rehearsals", model.rehearsals.len()),
            command: LensCommand::Run(words.map(str::to_owned).to_vec()),
        });
    }
    for (thing, name) in things(view) {
        let (readings, stories) = tests_of(view, thing);
        if readings.is_empty() && stories.is_empty() {
            continue;
        }
        let count = |number: usize, one: &str| {
            let plural = if number == 1 { "" } else { "s" };
            (number > 0).then(|| format!("{number} {one}{plural}"))
        };
        let words = [count(readings.len(), "reading"), count(stories.len(), "rehearsal")];
        let words: Vec<String> = words.into_iter().flatten().collect();
        let Some(item) = item_at(source, name.at.span) else { continue };
        out.push(Lens {
            span: item.line(),
            title: format!("repeat after a change: {}", words.join(", ")),
            command: LensCommand::Show(readings.into_iter().chain(stories).collect()),
        });
    }
    out.sort_by_key(|lens| lens.span);
    out
}

/// What readings and rehearsals speak of.
fn things<'a>(view: View<'a>) -> Vec<(StoryThing, Named<'a>)> {
    let model = view.model();
    let zones = model.zones_by_id().map(|(id, thing)| (StoryThing::Zone(id), thing.name));
    let outputs = model.outputs_by_id().map(|(id, thing)| (StoryThing::Output(id), thing.name));
    let cameras = model.cameras_by_id().map(|(id, thing)| (StoryThing::Camera(id), thing.name));
    let supplies = model.supplies_by_id().map(|(id, thing)| (StoryThing::Supply(id), thing.name));
    zones.chain(outputs).chain(cameras).chain(supplies).collect()
}

/// The meter readings at a thing, for a zone those on its loop, and the rehearsals that speak of it.
fn tests_of(view: View<'_>, thing: StoryThing) -> (Vec<Span>, Vec<Span>) {
    let model = view.model();
    let input = match thing {
        StoryThing::Zone(id) => model.zone(id).and_then(|zone| zone.input?.terminal),
        _ => None,
    };
    let is_at = |at: ReadingAt<'_>| match (at, thing) {
        (ReadingAt::Terminal(at), _) => input.is_some_and(|input| at.is(&input)),
        (ReadingAt::Output(at), StoryThing::Output(id)) => at == id,
        (ReadingAt::Supply(at), StoryThing::Supply(id)) => at == id,
        _ => false,
    };
    let readings = model.readings.iter().filter(|reading| is_at(reading.at));
    let readings = readings.map(|reading| reading.line.span).collect();
    let stories = model.rehearsals.iter().filter(|story| {
        let things = story.acts.iter().chain(&story.expectations);
        things.flatten().any(|named| *named == thing)
    });
    (readings, stories.map(|story| story.tree.line).collect())
}
