//! Preferred values (IEC 60063) that make every state fit its band.

use super::fault::{Condition, Loop};
use super::network::PartId;
use super::{EndsError, Gauge};
use crate::interval::Interval;

/// A series of IEC 60063 (C).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// Twelve values a decade.
    E12,
    /// Twenty-four values a decade; it holds all of E12.
    E24,
}

impl Series {
    /// The values from 10 to 91.
    #[must_use]
    pub const fn decade(self) -> &'static [f64] {
        match self {
            Self::E12 => &[10.0, 12.0, 15.0, 18.0, 22.0, 27.0, 33.0, 39.0, 47.0, 56.0, 68.0, 82.0],
            Self::E24 => &[
                10.0, 11.0, 12.0, 13.0, 15.0, 16.0, 18.0, 20.0, 22.0, 24.0, 27.0, 30.0, 33.0, 36.0,
                39.0, 43.0, 47.0, 51.0, 56.0, 62.0, 68.0, 75.0, 82.0, 91.0,
            ],
        }
    }

    /// Whether a resistance from 1 ohm to 100 Mohm is a value of the series.
    #[must_use]
    pub fn has(self, ohm: f64) -> bool {
        DECADES.iter().any(|d| self.decade().iter().any(|v| (v * d - ohm).abs() <= 1e-9 * ohm))
    }
}

/// 0.1 times the lowest value of each decade from 1 ohm to 10 Mohm.
const DECADES: [f64; 8] = [0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6];

/// The values of a series from 10 ohm to below 1 Mohm, lowest first: those that
/// [`propose`] tries.
pub fn preferred_values(series: Series) -> impl Iterator<Item = f64> {
    DECADES
        .into_iter()
        .filter(|d| (1.0..=1e4).contains(d))
        .flat_map(move |d| series.decade().iter().map(move |v| v * d))
}

/// A condition and the band in which it must read.
#[derive(Debug, Clone, PartialEq)]
pub struct Requirement {
    /// The condition.
    pub condition: Condition,
    /// The band, by its place in the list.
    pub band: usize,
}

/// A set of resistor values that fits.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The resistors to change and their new nominal values, ohm.
    pub values: Vec<(PartId, f64)>,
    /// The series that the new values come from.
    pub series: Series,
    /// The smallest distance of a state to an edge of its band: as a natural
    /// logarithm in ohms (0.1 is about 10 %), else in the gauge's unit.
    pub margin: f64,
}

/// Values that fit, and the margin of each state, the least first.
#[derive(Debug, Clone)]
struct Fit {
    values: Vec<(PartId, f64)>,
    margins: Vec<f64>,
}

/// Keeps the fit with the wider margins; of equals the one found first.
fn keep_wider(best: &mut Option<Fit>, found: Fit) {
    let wider = best.as_ref().is_none_or(|b| {
        let pairs = found.margins.iter().zip(&b.margins);
        pairs
            .map(|(f, b)| f.total_cmp(b))
            .find(|o| o.is_ne())
            .is_some_and(std::cmp::Ordering::is_gt)
    });
    if wider {
        *best = Some(found);
    }
}

struct Search<'a> {
    loop_: &'a Loop,
    gauge: &'a Gauge,
    required: Vec<(&'a Condition, Interval)>,
    scratch: Vec<Interval>,
}

impl Search<'_> {
    /// The margin of each state with these values, the least first; none if a state
    /// does not fit.
    fn fit(&mut self, changed: &[(PartId, f64)]) -> Option<Fit> {
        let mut margins = Vec::new();
        for (condition, band) in &self.required {
            let net = self.loop_.network().fold(
                &condition.positions,
                &condition.parts,
                &mut self.scratch,
                |id, ohm, tolerance| {
                    let new = changed.iter().find(|c| c.0 == id).map_or(ohm, |c| c.1);
                    Interval::tolerated(new, tolerance)
                },
            );
            let window = self.gauge.shows(self.loop_.seen(net, condition.line));
            if !window.lies_within(*band) {
                return None;
            }
            margins.push(self.gauge.margin(window, *band));
        }
        margins.sort_by(f64::total_cmp);
        Some(Fit { values: changed.to_vec(), margins })
    }

    /// The best values of a series for exactly these resistors.
    fn best(&mut self, parts: &[PartId], series: Series) -> Option<Fit> {
        let values: Vec<f64> = preferred_values(series).collect();
        let mut place = vec![0usize; parts.len()];
        let mut best = None;
        let mut trial: Vec<(PartId, f64)> = parts.iter().map(|&p| (p, 0.0)).collect();
        loop {
            for (t, &k) in trial.iter_mut().zip(&place) {
                t.1 = values.get(k).copied().unwrap_or(f64::INFINITY);
            }
            if let Some(found) = self.fit(&trial) {
                keep_wider(&mut best, found);
            }
            // Count up; the first digit turns fastest.
            let mut carry = true;
            for k in &mut place {
                *k += 1;
                if *k < values.len() {
                    carry = false;
                    break;
                }
                *k = 0;
            }
            if carry {
                return best;
            }
        }
    }
}

/// All choices of `count` of the resistors, in order.
fn choices(all: &[PartId], count: usize) -> Vec<Vec<PartId>> {
    let mut found: Vec<Vec<PartId>> = vec![Vec::new()];
    for _ in 0..count {
        found = found
            .iter()
            .flat_map(|c| {
                all.iter().filter(move |&p| c.last().is_none_or(|l| p > l)).map(move |&p| {
                    let mut longer = c.clone();
                    longer.push(p);
                    longer
                })
            })
            .collect();
    }
    found
}

/// Looks for preferred values, 10 ohm to below 1 Mohm, with which every condition
/// reads inside its band, tolerances as they are.
///
/// The fewest resistors are changed; E12 is tried before E24; of the rest the widest
/// margin wins: first of the state that has the least, then of the next, and so on. One and two resistors are changed in either series, three in E12 if
/// the network has just three. None means that nothing of that kind fits. If the
/// values fit as they are, the proposal is empty.
///
/// # Errors
/// [`EndsError`] if a condition does not match the loop, or a band is not in the list.
pub fn propose(
    loop_: &Loop,
    gauge: &Gauge,
    bands: &[Interval],
    required: &[Requirement],
) -> Result<Option<Proposal>, EndsError> {
    let mut checked = Vec::with_capacity(required.len());
    for r in required {
        loop_.network().check(&r.condition.positions, &r.condition.parts)?;
        let band = bands.get(r.band).ok_or(EndsError::UnknownBand(r.band))?;
        checked.push((&r.condition, *band));
    }
    let mut search = Search { loop_, gauge, required: checked, scratch: Vec::new() };
    let proposal = |fit: Fit, series| Proposal {
        margin: fit.margins.first().copied().unwrap_or(f64::INFINITY),
        values: fit.values,
        series,
    };
    if let Some(fit) = search.fit(&[]) {
        return Ok(Some(proposal(fit, Series::E12)));
    }
    let all: Vec<PartId> = loop_.network().resistors().map(|r| r.0).collect();
    for count in 1..=all.len().min(3) {
        for series in [Series::E12, Series::E24] {
            if count == 3 && (series == Series::E24 || all.len() > 3) {
                continue;
            }
            let mut best = None;
            for parts in choices(&all, count) {
                if let Some(found) = search.best(&parts, series) {
                    keep_wider(&mut best, found);
                }
            }
            if let Some(fit) = best {
                return Ok(Some(proposal(fit, series)));
            }
        }
    }
    Ok(None)
}
