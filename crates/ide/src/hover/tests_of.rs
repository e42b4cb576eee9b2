//! Lines that test the site: a meter reading and its window, a rehearsal and what became of it, an
//! exception and whether it still holds, a limit and what is held against it.

use super::Page;
use crate::View;
use crate::figures::{span, volts};
use crate::line::Line;
use curtilage_facts::Like;
use curtilage_facts::events::{Outcome, Show, Unplayed};
use curtilage_model::Rehearsal;
use curtilage_text::{Place, Span};
use curtilage_units::{Dimension, ohms};

/// What is known of a line that tests something, beside its form.
pub(super) fn hover(view: View<'_>, line: Line<'_>) -> Option<String> {
    let at = Place::new(view.file, line.statement.line());
    reading(view, at)
        .or_else(|| rehearsal(view, at))
        .or_else(|| expectation(view, at))
        .or_else(|| exception(view, at))
        .or_else(|| limit(view, at))
}

/// A whole rehearsal: whether it holds, and its time line.
fn rehearsal(view: View<'_>, at: Place) -> Option<String> {
    let model = view.model();
    let mut stories = model.rehearsals.iter().zip(view.facts().rehearsed());
    let own = |story: &Rehearsal<'_>| story.file == at.file && story.tree.line == at.span;
    let (story, rehearsed) = stories.find(|(story, _)| own(story))?;
    let mut page = Page::new("rehearsal", story.title, None);
    page.say(if rehearsed.holds() { "**holds**" } else { "**does not hold**" });
    for outcome in &rehearsed.outcomes {
        if let Outcome::Fails { instead, .. } = outcome {
            page.under(instead);
        }
    }
    match &rehearsed.played {
        Err(Unplayed::NotKnown(why)) => page.under(why.to_string()),
        Err(Unplayed::Senseless(_)) => page.under("it cannot be played"),
        Ok(played) => {
            let drawing = rehearsed.drawing(model, story, Show::Everything);
            if let Some(drawing) = drawing {
                page.drawing(&lines(&drawing.text(played)));
            }
        }
    }
    Some(page.done())
}

/// A text that ends with its last line.
fn lines(text: &str) -> String {
    let text = text.trim_end();
    if text.is_empty() { String::new() } else { format!("{text}\n") }
}

/// A limit of the policy, and the figures of the site that are held against it.
fn limit(view: View<'_>, at: Place) -> Option<String> {
    let facts = view.facts();
    let policy = facts.model.policy.as_ref().filter(|policy| policy.file == at.file)?;
    let tree = policy.tree;
    let is = |line: Option<Span>| line == Some(at.span);
    let battery =
        is(tree.standby.map(|limit| limit.line)) || is(tree.alarm_time.map(|limit| limit.line));
    let recharge = is(tree.recharge.map(|limit| limit.line));
    let spare = is(tree.spare.map(|limit| limit.line));
    if !(battery || recharge || spare) {
        return None;
    }
    let mut page = Page::new("limit of policy", policy.name.text, None);
    for (id, supply) in facts.model.supplies_by_id() {
        let name = supply.name.text;
        let standby = facts.standby.get(id.index()).and_then(Option::as_ref);
        let words = if battery {
            standby.and_then(crate::figures::lasts).map(|(short, _)| short)
        } else if recharge {
            let hours = standby.and_then(|standby| standby.recharge.as_ref().ok());
            hours.map(|hours| format!("recharges in {}", crate::figures::hours(*hours)))
        } else {
            crate::figures::supply_load(facts, id)
        };
        if let Some(words) = words {
            page.say(format!("`{name}`: {words}"));
        }
    }
    Some(page.done())
}

fn reading(view: View<'_>, at: Place) -> Option<String> {
    let model = view.model();
    let index = model.readings.iter().position(|reading| reading.line == at)?;
    let (reading, held) = (model.readings.get(index)?, view.facts().readings.get(index)?);
    let condition = reading.tree.condition.value.word();
    let thing = crate::symbols::one_line(model.text(Place::new(at.file, reading.tree.at.span())));
    let mut page = Page::new("reading", &thing, Some(condition));
    match &held.window {
        Ok(window) => {
            let show = |value| match reading.tree.dimension {
                Dimension::Resistance => ohms(value),
                _ => volts(value),
            };
            let value = reading.tree.value.value;
            let held_in = window.lo() <= value && value <= window.hi();
            let window = span(window.lo(), window.hi(), show);
            let how = match (held.outside, held_in) {
                (true, _) => "**outside** the window of",
                (false, true) => "inside the window of",
                (false, false) => "no further than a meter errs from the window of",
            };
            page.say(format!("{how} {window}"));
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
            Like::InLine(state, _) => {
                page.say(format!(
                    "it reads like the loop {}, with more in the line",
                    state.words()
                ));
            }
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

fn expectation(view: View<'_>, at: Place) -> Option<String> {
    let model = view.model();
    let stories = model.rehearsals.iter().zip(view.facts().rehearsed());
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
        let drawing = rehearsed.drawing(model, story, Show::Expectation(index));
        if let (Some(drawing), Ok(played)) = (drawing, &rehearsed.played) {
            page.drawing(&lines(&drawing.text(played)));
        }
        return Some(page.done());
    }
    None
}

fn exception(view: View<'_>, at: Place) -> Option<String> {
    let model = view.model();
    let allow = model.allows.iter().find(|allow| allow.line == at)?;
    let mut page = Page::new("exception", allow.rule.text, Some(allow.because));
    let rule = curtilage_rules::rule(allow.rule.text);
    if let Some(rule) = rule {
        page.say(rule.about);
    }
    let until = model.text(Place::new(at.file, allow.until.span));
    let over = allow.until.value < view.today();
    page.say(if over { format!("ran out on {until}") } else { format!("holds until {until}") });
    Some(page.done())
}
