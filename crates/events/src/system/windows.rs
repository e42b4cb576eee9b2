//! When something is armed or works.

use crate::{Ms, WEEK};

const MINUTE: Ms = 60_000;
const WEEK_MINUTES: u32 = 10_080;

/// A set of instants: a union of half-open spans.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Windows {
    /// Every instant.
    Always,
    /// No instant.
    Never,
    /// Spans `[start, end)` in ms, ascending and apart: what a calendar gives for real dates.
    Spans(Vec<(Ms, Ms)>),
    /// Spans `[start, end)` in minutes of the week, `0 <= start < end <= 10080`, ascending and
    /// apart, for every week; minute 0 is at instant 0. [`Windows::weekly`] makes it.
    Weekly(Vec<(u32, u32)>),
}

impl Windows {
    /// Weekly windows from any spans in minutes of the week; an end past 10080 runs into the next
    /// week, an empty span is dropped, overlapping and touching ones are joined.
    #[must_use]
    pub fn weekly(spans: &[(u32, u32)]) -> Self {
        let mut parts: Vec<(u32, u32)> = Vec::new();
        for &(start, end) in spans {
            if start >= end {
                continue;
            }
            if end - start >= WEEK_MINUTES {
                return Self::Always;
            }
            let start = start % WEEK_MINUTES;
            let end = if end % WEEK_MINUTES == 0 { WEEK_MINUTES } else { end % WEEK_MINUTES };
            if start < end {
                parts.push((start, end));
            } else {
                parts.push((start, WEEK_MINUTES));
                parts.push((0, end));
            }
        }
        parts.sort_unstable();
        let mut joined: Vec<(u32, u32)> = Vec::new();
        for (start, end) in parts {
            match joined.last_mut() {
                Some(last) if start <= last.1 => last.1 = last.1.max(end),
                _ => joined.push((start, end)),
            }
        }
        match joined.as_slice() {
            [] => Self::Never,
            [(0, WEEK_MINUTES)] => Self::Always,
            _ => Self::Weekly(joined),
        }
    }

    /// Whether the instant is in it.
    #[must_use]
    pub fn contains(&self, at: Ms) -> bool {
        match self {
            Self::Always => true,
            Self::Never => false,
            Self::Spans(spans) => {
                let after = spans.partition_point(|span| span.0 <= at);
                after > 0 && spans.get(after - 1).is_some_and(|span| at < span.1)
            }
            Self::Weekly(spans) => {
                let at = at.rem_euclid(WEEK);
                let after = spans.partition_point(|span| Ms::from(span.0) * MINUTE <= at);
                after > 0 && spans.get(after - 1).is_some_and(|span| at < Ms::from(span.1) * MINUTE)
            }
        }
    }

    /// The first start or end of a span after the instant, if there is one.
    #[must_use]
    pub fn next_change(&self, after: Ms) -> Option<Ms> {
        match self {
            Self::Always | Self::Never => None,
            Self::Spans(spans) => {
                let span = spans.get(spans.partition_point(|span| span.1 <= after))?;
                Some(if span.0 > after { span.0 } else { span.1 })
            }
            Self::Weekly(spans) => {
                let base = after - after.rem_euclid(WEEK);
                let inside = after.rem_euclid(WEEK);
                let edges = || spans.iter().flat_map(|span| [span.0, span.1]);
                let edges = || edges().map(|minute| Ms::from(minute) * MINUTE);
                let here = edges().find(|&edge| edge > inside);
                here.or_else(|| edges().next().map(|edge| edge + WEEK)).map(|edge| base + edge)
            }
        }
    }

    /// Whether spans are ascending, apart, not empty and in range.
    pub(crate) fn is_sound(&self) -> bool {
        fn ordered<T: PartialOrd + Copy>(spans: &[(T, T)]) -> bool {
            spans.iter().all(|span| span.0 < span.1)
                && spans.iter().zip(spans.iter().skip(1)).all(|(a, b)| a.1 < b.0)
        }
        match self {
            Self::Always | Self::Never => true,
            Self::Spans(spans) => ordered(spans),
            Self::Weekly(spans) => {
                ordered(spans) && spans.last().is_none_or(|span| span.1 <= WEEK_MINUTES)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weekly_spans_are_cut_and_joined() {
        let night = Windows::weekly(&[(10_000, 10_200), (60, 120), (120, 130), (5, 5)]);
        assert_eq!(night, Windows::Weekly(vec![(0, 130), (10_000, 10_080)]));
        assert_eq!(Windows::weekly(&[(0, 5_000), (5_000, 10_080)]), Windows::Always);
        let sunday = (9_000, 10_080);
        assert_eq!(Windows::weekly(&[sunday]), Windows::Weekly(vec![sunday]));
        assert_eq!(Windows::weekly(&[(3, 3)]), Windows::Never);
        assert_eq!(Windows::weekly(&[(10_080, 10_081)]), Windows::Weekly(vec![(0, 1)]));
    }

    #[test]
    fn changes_follow_each_other() {
        let weekly = Windows::Weekly(vec![(1, 2), (10_079, 10_080)]);
        let spans = Windows::Spans(vec![(60_000, 120_000), (604_740_000, 604_800_000)]);
        for windows in [&weekly, &spans] {
            assert_eq!(windows.next_change(-5), Some(if *windows == weekly { 0 } else { 60_000 }));
            assert_eq!(windows.next_change(60_000), Some(120_000));
            assert_eq!(windows.next_change(120_000), Some(604_740_000));
            assert_eq!(windows.next_change(604_740_000), Some(604_800_000));
            assert!(windows.contains(60_000) && !windows.contains(59_999));
            assert!(windows.contains(119_999) && !windows.contains(120_000));
        }
        assert_eq!(spans.next_change(604_800_000), None);
        assert_eq!(weekly.next_change(604_800_000), Some(604_860_000));
        assert!(weekly.contains(-1) && !weekly.contains(-60_001));
    }

    #[test]
    fn unsound_windows_are_told() {
        assert!(!Windows::Spans(vec![(5, 5)]).is_sound());
        assert!(!Windows::Spans(vec![(5, 9), (9, 10)]).is_sound());
        assert!(!Windows::Weekly(vec![(5, 10_081)]).is_sound());
        assert!(Windows::Weekly(vec![(5, 10_080)]).is_sound());
    }
}
