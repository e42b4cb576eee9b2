//! The time line of a rehearsal: a row for each thing, not to scale, the times on end below.

use super::{Anchor, Canvas, Figure, Size, file};
use curtilage_facts::Facts;
use curtilage_facts::events::{Drawing, Outcome, Played, Row, Show, Unplayed};

/// Width of a column, height of a row, space around everything, pixels.
const COLUMN: f64 = 11.0;
const ROW: f64 = 30.0;
const EDGE: f64 = 16.0;
/// The most that a name may take.
const NAMES: f64 = 260.0;
/// The most rows of a part.
const MOST: usize = 14;

/// A time line as an SVG file.
#[must_use]
pub fn draw(title: &str, played: &Played, drawing: &Drawing) -> String {
    let rows: Vec<&Row> = drawing.rows.iter().collect();
    file(&canvas(played, drawing, &rows, &[]), title, &about(drawing), false)
}

fn about(drawing: &Drawing) -> String {
    format!("a time line with {} rows and {} instants", drawing.rows.len(), drawing.ticks.len())
}

/// A drawing for each rehearsal that can be played; what cannot is said.
pub(crate) fn figures(facts: &Facts<'_, '_>) -> Vec<Figure> {
    let model = facts.model;
    let all = model.rehearsals.iter().zip(facts.rehearsed()).enumerate();
    all.map(|(number, (rehearsal, rehearsed))| {
        let id = format!("rehearsal-{}", number + 1);
        let title = format!("Rehearsal: {}", rehearsal.title);
        let drawn = rehearsed.drawing(model, rehearsal, Show::Everything);
        match (&rehearsed.played, drawn) {
            (Ok(played), Some(drawing)) => {
                let mut told = Vec::new();
                for outcome in &rehearsed.outcomes {
                    if let Outcome::Fails { instead, .. } = outcome {
                        told.push(format!("otherwise: {instead}"));
                    }
                }
                let word = if told.is_empty() { "as expected" } else { "not as expected" };
                let about = format!("{}; it goes {word}", about(&drawing));
                let rows: Vec<&Row> = drawing.rows.iter().collect();
                let part = |rows: &[&Row]| canvas(played, &drawing, rows, &told);
                let parts: Vec<Canvas> = rows.chunks(MOST).map(part).collect();
                let whole = (parts.len() > 1).then(|| part(&rows));
                Figure::new(id, title, about, parts, whole)
            }
            (Err(why), _) => {
                let why = match why {
                    Unplayed::Senseless(found) => found.why.clone(),
                    Unplayed::NotKnown(why) => why.to_string(),
                };
                hole(id, title, &why)
            }
            (Ok(_), None) => hole(id, title, "it has no time line"),
        }
    })
    .collect()
}

fn hole(id: String, title: String, why: &str) -> Figure {
    let mut canvas = Canvas::new(760.0, 60.0);
    canvas.rect("hole", [4.0, 8.0, 756.0, 52.0], "");
    canvas.text("x", (14.0, 34.0), (Size::Body, Anchor::Start), why, 736.0);
    Figure::new(id, title, format!("not drawn: {why}"), vec![canvas], None)
}

fn canvas(played: &Played, drawing: &Drawing, rows: &[&Row], told: &[String]) -> Canvas {
    let names = rows.iter().map(|row| Size::Body.width(&row.name)).fold(0.0, f64::max).min(NAMES);
    let left = EDGE + names + EDGE;
    let right = left + COLUMN * drawing.columns as f64;
    let bottom = EDGE + ROW * rows.len() as f64;
    let times: Vec<String> =
        drawing.ticks.iter().map(|(_, instant)| played.clock.show(*instant)).collect();
    let tall = times.iter().map(|time| Size::Body.width(time)).fold(0.0, f64::max);
    let width = (right + EDGE).max(560.0);
    let below = 20.0 * told.len() as f64;
    let mut canvas = Canvas::new(width, bottom + 36.0 + tall + EDGE + below);
    for ((column, _), time) in drawing.ticks.iter().zip(&times) {
        let x = left + COLUMN * *column as f64;
        canvas.open(time);
        canvas.line("grid", &[(x, EDGE), (x, bottom + 6.0)]);
        canvas.upright((x - 4.0, bottom + 10.0), Size::Body, time);
        canvas.close();
    }
    for (at, row) in rows.iter().enumerate() {
        let base = EDGE + ROW * (at + 1) as f64 - 6.0;
        self::row(&mut canvas, (played, drawing, row), (left, right, base));
    }
    let legend = "bar: active, closed or lost; triangle: registers, recorded or told; not to scale";
    let place = (EDGE, bottom + 28.0 + tall);
    canvas.text("d", place, (Size::Small, Anchor::Start), legend, width - 2.0 * EDGE);
    for (at, text) in told.iter().enumerate() {
        let y = bottom + 36.0 + tall + 18.0 + 20.0 * at as f64;
        canvas.text("x", (EDGE, y), (Size::Body, Anchor::Start), text, width - 2.0 * EDGE);
    }
    canvas
}

fn row(
    canvas: &mut Canvas,
    (played, drawing, row): (&Played, &Drawing, &Row),
    (left, right, base): (f64, f64, f64),
) {
    let style = (Size::Body, Anchor::Start);
    canvas.text("", (EDGE, base - 4.0), style, &row.name, NAMES);
    canvas.line("e", &[(left, base), (right, base)]);
    for run in &row.runs {
        let (start, end) = drawing.span(*run);
        // What begins and ends between two ticks is still seen.
        let end = end.max(start + 1);
        let words = format!("{} {} {}", row.name, row.state, stretch(played, *run));
        let (x, to) = (left + COLUMN * start as f64, left + COLUMN * end as f64);
        canvas.rect("bar", [x, base - 16.0, to, base], &words);
    }
    for mark in &row.marks {
        let x = left + COLUMN * drawing.span((*mark, *mark)).0 as f64;
        canvas.open(&format!("{} {} at {}", row.name, row.mark, played.clock.show(*mark)));
        canvas.shape("mark", &[(x, base), (x - 5.0, base - 20.0), (x + 5.0, base - 20.0)]);
        canvas.close();
    }
}

fn stretch(played: &Played, run: (i64, i64)) -> String {
    let from = played.clock.show(run.0.max(played.from));
    if run.1 >= played.until {
        format!("from {from} on")
    } else {
        format!("from {from} to {}", played.clock.show(run.1))
    }
}
