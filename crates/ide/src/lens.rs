//! Lines above things: what tests them, and what to run.

use crate::View;
use crate::names::item_at;
use curtilage_facts::events::Unplayed;
use curtilage_model::{ReadingAt, StoryThing, ZoneId};
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
pub fn lenses(view: View<'_, '_, '_>) -> Vec<Lens> {
    let mut out = Vec::new();
    let Some(source) = view.source() else { return out };
    let model = view.model();
    if view.file != model.root_file() {
        return out;
    }
    for (story, rehearsed) in model.rehearsals.iter().zip(view.facts.rehearsed()) {
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
    for (id, zone) in model.zones_by_id() {
        let (readings, stories) = tests_of(view, id);
        if readings.is_empty() && stories.is_empty() {
            continue;
        }
        let count = |number: usize, one: &str| {
            let plural = if number == 1 { "" } else { "s" };
            (number > 0).then(|| format!("{number} {one}{plural}"))
        };
        let words = [count(readings.len(), "reading"), count(stories.len(), "rehearsal")];
        let words: Vec<String> = words.into_iter().flatten().collect();
        let Some(item) = item_at(source, zone.name.at.span) else { continue };
        out.push(Lens {
            span: item.line(),
            title: format!("repeat after a change: {}", words.join(", ")),
            command: LensCommand::Show(readings.into_iter().chain(stories).collect()),
        });
    }
    out.sort_by_key(|lens| lens.span);
    out
}

/// The meter readings on a zone's loop, and the rehearsals that speak of it.
fn tests_of(view: View<'_, '_, '_>, id: ZoneId) -> (Vec<Span>, Vec<Span>) {
    let model = view.model();
    let input = model.zone(id).and_then(|zone| zone.input?.terminal);
    let on_loop = |at: ReadingAt<'_>| match (at, input) {
        (ReadingAt::Terminal(at), Some(input)) => at.is(&input),
        _ => false,
    };
    let readings = model.readings.iter().filter(|reading| on_loop(reading.at));
    let readings = readings.map(|reading| reading.line.span).collect();
    let stories = model.rehearsals.iter().filter(|story| {
        let things = story.acts.iter().chain(&story.expectations);
        things.flatten().any(|thing| *thing == StoryThing::Zone(id))
    });
    (readings, stories.map(|story| story.tree.line).collect())
}
