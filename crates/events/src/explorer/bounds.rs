//! Sets of remaining times: bounds on each time and on each difference of two.
//!
//! A difference-bound matrix (Dill 1989) over whole milliseconds: cell `(i, j)` is the greatest
//! `time i - time j`, where index 0 stands for the time 0. All bounds are finite, and the matrix is
//! kept closed, so that two equal sets have equal cells. Timers only run down, all alike.

use crate::Ms;

/// Longer than any timer, and far from overflow.
const ANY: Ms = 4 * crate::LONGEST;

/// A set of remaining times, not empty.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Times {
    /// One more than the number of timers.
    size: usize,
    cells: Vec<Ms>,
}

/// Where a timer comes from after an instant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    /// It was this one before, from 0, and ran on.
    Kept(usize),
    /// It was set in the instant, to this length in ms.
    Set(Ms),
}

impl Times {
    /// No timers.
    pub(super) fn none() -> Self {
        Self { size: 1, cells: vec![0] }
    }

    fn at(&self, row: usize, column: usize) -> Ms {
        self.cells.get(row * self.size + column).copied().unwrap_or(0)
    }

    fn put(&mut self, row: usize, column: usize, value: Ms) {
        if let Some(cell) = self.cells.get_mut(row * self.size + column) {
            *cell = value;
        }
    }

    /// Whether every member of the other set is in this one.
    pub(super) fn covers(&self, other: &Self) -> bool {
        self.size == other.size
            && self.cells.iter().zip(&other.cells).all(|(mine, theirs)| theirs <= mine)
    }

    /// After at least one millisecond and before any timer is over: every time from 0 up.
    fn later(&self) -> Option<Self> {
        let mut later = self.clone();
        for timer in 1..self.size {
            later.put(timer, 0, self.at(timer, 0) - 1);
            let least = (1..self.size).map(|other| self.at(other, timer)).min().unwrap_or(0);
            later.put(0, timer, least.min(0));
        }
        let possible = (1..self.size).all(|timer| later.at(timer, 0) + later.at(0, timer) >= 0);
        possible.then_some(later)
    }

    /// The members with `time row - time column <= bound`; `None` when there are none.
    fn within(mut self, row: usize, column: usize, bound: Ms) -> Option<Self> {
        if self.at(row, column) <= bound {
            return Some(self);
        }
        if self.at(column, row) + bound < 0 {
            return None;
        }
        for i in 0..self.size {
            let to = self.at(i, row) + bound;
            for j in 0..self.size {
                let through = to + self.at(column, j);
                if through < self.at(i, j) {
                    self.put(i, j, through);
                }
            }
        }
        Some(self)
    }

    /// Every way in which the next instant can come: which timers are over in it, and the times
    /// that then remain. The way in which none is over is among them.
    pub(super) fn instants(&self) -> Vec<(Vec<bool>, Self)> {
        let Some(later) = self.later() else { return Vec::new() };
        let mut ways = vec![(Vec::new(), later)];
        for timer in 1..self.size {
            let mut split = Vec::new();
            for (over, times) in ways {
                if let Some(times) = times.clone().within(timer, 0, 0) {
                    let mut over = over.clone();
                    over.push(true);
                    split.push((over, times));
                }
                if let Some(times) = times.within(0, timer, -1) {
                    let mut over = over;
                    over.push(false);
                    split.push((over, times));
                }
            }
            ways = split;
        }
        ways
    }

    /// A set that holds this one, with every bound rounded outwards to so many leading binary
    /// digits; with none, any timer may be over at any time. There are few such sets, so a search
    /// over them is short.
    pub(super) fn rounded(&self, digits: u32) -> Self {
        let mut rounded = self.clone();
        if digits == 0 {
            for row in 0..self.size {
                for column in 0..self.size {
                    let bound = match (row, column) {
                        (0, 0) => 0,
                        (0, _) => -1,
                        (_, 0) => ANY,
                        _ if row == column => 0,
                        _ => ANY - 1,
                    };
                    rounded.put(row, column, bound);
                }
            }
            return rounded;
        }
        for cell in &mut rounded.cells {
            let used = Ms::BITS - cell.unsigned_abs().leading_zeros();
            let step: Ms = 1 << used.saturating_sub(digits);
            // Up, for bounds above 0 and below: `div_euclid` goes down.
            *cell = (*cell + step - 1).div_euclid(step) * step;
        }
        for middle in 0..self.size {
            for row in 0..self.size {
                let to = rounded.at(row, middle);
                for column in 0..self.size {
                    let through = to + rounded.at(middle, column);
                    if through < rounded.at(row, column) {
                        rounded.put(row, column, through);
                    }
                }
            }
        }
        rounded
    }

