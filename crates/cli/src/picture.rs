//! A time line as a picture: SVG that needs nothing from elsewhere, with text that can be selected
//! and a title on everything that has a meaning.

use curtilage_facts::events::{Drawing, Played, Row};
use std::fmt::Write as _;

/// Width of a column, height of a row, width of a letter, pixels.
const COLUMN: usize = 11;
const ROW: usize = 30;
const LETTER: usize = 8;
/// Space around everything.
const EDGE: usize = 16;

/// Draws a time line.
pub(crate) fn draw(title: &str, played: &Played, drawing: &Drawing) -> String {
    let names = drawing.rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
    let left = EDGE + names * LETTER + EDGE;
    let right = left + drawing.columns * COLUMN;
    let top = EDGE + ROW;
    let bottom = top + drawing.rows.len() * ROW;
    // Times stand upright below their ticks.
    let wide = right.max(EDGE + title.chars().count() * (LETTER + 1));
    let (width, height) = (wide + 2 * EDGE, bottom + 190);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"ui-monospace, monospace\" font-size=\"13\" \
         fill=\"#222\">\n<title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n",
        escaped(title)
    );
    let _ = writeln!(
        out,
        "<text x=\"{EDGE}\" y=\"{}\" font-weight=\"bold\">{}</text>",
        EDGE + 8,
        escaped(title)
    );
    for (column, instant) in &drawing.ticks {
        let x = left + column * COLUMN;
        let time = escaped(&played.clock.show(*instant));
        let _ = writeln!(
            out,
            "<g><title>{time}</title><line x1=\"{x}\" y1=\"{top}\" x2=\"{x}\" y2=\"{}\" stroke=\"#bbb\"/>\
             <text transform=\"translate({} {}) rotate(90)\" font-size=\"12\">{time}</text></g>",
            bottom + 6,
            x.saturating_sub(4),
            bottom + 12,
        );
    }
    for (place, row) in drawing.rows.iter().enumerate() {
        let y = top + place * ROW;
        self::row(&mut out, played, drawing, row, (left, right, y));
    }
    out.push_str("</svg>\n");
    out
}

fn row(
    out: &mut String,
    played: &Played,
    drawing: &Drawing,
    row: &Row,
    (left, right, y): (usize, usize, usize),
) {
    let name = escaped(&row.name);
    let base = y + ROW - 6;
    let _ = writeln!(out, "<text x=\"{EDGE}\" y=\"{}\">{name}</text>", base - 2);
    let _ = writeln!(
        out,
        "<line x1=\"{left}\" y1=\"{base}\" x2=\"{right}\" y2=\"{base}\" stroke=\"#888\"/>"
    );
    for run in &row.runs {
        let (start, end) = drawing.span(*run);
        let (x, end) = (left + start * COLUMN, left + end.max(start + 1) * COLUMN);
        let words = format!("{} {} {}", row.name, row.state, stretch(played, *run));
        let _ = writeln!(
            out,
            "<rect x=\"{x}\" y=\"{}\" width=\"{}\" height=\"16\" fill=\"#6d8fb3\" stroke=\"#34506e\">\
             <title>{}</title></rect>",
            base - 16,
            end - x,
            escaped(&words)
        );
    }
    for mark in &row.marks {
        let x = left + drawing.span((*mark, *mark)).0 * COLUMN;
        let words = format!("{} {} at {}", row.name, row.mark, played.clock.show(*mark));
        let _ = writeln!(
            out,
            "<path d=\"M{x} {base} l-5 -20 h10 z\" fill=\"#7a3b12\"><title>{}</title></path>",
            escaped(&words)
        );
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

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // What XML cannot say.
            other if other.is_control() => out.push(' '),
            other => out.push(other),
        }
    }
    out
}
