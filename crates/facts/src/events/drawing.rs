//! The time line of a story: one row a thing, not to scale, the times below.
//!
//! Every instant at which something in the drawing changes is a tick. What lies between two ticks
//! gets more room the longer it lasts, by its logarithm, so that milliseconds and hours can stand
//! in one picture. Text and picture use the same layout.

use super::play::{Played, Run};
use super::story::named;
use curtilage_events::Ms;
use curtilage_model::{Model, StoryThing};

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// What it is about.
    pub name: String,
    /// When it is active, closed or lost.
    pub runs: Vec<Run>,
    /// When it registers, is told or is recorded.
    pub marks: Vec<Ms>,
    /// The word for its runs: "active", "closed", "lost".
    pub state: &'static str,
    /// The word for its marks: "registers", "told", "recorded".
    pub mark: &'static str,
}

/// A drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// The rows, from the top.
    pub rows: Vec<Row>,
    /// The ticks: column and instant, ascending.
    pub ticks: Vec<(usize, Ms)>,
    /// How many columns there are.
    pub columns: usize,
}

impl Row {
    /// The stretch of time that an expectation names.
    pub(crate) fn expected(run: Run) -> Self {
        let name = "expected".to_owned();
        Self { name, runs: vec![run], marks: Vec::new(), state: "", mark: "" }
    }
}

/// The letters below the ticks; there are no more ticks than letters.
const LETTERS: &str = "abcdefghijklmnopqrstuvwxyz";

/// The widest line of a drawing in text.
const WIDE: usize = 78;

/// The rows of a thing: one, and another for the tamper contact of a zone that was active as well.
pub(crate) fn rows(model: &Model<'_>, played: &Played, thing: StoryThing) -> Vec<Row> {
    let mut own = row(model, played, thing);
    let StoryThing::Zone(id) = thing else { return vec![own] };
    let tampered = played.tampered.get(id.index()).into_iter().flatten();
    let runs: Vec<Run> = tampered.filter(|run| played.counts(run)).copied().collect();
    if runs.is_empty() {
        return vec![own];
    }
    if own.runs.is_empty() {
        (own.runs, own.state) = (runs, "tampered");
        return vec![own];
    }
    let name = format!("tamper of {}", own.name);
    vec![own, Row { name, runs, marks: Vec::new(), state: "tampered", mark: "" }]
}

fn row(model: &Model<'_>, played: &Played, thing: StoryThing) -> Row {
    let name = named(model, thing).0.to_owned();
    let (runs, marks, state, mark) = match thing {
        StoryThing::Zone(id) => {
            let line = played.zones.get(id.index());
            let active = line.map(|line| line.active.clone()).unwrap_or_default();
            let registers = line.map(|line| line.registers.clone()).unwrap_or_default();
            (active, registers, "active", "registers")
        }
        StoryThing::Output(id) => {
            let on = played.outputs.get(id.index()).cloned();
            (on.unwrap_or_default(), Vec::new(), "closed", "")
        }
        StoryThing::Camera(id) => {
            let line = played.cameras.get(id.index()).cloned().unwrap_or_default();
            (line.lost, line.recorded, "lost", "recorded")
        }
        StoryThing::Supply(id) => {
            let lost = played.supplies.get(id.index()).cloned();
            (lost.unwrap_or_default(), Vec::new(), "lost", "")
        }
        StoryThing::People(index) => {
            let told = played.people.get(index).cloned();
            (Vec::new(), told.unwrap_or_default(), "", "told")
        }
    };
    let inside = |at: &Ms| (played.from..played.until).contains(at);
    Row {
        name,
        runs: runs.into_iter().filter(|run| played.counts(run)).collect(),
        marks: marks.into_iter().filter(inside).collect(),
        state,
        mark,
    }
}

impl Played {
    /// Whether a stretch lies in the time that counts, if only in part.
    fn counts(&self, run: &Run) -> bool {
        run.0 < self.until && run.1 > self.from
    }
}

/// Everything that changes in a story.
pub(crate) fn changing(model: &Model<'_>, played: &Played) -> Vec<StoryThing> {
    let people = model.site.as_ref().map_or(0, |site| site.people.len());
    let all = model
        .zones_by_id()
        .map(|(id, _)| StoryThing::Zone(id))
        .chain(model.supplies_by_id().map(|(id, _)| StoryThing::Supply(id)))
        .chain(model.outputs_by_id().map(|(id, _)| StoryThing::Output(id)))
        .chain(model.cameras_by_id().map(|(id, _)| StoryThing::Camera(id)))
        .chain((0..people).map(StoryThing::People));
    let inside = |at: Ms| played.from < at && at < played.until;
    all.filter(|thing| {
        rows(model, played, *thing).iter().any(|row| {
            let starts =
                row.runs.iter().any(|run| run.0 == played.from || inside(run.0) || inside(run.1));
            starts || !row.marks.is_empty()
        })
    })
    .collect()
}

