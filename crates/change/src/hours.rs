//! A week drawn: which half hours are kept, gone and new.

use curtilage_facts::{Covered, WeekSet};

/// One half hour of a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Covered neither before nor after.
    Never,
    /// Covered before and after.
    Kept,
    /// Some of it is covered no more.
    Gone,
    /// Some of it is covered now, and none is gone.
    New,
}

const CELL: u32 = 30;
const DAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const DAY: u32 = 24 * 60;

/// The seven days of a week, each of 48 half hours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strip {
    /// The name of each day and its cells.
    pub days: Vec<(&'static str, Vec<Cell>)>,
}

impl Strip {
    /// The strip of a change; none when the ordinary week is the same.
    #[must_use]
    pub fn of(old: &Covered, new: &Covered) -> Option<Self> {
        if old.week == new.week {
            return None;
        }
        let gone = runs(&old.week.minus(&new.week));
        let fresh = runs(&new.week.minus(&old.week));
        let kept = runs(&old.week);
        let cell = |from: u32| {
            let touches = |runs: &[(u32, u32)]| {
                runs.iter().any(|(start, end)| *start < from + CELL && from < *end)
            };
            if touches(&gone) {
                Cell::Gone
            } else if touches(&fresh) {
                Cell::New
            } else if touches(&kept) {
                Cell::Kept
            } else {
                Cell::Never
            }
        };
        let days = (0u32..).zip(DAYS).map(|(day, name)| {
            let cells = (0..DAY / CELL).map(|place| cell(day * DAY + place * CELL));
            (name, cells.collect())
        });
        Some(Self { days: days.collect() })
    }
}

/// The minutes of a week as runs that do not go over its end.
fn runs(week: &WeekSet) -> Vec<(u32, u32)> {
    const WEEK: u32 = 7 * DAY;
    let mut out = Vec::new();
    for piece in week.pieces() {
        let start = u32::from(piece.start().minutes());
        let end = start + piece.minutes();
        out.push((start, end.min(WEEK)));
        if end > WEEK {
            out.push((0, end - WEEK));
        }
    }
    out
}
