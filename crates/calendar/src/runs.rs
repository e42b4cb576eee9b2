//! Exact algebra on half-open intervals of whole numbers.
//!
//! Invariant of [`Runs`]: sorted, none empty, no two overlap or touch. So two `Runs` hold the
//! same points exactly when they are equal, and their edges, read in order, strictly rise.

/// One half-open interval `[start, end)`.
pub(crate) type Run = (i64, i64);

/// A set of whole numbers as maximal runs.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) struct Runs(Vec<Run>);

impl Runs {
    /// No points.
    pub(crate) const EMPTY: Self = Self(Vec::new());

    /// `[start, end)`; empty when `end <= start`.
    pub(crate) fn one(start: i64, end: i64) -> Self {
        let mut runs = Self::EMPTY;
        runs.push(start, end);
        runs
    }

    /// The union of any intervals in any order; empty and reversed ones count for nothing.
    pub(crate) fn of(mut intervals: Vec<Run>) -> Self {
        intervals.retain(|(start, end)| start < end);
        if !intervals.is_sorted() {
            intervals.sort_unstable();
        }
        intervals.dedup_by(|next, last| {
            let joins = next.0 <= last.1;
            if joins {
                last.1 = last.1.max(next.1);
            }
            joins
        });
        Self(intervals)
    }

    /// Adds an interval that starts no earlier than any before it.
    pub(crate) fn push(&mut self, start: i64, end: i64) {
        if end <= start {
            return;
        }
        match self.0.last_mut() {
            Some(last) if start <= last.1 => last.1 = last.1.max(end),
            _ => self.0.push((start, end)),
        }
    }

    /// The runs, rising.
    pub(crate) fn as_slice(&self) -> &[Run] {
        &self.0
    }

    /// Whether there is no point.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many points.
    pub(crate) fn total(&self) -> i64 {
        self.0.iter().map(|(start, end)| end - start).sum()
    }

    /// The first run that ends after the point: the one that holds it, or else the next.
    pub(crate) fn at_or_after(&self, point: i64) -> Option<Run> {
        self.0.get(self.first_ending_after(point)).copied()
    }

    /// Index of the first run that ends after the point.
    pub(crate) fn first_ending_after(&self, point: i64) -> usize {
        self.0.partition_point(|run| run.1 <= point)
    }

    /// Whether the point is in.
    pub(crate) fn contains(&self, point: i64) -> bool {
        self.at_or_after(point).is_some_and(|run| run.0 <= point)
    }

    /// The edges in order: start, end, start, end ...
    fn edges(&self) -> impl Iterator<Item = i64> {
        self.0.iter().flat_map(|run| [run.0, run.1])
    }

    /// Walks the edges of both and keeps the points for which `keep` holds. `keep(false, false)`
    /// must be false, or the result would have no end.
    fn combine(&self, other: &Self, keep: impl Fn(bool, bool) -> bool) -> Self {
        let (mut left, mut right) = (self.edges().peekable(), other.edges().peekable());
        let (mut in_left, mut in_right) = (false, false);
        let mut open = None;
        let mut out = Vec::with_capacity(self.0.len() + other.0.len());
        loop {
            let at = match (left.peek(), right.peek()) {
                (Some(&a), Some(&b)) => a.min(b),
                (Some(&a), None) => a,
                (None, Some(&b)) => b,
                (None, None) => return Self(out),
            };
            if left.next_if_eq(&at).is_some() {
                in_left = !in_left;
            }
            if right.next_if_eq(&at).is_some() {
                in_right = !in_right;
            }
            match (open, keep(in_left, in_right)) {
                (None, true) => open = Some(at),
                (Some(start), false) => {
                    out.push((start, at));
                    open = None;
                }
                _ => {}
            }
        }
    }

    /// All points so much later.
    pub(crate) fn later(&self, by: i64) -> Self {
        Self(self.0.iter().map(|(start, end)| (start + by, end + by)).collect())
    }

    /// Every run without so many of its first points.
    pub(crate) fn without_first(&self, points: i64) -> Self {
        let rest = self.0.iter().map(|(start, end)| (start.saturating_add(points), *end));
        Self(rest.filter(|(start, end)| start < end).collect())
    }

    /// Points in either.
    pub(crate) fn union(&self, other: &Self) -> Self {
        let mut out = Self(Vec::with_capacity(self.0.len() + other.0.len()));
        let (mut left, mut right) = (self.as_slice(), other.as_slice());
        // Of the two next runs first the one that starts first.
        while let ([a, more_left @ ..], [b, more_right @ ..]) = (left, right) {
            let next = if a.0 <= b.0 { a } else { b };
            if a.0 <= b.0 {
                left = more_left;
            } else {
                right = more_right;
            }
            out.push(next.0, next.1);
        }
        left.iter().chain(right).for_each(|run| out.push(run.0, run.1));
        out
    }

    /// Points in both.
    pub(crate) fn within(&self, other: &Self) -> Self {
        self.combine(other, |a, b| a && b)
    }

    /// Points in this and not in the other.
    pub(crate) fn minus(&self, other: &Self) -> Self {
        self.combine(other, |a, b| a && !b)
    }

    /// Points of `[start, end)` that are not in.
    pub(crate) fn complement(&self, start: i64, end: i64) -> Self {
        Self::one(start, end).minus(self)
    }

    /// Points of `[start, end)` that are in.
    pub(crate) fn clip(&self, start: i64, end: i64) -> Self {
        let mut out = Self::EMPTY;
        for &(a, b) in self.0.get(self.first_ending_after(start)..).unwrap_or_default() {
            if a >= end {
                break;
            }
            out.push(a.max(start), b.min(end));
        }
        out
    }
}
