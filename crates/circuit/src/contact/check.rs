//! The check of one load against one rating.

use super::rating::{Category, Current, Duty, RatingRow, dc13_longest_ms};
use crate::input::{BadInput, positive};
use crate::limit::above;
use crate::working::{Mark, Source, Step};

/// `-ln(0.05)`: the time constants to 95 % of the steady current.
const TO_95: f64 = 2.995_732_273_553_991;

/// The most apparent power that AC-14 covers, VA (S).
const AC14_VA: f64 = 72.0;

/// The load's nature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadKind {
    /// A resistance, or electronics with their inrush stated.
    Resistive,
    /// A coil: relay, solenoid, electromagnetic sounder, lock.
    Inductive,
    /// A filament lamp.
    Lamp,
}

/// What a contact has to switch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactLoad {
    volts: f64,
    current: Current,
    kind: LoadKind,
    running_amps: f64,
    inrush_amps: f64,
    time_constant_ms: Option<f64>,
}

impl ContactLoad {
    /// A load at the highest voltage it can see, with its running current. Its inrush
    /// is taken as the running current until [`ContactLoad::with_inrush`] says more.
    ///
    /// # Errors
    /// [`BadInput`] for a voltage or current that is not positive.
    pub fn new(
        volts: f64,
        current: Current,
        kind: LoadKind,
        running_amps: f64,
    ) -> Result<Self, BadInput> {
        let running_amps = positive("running current", running_amps)?;
        Ok(Self {
            volts: positive("load voltage", volts)?,
            current,
            kind,
            running_amps,
            inrush_amps: running_amps,
            time_constant_ms: None,
        })
    }

    /// The same load with its peak current at switch-on, A. Less than the running
    /// current counts as the running current.
    ///
    /// # Errors
    /// [`BadInput`] for a current that is not positive.
    pub fn with_inrush(mut self, amps: f64) -> Result<Self, BadInput> {
        self.inrush_amps = positive("inrush current", amps)?.max(self.running_amps);
        Ok(self)
    }

    /// The same coil with its L/R, ms.
    ///
    /// # Errors
    /// [`BadInput`] for a time that is not positive.
    pub fn with_time_constant(mut self, ms: f64) -> Result<Self, BadInput> {
        self.time_constant_ms = Some(positive("time constant", ms)?);
        Ok(self)
    }

    /// The voltage, V.
    #[must_use]
    pub const fn volts(&self) -> f64 {
        self.volts
    }

    /// The running current, A.
    #[must_use]
    pub const fn running_amps(&self) -> f64 {
        self.running_amps
    }

    /// The inrush current, A.
    #[must_use]
    pub const fn inrush_amps(&self) -> f64 {
        self.inrush_amps
    }
}

/// Which of the two currents a verdict is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Covered {
    /// The running current, made and broken.
    Running,
    /// The peak at switch-on.
    Inrush,
}

/// Why a rating says nothing about a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NotRated {
    /// The rating has no rows.
    NoRows,
    /// It has rows, but none for this kind of current (ac or dc).
    OtherCurrent,
    /// It has rows for this kind of current, but for other kinds of load: a rating
    /// for a resistive load says nothing about a coil.
    OtherLoad,
    /// Only AC-14 rows fit, and the load is above 72 VA.
    AboveAc14 {
        /// The load's apparent power, VA.
        va: f64,
    },
    /// Only DC-13 rows fit, and the coil is slower than 6 ms a watt.
    SlowerThanDc13 {
        /// The coil's time to 95 % of its current, ms.
        t95_ms: f64,
        /// The longest that DC-13 covers for this power, ms.
        longest_ms: f64,
    },
}

/// The outcome of the check. Rows are given by their place in the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// The contact may switch the load.
    Within {
        /// The row used.
        row: usize,
        /// The current that comes closest to its limit.
        by: Covered,
        /// That current as a share of its limit, 0 to 1.
        used: f64,
    },
    /// A current is above its limit.
    Exceeds {
        /// The row used.
        row: usize,
        /// Which current.
        by: Covered,
        /// How many times its limit, above 1.
        factor: f64,
    },
    /// Every row of the right kind is for a lower voltage.
    OverVoltage {
        /// The row of the highest voltage; of equals the first.
        row: usize,
        /// How many times that row's voltage, above 1.
        factor: f64,
    },
    /// The rating says nothing about such a load.
    NotRated(NotRated),
}

impl Verdict {
    /// Whether the contact may switch the load.
    #[must_use]
    pub const fn is_within(&self) -> bool {
        matches!(self, Self::Within { .. })
    }

