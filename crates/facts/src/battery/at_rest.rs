//! The current at rest, with what the clock alone switches on.
//!
//! Over the standby time that the policy asks for it is the mean of the worst such time of the ordinary
//! week: the charge that is taken is exact then, and a current that changes takes no less from a
//! battery than its mean does. Without one it is the most of any minute.

use crate::Known;
use crate::power::{Clocked, Moved, Power, WEEK};

/// What is on at rest, with its current, A, and for how long, h.
#[derive(Clone, Debug)]
pub(super) struct Stretch {
    pub(super) moved: Moved,
    pub(super) amps: f64,
    pub(super) hours: f64,
}

/// The current at rest over a standby time, h, and what it is made of.
pub(super) fn at_rest(
    power: &Power<'_>,
    standby: Option<f64>,
    mut amps: impl FnMut(Moved) -> Known<f64>,
) -> Known<(f64, Vec<Stretch>)> {
    let adding = power.clocked_adding();
    if adding.is_empty() {
        return Ok((amps(Moved::default())?, Vec::new()));
    }
    // From one change to the next always the same is on.
    let mut changes: Vec<u32> = adding.iter().flat_map(|one| changes(one)).collect();
    changes.sort_unstable();
    changes.dedup();
    let mut known: Vec<(Moved, f64)> = Vec::new();
    let mut pieces: Vec<(u32, usize)> = Vec::new();
    for change in changes {
        let moving = adding.iter().filter(|one| one.moves_at(change));
        let moved: Moved = moving.map(|one| one.root).collect();
        let state = match known.iter().position(|(other, _)| *other == moved) {
            Some(state) => state,
            None => {
                let amps = amps(moved.clone())?;
                known.push((moved, amps));
                known.len() - 1
            }
        };
        pieces.push((change, state));
    }
    let stretch = |state: usize, hours: f64| {
        let (moved, amps) = known.get(state)?.clone();
        Some(Stretch { moved, amps, hours })
    };
    let most = (0..known.len()).filter_map(|state| stretch(state, 0.0));
    let most = most.reduce(|most, one| if one.amps > most.amps { one } else { most });
    let Some(hours) = standby.filter(|hours| *hours > 0.0) else {
        let most: Vec<Stretch> = most.into_iter().collect();
        return Ok((most.first().map_or(0.0, |most| most.amps), most));
    };
    let span = hours * 60.0;
    let amps_of = |state: usize| known.get(state).map_or(0.0, |(_, amps)| *amps);
    let from = worst(&pieces, amps_of, span);
    let all = times(&pieces, known.len(), from, span).into_iter().enumerate();
    let all = all.filter(|(_, minutes)| *minutes > 0.0);
    let all: Vec<Stretch> =
        all.filter_map(|(state, minutes)| stretch(state, minutes / 60.0)).collect();
    let mean = all.iter().map(|one| one.amps * one.hours).sum::<f64>() / hours;
    // One current alone is itself, not a quotient that is off in its last digit.
    let mean = if let [only] = all.as_slice() { only.amps } else { mean };
    Ok((mean, all))
}

/// Where the time begins in which the most charge is taken, min of the week. It begins with a change, or
/// ends with one.
fn worst(pieces: &[(u32, usize)], amps: impl Fn(usize) -> f64, span: f64) -> f64 {
    // What is taken up to each change, A min, and in a week.
    let (mut taken, mut weekly) = (Vec::with_capacity(pieces.len()), 0.0);
    for ((start, state), end) in pieces.iter().zip(ends(pieces)) {
        taken.push(weekly);
        weekly += amps(*state) * (end - f64::from(*start));
    }
    let week = f64::from(WEEK);
    let until = |minute: f64| {
        let at = minute.rem_euclid(week);
        let last = pieces.partition_point(|(start, _)| f64::from(*start) <= at).checked_sub(1);
        // Before the first change the last one of the week before still holds.
        let (index, at) = last.map_or((pieces.len() - 1, at + week), |index| (index, at));
        let before = last.map_or(-weekly, |_| 0.0) + (minute / week).floor() * weekly;
        let since =
            pieces.get(index).map_or(0.0, |(start, state)| amps(*state) * (at - f64::from(*start)));
        before + taken.get(index).copied().unwrap_or(0.0) + since
    };
    let mut most: Option<(f64, f64)> = None;
    for (change, _) in pieces {
        for from in [f64::from(*change), f64::from(*change) - span] {
            let charge = until(from + span) - until(from);
            // Of times that differ by rounding alone the first one.
            if most.is_none_or(|(known, _)| charge > known * (1.0 + 1e-12)) {
                most = Some((charge, from));
            }
        }
    }
    most.map_or(0.0, |(_, from)| from)
}

