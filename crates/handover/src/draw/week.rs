//! The week chart: a row for each schedule that something is armed or kept by.

use super::{Anchor, Canvas, Figure, Size};
use crate::tables::hours::armed_by;
use crate::words;
use curtilage_facts::{Facts, WeekSet};
use curtilage_model::ScheduleRef;

const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
/// The least and the most width of the names on the left.
const LEFT: (f64, f64) = (260.0, 460.0);
const DAY: f64 = 100.0;
const ROW: f64 = 54.0;
const HEAD: f64 = 52.0;
const RIGHT: f64 = 120.0;
/// The most rows of a part.
const MOST: usize = 12;

struct Row {
    name: String,
    title: String,
    below: String,
    week: Option<WeekSet>,
}

pub(crate) fn figure(facts: &Facts<'_, '_>) -> Option<Figure> {
    let rows = rows(facts);
    if rows.is_empty() {
        return None;
    }
    let about = format!("the hours of {} schedules in an ordinary week", rows.len());
    let title = "Week chart";
    let parts: Vec<Canvas> = rows.chunks(MOST).map(draw).collect();
    let whole = (parts.len() > 1).then(|| draw(&rows));
    Some(Figure::new("week", title, about, parts, whole))
}

fn rows(facts: &Facts<'_, '_>) -> Vec<Row> {
    let model = facts.model;
    let week = |schedule: ScheduleRef| match schedule {
        ScheduleRef::Always => Some(WeekSet::full()),
        _ => facts.hours.week(schedule),
    };
    let mut out: Vec<(ScheduleRef, String)> = Vec::new();
    let mut add = |schedule: ScheduleRef, below: String| match out
        .iter_mut()
        .find(|(known, _)| *known == schedule)
    {
        Some((_, text)) if text.contains(&below) => {}
        Some((_, text)) => {
            text.push_str(", ");
            text.push_str(&below);
        }
        None => out.push((schedule, below)),
    };
    for (schedule, zones) in armed_by(facts) {
        let zones = match zones.as_slice() {
            [one] => format!("arms {one}"),
            many => format!("arms {} zones", many.len()),
        };
        add(schedule, zones);
    }
    for response in &model.responses {
        if let Some((during, _)) = response.during {
            add(during, "limits a response".to_owned());
        }
    }
    for keep in model.recordings.iter().flat_map(|plan| &plan.keeps) {
        if let Some(during) = keep.during {
            add(during, format!("keeps {}", keep.tree.class.value.word()));
        }
    }
    if let Some(occupied) = model.site.as_ref().and_then(|site| site.occupied) {
        add(occupied, "somebody is there".to_owned());
    }
    out.into_iter()
        .map(|(schedule, below)| Row {
            name: model.schedule_name(schedule).to_owned(),
            title: words::schedule_title(model, schedule).unwrap_or("").to_owned(),
            below,
            week: week(schedule),
        })
        .collect()
}

/// The width of the names on the left.
fn left(rows: &[Row]) -> f64 {
    let widths = rows.iter().flat_map(|row| {
        let small = [&row.title, &row.below].map(|text| Size::Small.width(text));
        small.into_iter().chain([Size::Body.width(&row.name)])
    });
    widths.map(|width| width + 22.0).fold(LEFT.0, f64::max).min(LEFT.1)
}

fn draw(rows: &[Row]) -> Canvas {
    let left = left(rows);
    let right = left + 7.0 * DAY;
    let bottom = HEAD + ROW * rows.len() as f64;
    let mut canvas = Canvas::new(right + RIGHT, bottom + 12.0);
    for (at, day) in DAYS.iter().enumerate() {
        let x = left + DAY * at as f64;
        canvas.text("b", (x + DAY / 2.0, 20.0), (Size::Body, Anchor::Middle), day, DAY);
        for (hour, shift) in [("06", 0.25), ("12", 0.5), ("18", 0.75)] {
            let place = (x + DAY * shift, HEAD - 12.0);
            canvas.text("d", place, (Size::Small, Anchor::Middle), hour, 20.0);
            canvas.line("grid", &[(x + DAY * shift, HEAD - 8.0), (x + DAY * shift, bottom)]);
        }
    }
    for at in 0..=7 {
        let x = left + DAY * f64::from(at);
        canvas.line("l", &[(x, 28.0), (x, bottom)]);
    }
    for (at, row) in rows.iter().enumerate() {
        let y = HEAD + ROW * at as f64;
        let style = (Size::Body, Anchor::Start);
        canvas.text("b", (8.0, y + 17.0), style, &row.name, left - 20.0);
        let lines = [&row.title, &row.below].into_iter().filter(|line| !line.is_empty());
        for (number, line) in lines.enumerate() {
            let place = (8.0, y + 31.0 + 13.0 * number as f64);
            canvas.text("d", place, (Size::Small, Anchor::Start), line, left - 20.0);
        }
        let Some(week) = &row.week else {
            let place = (right + 10.0, y + 30.0);
            canvas.rect("hole", [left, y + 10.0, right, y + ROW - 10.0], "");
            canvas.text("x", place, style, "not known", RIGHT - 14.0);
            continue;
        };
        canvas.line("grid", &[(left, y + ROW - 4.0), (right, y + ROW - 4.0)]);
        for piece in week.pieces() {
            let start = f64::from(piece.start().minutes());
            let end = start + f64::from(piece.minutes());
            let title = format!("{}: {piece}", row.name);
            let x = |minute: f64| left + minute / 1440.0 * DAY;
            // What runs over the end of the week comes in again on its left.
            for (from, to) in [(start, end.min(10_080.0)), (0.0, end - 10_080.0)] {
                if to > from {
                    canvas.rect("bar", [x(from), y + 12.0, x(to), y + ROW - 14.0], &title);
                }
            }
        }
        let hours = curtilage_units::hours(u64::from(week.minutes()));
        canvas.text("", (right + 10.0, y + 30.0), style, &hours, RIGHT - 14.0);
    }
    canvas
}