    /// The working, for a verdict that used a row.
    ///
    /// Empty if `rows` or `load` are not those of the check.
    #[must_use]
    pub fn explain(&self, rows: &[RatingRow], load: &ContactLoad) -> Vec<Step> {
        let (row, result, voltage) = match *self {
            Self::Within { row, used, .. } => (row, used, false),
            Self::Exceeds { row, factor, .. } => (row, factor, false),
            Self::OverVoltage { row, factor } => (row, factor, true),
            Self::NotRated(_) => return Vec::new(),
        };
        let Some(r) = rows.get(row) else {
            return Vec::new();
        };
        let rating = Source::new("the contact's rating table", Mark::Confirmed);
        if voltage {
            let inputs = [("U", load.volts, "V"), ("Ur", r.volts, "V")];
            return vec![Step::new("x", "U / Ur", &inputs, result, "", rating)];
        }
        let mut steps = Vec::new();
        let making = r.making_limit();
        if let (Duty::Category(c), None, Some(limit)) = (r.duty, r.making_amps, making) {
            steps.push(Step::new(
                "Im",
                "m * Ie",
                &[("m", c.making_multiple(), ""), ("Ie", r.amps, "A")],
                limit,
                "A",
                c.source(),
            ));
        }
        let running = [("I", load.running_amps, "A"), ("Ie", r.amps, "A")];
        let x = load.running_amps / r.amps;
        steps.push(Step::new("x", "I / Ie", &running, x, "", rating));
        if let Some(limit) = making {
            let inrush = [("Ip", load.inrush_amps, "A"), ("Im", limit, "A")];
            let x = load.inrush_amps / limit;
            steps.push(Step::new("xp", "Ip / Im", &inrush, x, "", rating));
        }
        steps
    }
}

fn serves(duty: Duty, kind: LoadKind) -> bool {
    match kind {
        LoadKind::Resistive => true,
        LoadKind::Lamp => duty == Duty::Lamp,
        LoadKind::Inductive => matches!(
            duty,
            Duty::Inductive | Duty::Category(Category::Ac14 | Category::Ac15 | Category::Dc13)
        ),
    }
}

/// Why a row of the right kind still does not cover this load, if it does not.
fn beyond_category(row: &RatingRow, load: &ContactLoad) -> Option<NotRated> {
    if load.kind != LoadKind::Inductive {
        return None;
    }
    let power = load.volts * load.running_amps;
    match row.duty {
        Duty::Category(Category::Ac14) if above(power, AC14_VA) => {
            Some(NotRated::AboveAc14 { va: power })
        }
        Duty::Category(Category::Dc13) => {
            let t95_ms = TO_95 * load.time_constant_ms?;
            let longest_ms = dc13_longest_ms(power).ok()?;
            above(t95_ms, longest_ms).then_some(NotRated::SlowerThanDc13 { t95_ms, longest_ms })
        }
        _ => None,
    }
}

/// Running and inrush against one row: the worse share of its limit.
fn share(row: &RatingRow, load: &ContactLoad) -> (Covered, f64) {
    let running = load.running_amps / row.amps;
    // A lamp row speaks of a filament's inrush only.
    let making = match row.making_limit() {
        None if load.kind != LoadKind::Lamp => Some(row.amps),
        limit => limit,
    };
    let inrush = making.map_or(0.0, |m| load.inrush_amps / m);
    if inrush > running { (Covered::Inrush, inrush) } else { (Covered::Running, running) }
}

/// Checks a load against a rating.
///
/// Of the rows of the right kind whose voltage is at least the load's, the one that
/// leaves the most room is used, of equals the first: each row is a promise on its own.
/// A category row whose kind of current differs from its category's name is left out.
#[must_use]
pub fn check(rows: &[RatingRow], load: &ContactLoad) -> Verdict {
    if rows.is_empty() {
        return Verdict::NotRated(NotRated::NoRows);
    }
    let mut reason = NotRated::OtherCurrent;
    let mut best: Option<(usize, Covered, f64)> = None;
    let mut highest: Option<(usize, f64)> = None;
    for (k, row) in rows.iter().enumerate() {
        let named = match row.duty {
            Duty::Category(c) => c.current() == row.current,
            _ => true,
        };
        if row.current != load.current || !named {
            continue;
        }
        if !serves(row.duty, load.kind) {
            if reason == NotRated::OtherCurrent {
                reason = NotRated::OtherLoad;
            }
            continue;
        }
        if let Some(why) = beyond_category(row, load) {
            reason = why;
            continue;
        }
        if highest.is_none_or(|(_, v)| row.volts > v) {
            highest = Some((k, row.volts));
        }
        if above(load.volts, row.volts) {
            continue;
        }
        let (by, used) = share(row, load);
        if best.is_none_or(|(_, _, u)| used < u) {
            best = Some((k, by, used));
        }
    }
    match (best, highest) {
        (Some((row, by, used)), _) if !above(used, 1.0) => {
            Verdict::Within { row, by, used: used.min(1.0) }
        }
        (Some((row, by, factor)), _) => Verdict::Exceeds { row, by, factor },
        (None, Some((row, volts))) => Verdict::OverVoltage { row, factor: load.volts / volts },
        (None, None) => Verdict::NotRated(reason),
    }
}

/// The worse of two verdicts on the same contact, as for a mixed load: not within
/// before within, and of two of a kind the one with the larger figure; of equals the
/// first.
#[must_use]
pub fn worst(a: Verdict, b: Verdict) -> Verdict {
    let rank = |v: &Verdict| match *v {
        Verdict::Within { used, .. } => (0, used),
        Verdict::NotRated(_) => (1, 0.0),
        Verdict::Exceeds { factor, .. } => (2, factor),
        Verdict::OverVoltage { factor, .. } => (3, factor),
    };
    if rank(&b) > rank(&a) { b } else { a }
}