/// Where each piece of the week ends, min.
fn ends(pieces: &[(u32, usize)]) -> impl Iterator<Item = f64> {
    let next = pieces.iter().skip(1).map(|(at, _)| f64::from(*at));
    next.chain(pieces.first().map(|(at, _)| f64::from(*at) + f64::from(WEEK)))
}

/// The minutes of the week in which a root begins to move, and in which it ends.
fn changes(of: &Clocked) -> impl Iterator<Item = u32> {
    of.spans.iter().flat_map(|(from, length)| [*from, (from + length) % WEEK])
}

/// By state, how many minutes of a time it lasts. `pieces` are the changes of the week in order, each
/// with the state that it begins.
fn times(pieces: &[(u32, usize)], states: usize, from: f64, span: f64) -> Vec<f64> {
    let week = f64::from(WEEK);
    let mut out = vec![0.0; states];
    let whole = (span / week).floor();
    let from = from.rem_euclid(week);
    let until = from + (span - whole * week);
    for ((start, state), end) in pieces.iter().zip(ends(pieces)) {
        let start = f64::from(*start);
        let mut minutes = whole * (end - start);
        // Last week's piece may reach into this one, and the time into the next.
        for shift in [-week, 0.0, week] {
            minutes += ((end + shift).min(until) - (start + shift).max(from)).max(0.0);
        }
        if let Some(sum) = out.get_mut(*state) {
            *sum += minutes;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{WEEK, times, worst};

    /// On from 01:00 to 03:00 on Monday: the first state; off for the rest of the week: the second.
    #[test]
    fn a_time_runs_over_the_end_of_the_week() {
        let (pieces, week) = ([(60, 0), (180, 1)], f64::from(WEEK));
        assert_eq!(times(&pieces, 2, 0.0, 120.0), [60.0, 60.0]);
        assert_eq!(times(&pieces, 2, -60.0, 180.0), [60.0, 120.0]);
        assert_eq!(times(&pieces, 2, 120.0, week), [120.0, week - 120.0]);
        assert_eq!(times(&pieces, 2, 0.0, 2.0 * week + 90.0), [270.0, 2.0 * week - 180.0]);
        assert_eq!(times(&[(7, 0)], 1, 500.0, 30.0), [30.0]);
    }

    /// Held against all that is taken in each time that begins or ends with a change.
    #[test]
    fn the_worst_time_takes_the_most() {
        let amps = [0.3, 1.25, 0.7];
        let pieces = [(60, 0), (180, 1), (700, 2), (4000, 1), (4100, 0), (9000, 2)];
        for span in [30.0, 720.0, 1440.0, 9999.0, 1.5 * f64::from(WEEK)] {
            let charge = |from| {
                let minutes = times(&pieces, 3, from, span);
                minutes.iter().zip(amps).map(|(minutes, amps)| minutes * amps).sum::<f64>()
            };
            let starts = pieces.iter().flat_map(|(at, _)| [f64::from(*at), f64::from(*at) - span]);
            let most = starts.map(charge).fold(0.0, f64::max);
            let found = charge(worst(&pieces, |state| amps[state], span));
            assert!((found - most).abs() < 1e-9, "{span}: {found} and {most}");
        }
        assert_eq!(worst(&[(7, 0)], |_| 1.0, 30.0), 7.0);
    }
}
