//! A schedule: its hours, and a week drawn in text.

use super::Page;
use curtilage_facts::Facts;
use curtilage_model::{ScheduleBody, ScheduleId, ScheduleRef};

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
        ScheduleBody::Written(written) if written.except_holidays.is_some() => {
            page.say("not on holidays");
        }
        ScheduleBody::Written(_) => {}
        ScheduleBody::Unknown => page.say("its hours are not known: it cannot be read"),
    }
    let zones: Vec<String> = facts
        .model
        .zones
        .iter()
        .filter(|zone| zone.armed.is_some_and(|(armed, _)| armed == ScheduleRef::Of(id)))
        .map(|zone| format!("`{}`", zone.name.text))
        .collect();
    if !zones.is_empty() {
        page.say(format!("arms {}", zones.join(", ")));
    }
    page.done()
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