/// Lays rows out.
pub(crate) fn draw(played: &Played, rows: Vec<Row>, asked: &[Ms]) -> Drawing {
    let mut instants: Vec<Ms> = vec![played.from];
    let inside = |at: &Ms| (played.from..played.until).contains(at);
    for row in &rows {
        instants.extend(row.runs.iter().flat_map(|run| [run.0, run.1]));
        instants.extend(&row.marks);
    }
    instants.extend(asked);
    instants.retain(inside);
    instants.sort_unstable();
    instants.dedup();
    if instants.len() > LETTERS.len() {
        // The first ones tell how it goes on; the last one, how it ends.
        let last = instants.last().copied();
        instants.truncate(LETTERS.len() - 1);
        instants.extend(last);
    }
    let label = rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
    let room = WIDE.saturating_sub(label + 2).max(2 * instants.len());
    let ends = instants.iter().skip(1).copied().chain([played.until]);
    let weights: Vec<f64> = instants.iter().zip(ends).map(|(from, to)| weight(to - from)).collect();
    let all: f64 = weights.iter().sum();
    let mut ticks = Vec::new();
    let mut column = 0;
    for (instant, weight) in instants.iter().zip(weights) {
        ticks.push((column, *instant));
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few columns"
        )]
        let extra = (weight / all * (room - 2 * instants.len()) as f64) as usize;
        column += 2 + extra;
    }
    Drawing { rows, ticks, columns: column }
}

#[expect(clippy::cast_precision_loss, reason = "only the look depends on it")]
fn weight(length: Ms) -> f64 {
    libm::log(1.0 + length as f64 / 100.0)
}

impl Drawing {
    /// The columns of a stretch of time.
    #[must_use]
    pub fn span(&self, run: Run) -> (usize, usize) {
        (self.column(run.0, 0), self.column(run.1, self.columns))
    }

    /// The column of an instant: that of the tick at it or, when it has none, of the last tick
    /// before it; `outside` before the first tick only when it lies there, the end after the last.
    fn column(&self, at: Ms, outside: usize) -> usize {
        if outside > 0 && self.ticks.last().is_some_and(|last| last.1 < at) {
            return outside;
        }
        let before = self.ticks.iter().rev().find(|tick| tick.1 <= at);
        before.map_or(0, |tick| tick.0)
    }

    /// The drawing in text, at most 80 columns wide.
    #[must_use]
    pub fn text(&self, played: &Played) -> String {
        let label = self.rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
        let mut out = String::new();
        for row in &self.rows {
            let mut cells = vec!['.'; self.columns];
            for run in &row.runs {
                let (start, end) = self.span(*run);
                // What begins and ends between two ticks is still seen.
                let end = end.max(start + 1);
                for cell in cells.iter_mut().take(end).skip(start) {
                    *cell = '#';
                }
            }
            for mark in &row.marks {
                if let Some(cell) = cells.get_mut(self.column(*mark, 0)) {
                    *cell = '!';
                }
            }
            let line: String = cells.into_iter().collect();
            out.push_str(&format!("{:<label$}  {line}\n", row.name));
        }
        let mut below = vec![' '; self.columns];
        for ((column, _), letter) in self.ticks.iter().zip(LETTERS.chars()) {
            if let Some(cell) = below.get_mut(*column) {
                *cell = letter;
            }
        }
        let below: String = below.into_iter().collect();
        out.push_str(&format!("{:<label$}  {}\n", "", below.trim_end()));
        out.push_str(&self.legend(played));
        out
    }

    fn legend(&self, played: &Played) -> String {
        let clock = &played.clock;
        let mut lines = Vec::new();
        let mut line = String::new();
        let mut day = String::new();
        for ((_, instant), letter) in self.ticks.iter().zip(LETTERS.chars()) {
            let today = clock.day(*instant);
            let entry = if today == day {
                format!("{letter} {}", clock.time(*instant))
            } else {
                format!("{letter} {}", clock.show(*instant))
            };
            day = today;
            if !line.is_empty() && line.len() + entry.len() + 2 > WIDE {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push_str("  ");
            }
            line.push_str(&entry);
        }
        lines.push(line);
        let mut words: Vec<String> = Vec::new();
        let mut say = |sign: &str, names: Vec<&str>| {
            let mut names: Vec<&str> = names.into_iter().filter(|name| !name.is_empty()).collect();
            names.sort_unstable();
            names.dedup();
            if !names.is_empty() {
                words.push(format!("{sign} {}", names.join(", ")));
            }
        };
        let used = |row: &&Row| !row.runs.is_empty();
        say("#", self.rows.iter().filter(used).map(|row| row.state).collect());
        let marked = |row: &&Row| !row.marks.is_empty();
        say("!", self.rows.iter().filter(marked).map(|row| row.mark).collect());
        if !words.is_empty() {
            lines.push(words.join("   "));
        }
        lines.join("\n")
    }
}
