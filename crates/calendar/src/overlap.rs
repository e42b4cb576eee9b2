//! Weekly spans of one plan that say the same minutes twice.

use std::collections::BTreeSet;

use crate::plan::WeeklyPlan;
use crate::week_set::WeekSet;
use crate::week_span::{ItemId, WeekSpan};

/// Two spans of a plan that share minutes of the week.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlap {
    /// Index of the one that is written first.
    pub first: usize,
    /// Index of the one that is written second.
    pub second: usize,
    /// The caller's number of the first.
    pub first_id: ItemId,
    /// The caller's number of the second.
    pub second_id: ItemId,
    /// The minutes that both hold.
    pub shared: WeekSet,
}

impl WeeklyPlan {
    /// The pairs of spans that share a minute, sorted by index, at most `limit` of them
    /// (n spans can make n(n-1)/2). Spans that touch do not overlap.
    pub fn overlaps(&self, limit: usize) -> Vec<Overlap> {
        let said = self.spans().iter().flat_map(WeekSpan::pieces).map(|(start, end)| end - start);
        if said.sum::<i64>() == i64::from(self.week().minutes()) {
            return Vec::new();
        }
        let mut pieces: Vec<(i64, i64, usize)> = Vec::new();
        for (index, span) in self.spans().iter().enumerate() {
            pieces.extend(span.pieces().map(|(start, end)| (start, end, index)));
        }
        pieces.sort_unstable();
        let mut pairs = BTreeSet::new();
        // Pieces that are still running where the next one starts.
        let mut running: Vec<(i64, usize)> = Vec::new();
        'sweep: for (start, end, index) in pieces {
            running.retain(|(until, _)| *until > start);
            for &(_, other) in &running {
                if pairs.len() >= limit {
                    break 'sweep;
                }
                pairs.insert((index.min(other), index.max(other)));
            }
            running.push((end, index));
        }
        pairs.into_iter().filter_map(|(first, second)| self.overlap(first, second)).collect()
    }

    fn overlap(&self, first: usize, second: usize) -> Option<Overlap> {
        let (a, b) = (self.spans().get(first)?, self.spans().get(second)?);
        let only = |span: &WeekSpan| WeekSet::from_spans([span]);
        Some(Overlap {
            first,
            second,
            first_id: a.id(),
            second_id: b.id(),
            shared: only(a).intersection(&only(b)),
        })
    }
}