    /// The times after an instant.
    pub(super) fn after(&self, slots: &[Slot]) -> Self {
        let size = slots.len() + 1;
        let mut after = Self { size, cells: vec![0; size * size] };
        let bound = |from: Option<&Slot>, to: Option<&Slot>| match (from, to) {
            (None, None) => 0,
            (Some(Slot::Kept(a)), None) => self.at(a + 1, 0),
            (None, Some(Slot::Kept(b))) => self.at(0, b + 1),
            (Some(Slot::Kept(a)), Some(Slot::Kept(b))) => self.at(a + 1, b + 1),
            (Some(Slot::Set(a)), None) => *a,
            (None, Some(Slot::Set(b))) => -*b,
            (Some(Slot::Set(a)), Some(Slot::Set(b))) => a - b,
            (Some(Slot::Set(a)), Some(Slot::Kept(b))) => a + self.at(0, b + 1),
            (Some(Slot::Kept(a)), Some(Slot::Set(b))) => self.at(a + 1, 0) - b,
        };
        let all = || std::iter::once(None).chain(slots.iter().map(Some));
        for (row, from) in all().enumerate() {
            for (column, to) in all().enumerate() {
                after.put(row, column, bound(from, to));
            }
        }
        after
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// All members, by trying every value from 0 to `most`.
    fn members(times: &Times, most: Ms) -> BTreeSet<Vec<Ms>> {
        let mut all = vec![Vec::new()];
        for _ in 1..times.size {
            let longer = |list: &Vec<Ms>| -> Vec<Vec<Ms>> {
                (0..=most).map(|value| [list.clone(), vec![value]].concat()).collect()
            };
            all = all.iter().flat_map(longer).collect();
        }
        let inside = |list: &Vec<Ms>| {
            let value = |place: usize| if place == 0 { 0 } else { list[place - 1] };
            (0..times.size).all(|i| (0..times.size).all(|j| value(i) - value(j) <= times.at(i, j)))
        };
        all.into_iter().filter(inside).collect()
    }

    /// Walks random steps and compares every set with the set of its members stepped one by one.
    #[test]
    fn sets_are_exact() {
        let mut random: u64 = 7;
        let mut next = |below: u64| {
            random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (random >> 33) % below
        };
        let mut compared = 0;
        for _ in 0..300 {
            let mut times = Times::none();
            let mut points: BTreeSet<Vec<Ms>> = BTreeSet::from([Vec::new()]);
            for _ in 0..6 {
                let ways = times.instants();
                let mut expected: BTreeSet<(Vec<bool>, Vec<Ms>)> = BTreeSet::new();
                for point in &points {
                    let most = point.iter().min().copied().unwrap_or(1);
                    for wait in 1..=most {
                        let left: Vec<Ms> = point.iter().map(|time| time - wait).collect();
                        expected.insert((left.iter().map(|&time| time == 0).collect(), left));
                    }
                }
                let mut got = BTreeSet::new();
                for (over, times) in &ways {
                    let inside = members(times, 6);
                    assert!(!inside.is_empty());
                    got.extend(inside.into_iter().map(|point| (over.clone(), point)));
                }
                assert_eq!(got, expected);
                compared += expected.len();
                let (over, chosen) = ways[next(ways.len() as u64) as usize].clone();
                let mut slots: Vec<Slot> =
                    (0..over.len()).filter(|&place| !over[place]).map(Slot::Kept).collect();
                if slots.len() > 2 {
                    slots.remove(next(3) as usize);
                }
                let set = 1 + next(5) as Ms;
                slots.insert(next(slots.len() as u64 + 1) as usize, Slot::Set(set));
                points = members(&chosen, 6)
                    .iter()
                    .map(|point| {
                        let value = |slot: &Slot| match slot {
                            Slot::Kept(place) => point[*place],
                            Slot::Set(length) => *length,
                        };
                        slots.iter().map(value).collect()
                    })
                    .collect();
                times = chosen.after(&slots);
                assert_eq!(members(&times, 6), points);
                for digits in 0..4 {
                    let rounded = times.rounded(digits);
                    assert!(rounded.covers(&times));
                    assert!(members(&rounded, 6).is_superset(&points));
                }
            }
        }
        assert!(compared > 5_000, "{compared}");
    }

    /// Timers of 5 and 12, worked out by hand. With no digits all that is left is that each is
    /// above 0; with one, 5 becomes 8 from above and 4 from below, 12 becomes 16 and 8; with four
    /// nothing changes.
    #[test]
    fn bounds_are_rounded_outwards() {
        let times = Times::none().after(&[Slot::Set(5), Slot::Set(12)]);
        assert_eq!(times.cells, [0, -5, -12, 5, 0, -7, 12, 7, 0]);
        let any = times.rounded(0);
        assert_eq!(any.cells, [0, -1, -1, ANY, 0, ANY - 1, ANY, ANY - 1, 0]);
        let one = times.rounded(1);
        assert_eq!(one.cells, [0, -4, -8, 8, 0, -4, 16, 8, 0]);
        let two = times.rounded(2);
        assert_eq!(two.cells, [0, -4, -12, 6, 0, -6, 12, 8, 0]);
        assert_eq!(times.rounded(4), times);
        // Of 5 and 6 the first is below 8 by the one between them, and the second above 4.
        let near = Times::none().after(&[Slot::Set(5), Slot::Set(6)]).rounded(1);
        assert_eq!(near.cells, [0, -4, -5, 7, 0, -1, 8, 1, 0]);
        for digits in 0..4 {
            assert!(times.rounded(digits).covers(&times.rounded(digits + 1)));
        }
    }
}
