//! Which combinations of open and closed schedules there are, and for how long.

use crate::system::{System, Windows};
use crate::{Ms, WEEK};

/// Combinations of gates between which arming may change at any time.
pub(super) type Regimes = Vec<Vec<bool>>;

/// A combination of gates, and the longest time for which it lasts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Regime {
    pub(super) gates: Vec<bool>,
    /// When the longest time begins, in ms.
    pub(super) from: Ms,
    /// When it ends, in ms; `None` when it never does.
    pub(super) until: Option<Ms>,
}

/// All combinations, in the order in which they first come.
pub(super) fn regimes(system: &System) -> Vec<Regime> {
    let windows: Vec<&Windows> = system.gates.iter().map(|(_, gate)| gate).collect();
    let (start, end) = horizon(&windows);
    let open = |at: Ms| windows.iter().map(|gate| gate.contains(at)).collect::<Vec<bool>>();
    let next = |at: Ms| windows.iter().filter_map(|gate| gate.next_change(at)).min();
    let mut found: Vec<Regime> = Vec::new();
    let mut from = start;
    while from < end {
        let gates = open(from);
        let mut until = next(from);
        while let Some(change) = until.filter(|&change| change < end && open(change) == gates) {
            until = next(change);
        }
        let known = found.iter_mut().find(|regime| regime.gates == gates);
        match known {
            Some(regime) => {
                let length = |until: Option<Ms>, from| until.map_or(Ms::MAX, |until| until - from);
                if length(until, from) > length(regime.until, regime.from) {
                    (regime.from, regime.until) = (from, until);
                }
            }
            None => found.push(Regime { gates, from, until }),
        }
        let Some(change) = until else { break };
        from = change;
    }
    found
}

/// A time that holds every combination at its full length.
pub(super) fn horizon(windows: &[&Windows]) -> (Ms, Ms) {
    let spans = windows.iter().filter_map(|gate| match gate {
        Windows::Spans(spans) => spans.first().zip(spans.last()),
        _ => None,
    });
    let (mut start, mut end) = (0, 2 * WEEK);
    for (first, last) in spans {
        start = start.min(first.0 - 1);
        end = end.max(last.1 + 2 * WEEK);
    }
    (start, end)
}

/// The spans of a set of windows that meet `[from, until)`, with their true starts and ends.
pub(super) fn spans(windows: &Windows, from: Ms, until: Ms) -> Vec<(Ms, Ms)> {
    match windows {
        Windows::Never => Vec::new(),
        Windows::Always => vec![(Ms::MIN / 4, Ms::MAX / 4)],
        Windows::Spans(_) | Windows::Weekly(_) => {
            let mut at = match windows {
                Windows::Spans(spans) => spans.first().map_or(from, |span| span.0 - 1),
                _ => from - 2 * WEEK,
            };
            let mut found: Vec<(Ms, Ms)> = Vec::new();
            while let Some(change) = windows.next_change(at) {
                if windows.contains(change) {
                    // A weekly span over the week's end comes in two pieces.
                    let goes_on = found.last().is_some_and(|last| last.1 == change);
                    if change >= until && !goes_on {
                        break;
                    }
                    if !goes_on {
                        found.push((change, change));
                    }
                    if let Some(end) = windows.next_change(change)
                        && let Some(last) = found.last_mut()
                    {
                        last.1 = end;
                    }
                }
                at = change;
            }
            found.retain(|span| span.1 > from);
            found
        }
    }
}

/// The instants that are in both lists of spans; both ascending and apart.
pub(super) fn both(a: &[(Ms, Ms)], b: &[(Ms, Ms)]) -> Vec<(Ms, Ms)> {
    let mut found = Vec::new();
    let (mut left, mut right) = (a.iter().peekable(), b.iter().peekable());
    while let (Some(one), Some(two)) = (left.peek(), right.peek()) {
        let span = (one.0.max(two.0), one.1.min(two.1));
        if span.0 < span.1 {
            found.push(span);
        }
        if one.1 < two.1 {
            left.next()
        } else {
            right.next()
        };
    }
    found
}

/// The instants of `[from, until)` that are in none of the spans; the spans in any order.
pub(super) fn outside(spans: &[(Ms, Ms)], from: Ms, until: Ms) -> Vec<(Ms, Ms)> {
    let mut sorted = spans.to_vec();
    sorted.sort_unstable();
    let mut found = Vec::new();
    let mut at = from;
    for (start, end) in sorted {
        if start.min(until) > at {
            found.push((at, start.min(until)));
        }
        at = at.max(end);
    }
    if at < until {
        found.push((at, until));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: Ms = crate::HOUR;

    /// Half open: what ends where the stretch begins, or begins where it ends, is not in it.
    #[test]
    fn spans_that_meet_a_stretch() {
        let dated = Windows::Spans(vec![(0, HOUR), (2 * HOUR, 3 * HOUR), (4 * HOUR, 5 * HOUR)]);
        let weekly = Windows::weekly(&[(0, 60), (120, 180), (240, 300)]);
        for windows in [dated, weekly] {
            let met = |from, until| spans(&windows, from, until);
            assert_eq!(met(HOUR, 4 * HOUR), [(2 * HOUR, 3 * HOUR)]);
            assert_eq!(met(HOUR - 1, 4 * HOUR + 1).len(), 3);
            assert_eq!(met(3 * HOUR, 4 * HOUR), []);
            // Their true starts and ends, however short the stretch.
            assert_eq!(met(2 * HOUR + 5, 2 * HOUR + 6), [(2 * HOUR, 3 * HOUR)]);
        }
        assert_eq!(spans(&Windows::Never, 0, HOUR), []);
    }

    /// A night over the end of the week comes as one.
    #[test]
    fn a_span_over_the_end_of_the_week_is_one() {
        let night = Windows::weekly(&[(10_020, 10_140)]);
        let whole = (WEEK - HOUR, WEEK + HOUR);
        assert_eq!(spans(&night, WEEK, WEEK + 1), [whole]);
        // Also where it is cut there.
        assert_eq!(spans(&night, 2 * HOUR, WEEK), [whole]);
        assert_eq!(spans(&night, 0, WEEK), [(-HOUR, HOUR), whole]);
    }

    #[test]
    fn instants_in_both_and_in_none() {
        let (a, b) = ([(0, 4), (6, 9)], [(2, 6), (7, 8), (8, 12)]);
        assert_eq!(both(&a, &b), [(2, 4), (7, 8), (8, 9)]);
        assert_eq!(both(&b, &a), [(2, 4), (7, 8), (8, 9)]);
        assert_eq!(outside(&[(8, 12), (2, 5), (3, 4)], 0, 10), [(0, 2), (5, 8)]);
        assert_eq!(outside(&[(0, 10)], 0, 10), []);
        assert_eq!(outside(&[(12, 14)], 0, 10), [(0, 10)]);
    }
}
