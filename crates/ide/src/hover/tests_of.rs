//! Lines that test the site: a meter reading and its window, an expectation and what became of it,
//! an exception and whether it still holds.

use super::Page;
use crate::View;
use crate::figures::{span, volts};
use crate::line::Line;
use curtilage_facts::Like;
use curtilage_facts::events::{Outcome, Unplayed};
use curtilage_text::Place;
use curtilage_units::{Dimension, ohms};

/// What is known of a line that tests something, beside its form.
pub(super) fn hover(view: View<'_, '_, '_>, line: Line<'_>) -> Option<String> {
    let at = Place::new(view.file, line.statement.line());
    reading(view, at).or_else(|| expectation(view, at)).or_else(|| exception(view, at))
}

fn reading(view: View<'_, '_, '_>, at: Place) -> Option<String> {
    let model = view.model();
    let index = model.readings.iter().position(|reading| reading.line == at)?;
    let (reading, held) = (model.readings.get(index)?, view.facts.readings.get(index)?);
    let condition = reading.tree.condition.value.word();
    let thing = crate::symbols::one_line(model.text(Place::new(at.file, reading.tree.at.span())));
    let mut page = Page::new("reading", &thing, Some(condition));
    match &held.window {
        Ok(window) => {
            let show = |value| match reading.tree.dimension {
                Dimension::Resistance => ohms(value),
                _ => volts(value),
            };
            let window = span(window.lo(), window.hi(), show);
            let how = if held.outside { "**outside**" } else { "inside" };
            page.say(format!("{how} the window of {window}"));
        }
        Err(why) => page.say(format!("what it should be is {why}")),
    }
    if let Some((zone, _)) = held.zone
        && let Some(zone) = model.zones.get(zone)
    {
        page.say(format!("on the loop of `{}`", zone.name.text));
    }
    for like in held.outside.then_some(&held.like).into_iter().flatten() {
        match like {
            Like::State(state) => page.say(format!("it reads like the loop {}", state.words())),
            Like::Nearest(state) => {
                page.say(format!(
                    "no single fault fits; it is nearest to the loop {}",
                    state.words()
                ));
            }
            _ => {}
        }
    }
    Some(page.done())
}

fn expectation(view: View<'_, '_, '_>, at: Place) -> Option<String> {
    let model = view.model();
    let stories = model.rehearsals.iter().zip(view.facts.rehearsed());
    for (story, rehearsed) in stories.filter(|(story, _)| story.file == at.file) {
        let expectations = &story.tree.expectations;
        let found = expectations.iter().position(|expected| expected.line == at.span);
        let Some(index) = found else { continue };
        let mut page = Page::new("expectation", story.title, None);
        match (&rehearsed.played, rehearsed.outcomes.get(index)) {
            (Err(Unplayed::NotKnown(why)), _) => page.say(why.to_string()),
            (Err(Unplayed::Senseless(_)), _) | (_, None) => page.say("it cannot be played"),
            (_, Some(Outcome::Holds)) => page.say("**holds**"),
            (_, Some(Outcome::Fails { instead, why })) => {
                page.say(format!("**fails**: {instead}"));
                if let Some(why) = why {
                    page.say(why);
                }
            }
        }
        return Some(page.done());
    }
    None
}

fn exception(view: View<'_, '_, '_>, at: Place) -> Option<String> {
    let model = view.model();
    let allow = model.allows.iter().find(|allow| allow.line == at)?;
    let mut page = Page::new("exception", allow.rule.text, Some(allow.because));
    let rule = curtilage_rules::rule(allow.rule.text);
    if let Some(rule) = rule {
        page.say(rule.about);
    }
    let until = model.text(Place::new(at.file, allow.until.span));
    let over = allow.until.value < view.facts.options.today;
    page.say(if over { format!("ran out on {until}") } else { format!("holds until {until}") });
    Some(page.done())
}
