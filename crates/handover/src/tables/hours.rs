//! When zones count.

use crate::table::{Cell, Table, cells};
use crate::words;
use curtilage_facts::{Facts, WeekSet};
use curtilage_model::ScheduleRef;

/// The hours of a schedule in a week, and what it leaves open, in words.
fn covered(schedule: ScheduleRef, week: Option<&WeekSet>) -> (Cell, String) {
    match (schedule, week) {
        (ScheduleRef::Always, _) => ("168 h".into(), String::new()),
        (_, Some(week)) => {
            let covered = curtilage_units::hours(u64::from(week.minutes()));
            (covered.into(), week.complement().to_string())
        }
        (_, None) => (Cell::hole("not known"), String::new()),
    }
}

/// Each zone with its hours.
pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let head = ["zone", "armed", "a week", "not armed"];
    let mut table = Table::new("armed", "When zones count", &head);
    for zone in &facts.model.zones {
        let Some((armed, _)) = zone.armed else {
            table.row(cells![zone.name.text, Cell::hole("not known")]);
            continue;
        };
        let (week, rest) = covered(armed, facts.hours.week(armed).as_ref());
        table.row(cells![zone.name.text, facts.model.schedule_name(armed), week, rest]);
    }
    table
}

/// Each schedule that a zone is armed by, with those zones.
pub(crate) fn schedules(facts: &Facts<'_, '_>) -> Table {
    let head = ["schedule", "a week", "not covered", "zones"];
    let mut table = Table::new("schedules", "Arming by schedule, in an ordinary week", &head);
    for (schedule, zones) in armed_by(facts) {
        let (week, rest) = covered(schedule, facts.hours.week(schedule).as_ref());
        let name = words::schedule(facts.model, schedule);
        table.row(cells![name, week, rest, words::list(zones)]);
    }
    table
}

/// The schedules by which zones are armed, in the order of first use, with the names of the zones.
pub(crate) fn armed_by<'a>(facts: &Facts<'_, 'a>) -> Vec<(ScheduleRef, Vec<&'a str>)> {
    let mut out: Vec<(ScheduleRef, Vec<&str>)> = Vec::new();
    for zone in &facts.model.zones {
        let Some((armed, _)) = zone.armed else { continue };
        match out.iter_mut().find(|(known, _)| *known == armed) {
            Some((_, zones)) => zones.push(zone.name.text),
            None => out.push((armed, vec![zone.name.text])),
        }
    }
    out
}
