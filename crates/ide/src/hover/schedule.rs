//! A schedule: its hours, and a week drawn in text.

use super::Page;
use crate::symbols::one_line;
use curtilage_facts::Facts;
use curtilage_model::{
    Cause, Model, Response, Schedule, ScheduleBody, ScheduleId, ScheduleRef, ScheduleTerm,
};
use curtilage_syntax::tree::schedule::Written;
use curtilage_text::Place;

/// `always` or `never`.
pub(super) fn fixed(facts: &Facts<'_, '_>, which: ScheduleRef) -> String {
    let name = facts.model.schedule_name(which);
    let mut page = Page::new("schedule", name, Some("a schedule that every site has"));
    hours(facts, which, &mut page);
    page.done()
}

pub(super) fn schedule(facts: &Facts<'_, '_>, id: ScheduleId) -> String {
    let Some(schedule) = facts.model.schedules.get(id.index()) else { return String::new() };
    let mut page = Page::new("schedule", schedule.name.text, schedule.title);
    hours(facts, ScheduleRef::Of(id), &mut page);
    match &schedule.body {
        ScheduleBody::Combined(_) => {
            let line = crate::symbols::one_line(facts.model.text(schedule.line));
            page.say(format!("made as `{line}`"));
        }
        ScheduleBody::Written(written) => dated(facts.model, schedule, written, &mut page),
        ScheduleBody::Unknown => page.say("its hours are not known: it cannot be read"),
    }
    uses(facts.model, ScheduleRef::Of(id), &mut page);
    page.done()
}

/// The days that are not as their weekday says.
fn dated(model: &Model<'_>, schedule: &Schedule<'_>, written: &Written, page: &mut Page) {
    let said = |span| one_line(model.text(Place::new(schedule.file, span)));
    let holidays = written.except_holidays.map(|_| "holidays".to_owned());
    let except = holidays.into_iter().chain(written.except.iter().map(|dates| said(dates.span)));
    let except: Vec<String> = except.collect();
    if !except.is_empty() {
        page.say(format!("not on {}", except.join(", ")));
    }
    for also in &written.also {
        page.say(format!("also {}", said(also.dates.span.to(also.end.span))));
    }
}

/// What happens by a schedule.
fn uses(model: &Model<'_>, own: ScheduleRef, page: &mut Page) {
    let mut say = |what: &str, names: Vec<String>| {
        if !names.is_empty() {
            page.say(format!("{what} {}", names.join(", ")));
        }
    };
    let name = |name: &str| format!("`{name}`");
    let armed = model.zones.iter().filter(|zone| zone.armed.is_some_and(|(by, _)| by == own));
    say("arms", armed.map(|zone| name(zone.name.text)).collect());
    let occupied = model.site.iter().filter(|site| site.occupied == Some(own));
    say("says when people are at", occupied.map(|site| name(site.name.text)).collect());
    let line = |response: &Response<'_>| name(&one_line(model.text(response.line)));
    let during = model.responses.iter().filter(|one| one.during.is_some_and(|(by, _)| by == own));
    say("in its hours alone:", during.map(line).collect());
    let edge = |one: &&Response<'_>| {
        let causes = &mut one.causes.iter();
        causes.any(|(cause, _)| *cause == Cause::Start(own) || *cause == Cause::End(own))
    };
    say("at its start or end:", model.responses.iter().filter(edge).map(line).collect());
    let keeps = model.recordings.iter().flat_map(|plan| &plan.keeps);
    let keeps = keeps.filter(|keep| keep.during == Some(own));
    say("in its hours:", keeps.map(|keep| name(&one_line(model.text(keep.line)))).collect());
    let made = model.schedules.iter().filter(|schedule| match &schedule.body {
        ScheduleBody::Combined(term) => has(term, own),
        _ => false,
    });
    say("part of", made.map(|schedule| name(schedule.name.text)).collect());
}

/// Whether a combination names a schedule.
fn has(term: &ScheduleTerm, own: ScheduleRef) -> bool {
    match term {
        ScheduleTerm::Named(of) => *of == own,
        ScheduleTerm::Not(inner) => has(inner, own),
        ScheduleTerm::Plus(one, other)
        | ScheduleTerm::Minus(one, other)
        | ScheduleTerm::Within(one, other) => has(one, own) || has(other, own),
    }
}

fn hours(facts: &Facts<'_, '_>, which: ScheduleRef, page: &mut Page) {
    let Some(week) = facts.hours.week(which) else { return };
    let minutes = u64::from(week.minutes());
    page.say(format!("{} in an ordinary week: {week}", curtilage_units::hours(minutes)));
    page.drawing(&drawn(|minute| {
        // Half an hour is drawn as covered when its first minute is.
        week.pieces().iter().any(|piece| {
            let start = u32::from(piece.start().minutes());
            let end = start + piece.minutes();
            (start..end).contains(&minute) || (start..end).contains(&(minute + WEEK))
        })
    }));
}

const WEEK: u32 = 7 * 24 * 60;

/// A week of half hours, a line a day.
fn drawn(covers: impl Fn(u32) -> bool) -> String {
    let mut out = String::from("     0     3     6     9     12    15    18    21    24\n");
    for (day, name) in (0u32..).zip(crate::form::DAYS) {
        out.push_str(name);
        out.push_str("  ");
        let half_hours = (0..48).map(|half| day * 1440 + half * 30);
        let line: String = half_hours.map(|at| if covers(at) { '█' } else { '·' }).collect();
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}
