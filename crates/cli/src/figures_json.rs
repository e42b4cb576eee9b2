//! A figure for programs, in one shape for `figures` and for `compare`.

use curtilage_change::{Better, Sheet, Spot, Thing, Value, Words};
use curtilage_facts::{Covered, Facts};
use serde::Serialize;
use std::io;

/// The number of the schema; see `docs/schema/figures-1.json`.
const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Document {
    schema: u32,
    tool: Tool,
    sites: Vec<Site>,
}

#[derive(Serialize)]
pub(crate) struct Tool {
    name: &'static str,
    version: &'static str,
}

impl Tool {
    pub(crate) fn own() -> Self {
        Self { name: "curtilage", version: env!("CARGO_PKG_VERSION") }
    }
}

/// The figures of one site.
#[derive(Serialize)]
pub(crate) struct Site {
    path: String,
    name: String,
    figures: Vec<Figure>,
}

/// One figure.
#[derive(Serialize)]
pub(crate) struct Figure {
    kind: &'static str,
    thing: String,
    aspect: &'static str,
    detail: String,
    value: Shown,
    at: Option<Place>,
}

/// What a figure says.
#[derive(Serialize)]
#[serde(tag = "as", rename_all = "kebab-case")]
enum Shown {
    Words {
        text: String,
        fine: Option<bool>,
    },
    Number {
        text: String,
        number: Option<f64>,
        unit: &'static str,
        better: &'static str,
        limit: Option<LimitOf>,
    },
    Window {
        text: String,
        low: Option<f64>,
        high: Option<f64>,
        unit: &'static str,
        margin: Option<f64>,
        band: Option<String>,
    },
    Hours {
        text: String,
        week_minutes: u32,
        week: String,
        dates_more_minutes: Option<u64>,
        dates_less_minutes: Option<u64>,
    },
    NotKnown {
        text: String,
        why: String,
    },
}

#[derive(Serialize)]
struct LimitOf {
    text: String,
    number: f64,
}

/// Lines and columns count from 1, columns in characters.
#[derive(Serialize)]
pub(crate) struct Place {
    path: String,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
}

impl Place {
    pub(crate) fn of(spot: &Spot) -> Self {
        Self {
            path: spot.path.clone(),
            line: spot.line,
            column: spot.column,
            end_line: spot.end_line,
            end_column: spot.end_column,
        }
    }
}

/// The document of some sites.
pub(crate) fn report(sites: Vec<Site>) -> io::Result<Vec<u8>> {
    let document = Document { schema: SCHEMA, tool: Tool::own(), sites };
    let mut out = serde_json::to_vec_pretty(&document).map_err(io::Error::other)?;
    out.push(b'\n');
    Ok(out)
}

/// The figures of one site.
pub(crate) fn site(facts: &Facts<'_, '_>, path: String) -> Site {
    let name = facts.model.site.as_ref().map_or("", |site| site.name.text).to_owned();
    let sheet = Sheet::of(facts);
    let figures = sheet.figures.iter().map(|one| {
        let at = one.at.and_then(|at| Spot::of(facts.model, at));
        figure(&one.thing, one.aspect.word(), &one.detail, &one.value, at.as_ref())
    });
    Site { path, name, figures: figures.collect() }
}

/// A figure of one side.
pub(crate) fn figure(
    thing: &Thing,
    aspect: &'static str,
    detail: &Words,
    value: &Value,
    at: Option<&Spot>,
) -> Figure {
    Figure {
        kind: thing.kind.word(),
        thing: thing.name.bare(),
        aspect,
        detail: detail.bare(),
        value: shown(value),
        at: at.map(Place::of),
    }
}

fn shown(value: &Value) -> Shown {
    // JSON has no infinity: what has no end has no number.
    let finite = |value: f64| value.is_finite().then_some(value);
    let text = value.shown();
    match value {
        Value::Words { text, fine } => Shown::Words { text: text.bare(), fine: *fine },
        Value::Number { value, unit, better, limit, .. } => Shown::Number {
            text,
            number: finite(*value),
            unit,
            better: match better {
                Better::More => "more",
                Better::Less => "less",
                Better::Neither => "neither",
            },
            limit: limit
                .as_ref()
                .map(|limit| LimitOf { text: limit.shown.clone(), number: limit.value }),
        },
        Value::Window { low, high, unit, margin, band, .. } => Shown::Window {
            text,
            low: finite(*low),
            high: finite(*high),
            unit,
            margin: margin.and_then(finite),
            band: band.clone(),
        },
        Value::Hours { covered, .. } => hours(text, covered),
        Value::NotKnown(why) => Shown::NotKnown { text, why: why.to_string() },
    }
}

fn hours(text: String, covered: &Covered) -> Shown {
    let (dates_more_minutes, dates_less_minutes) = covered.unusual().unzip();
    Shown::Hours {
        text,
        week_minutes: covered.week.minutes(),
        week: covered.week.to_string(),
        dates_more_minutes,
        dates_less_minutes,
    }
}
