//! Set algebra of the week against a plain map of 10080 minutes.
//!
//! Source: the definition of a half-open span, minute by minute.

use curtilage_calendar::{WeekMinute, WeekSet, WeekSpan};
use proptest::prelude::*;

use crate::random::week_spans;
use crate::support::{day, spans, time, window};

const WEEK: usize = 10_080;

fn map_of(spans: &[WeekSpan]) -> Vec<bool> {
    let mut map = vec![false; WEEK];
    for span in spans {
        for minute in 0..usize::from(span.minutes()) {
            map[(usize::from(span.start().minutes()) + minute) % WEEK] = true;
        }
    }
    map
}

fn minute(index: usize) -> WeekMinute {
    let (hour, rest) = (index % 1440 / 60, index % 60);
    WeekMinute::new(day((index / 1440).try_into().unwrap()), time(&format!("{hour}:{rest}")))
}

fn as_map(set: &WeekSet) -> Vec<bool> {
    (0..WEEK).map(|index| set.contains(minute(index))).collect()
}

/// The map that the pieces make, failing when two pieces share a minute or touch.
fn map_of_pieces(set: &WeekSet) -> Vec<bool> {
    let mut map = vec![false; WEEK];
    for piece in set.pieces() {
        let (start, minutes) = (usize::from(piece.start().minutes()), piece.minutes() as usize);
        for offset in 0..minutes {
            let slot = &mut map[(start + offset) % WEEK];
            assert!(!*slot, "a minute twice in {set:?}");
            *slot = true;
        }
    }
    for piece in set.pieces().iter().filter(|piece| piece.minutes() < 10_080) {
        let end = (usize::from(piece.start().minutes()) + piece.minutes() as usize) % WEEK;
        assert!(!map[end], "pieces of {set:?} touch");
        let shown = (piece.end_day(), piece.end_time());
        assert_eq!(usize::from(WeekMinute::new(shown.0, shown.1).minutes()), end);
    }
    map
}

fn zip(a: &[bool], b: &[bool], with: impl Fn(bool, bool) -> bool) -> Vec<bool> {
    a.iter().zip(b).map(|(a, b)| with(*a, *b)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn operations_agree_with_the_map(left in week_spans(), right in week_spans()) {
        let (a, b) = (WeekSet::from_spans(&left), WeekSet::from_spans(&right));
        let (map_a, map_b) = (map_of(&left), map_of(&right));
        prop_assert_eq!(as_map(&a), map_a.clone());
        prop_assert_eq!(map_of_pieces(&a), map_a.clone());
        prop_assert_eq!(a.minutes() as usize, map_a.iter().filter(|m| **m).count());
        prop_assert_eq!(a.is_empty(), !map_a.contains(&true));
        prop_assert_eq!(a.is_full(), !map_a.contains(&false));
        prop_assert_eq!(as_map(&a.union(&b)), zip(&map_a, &map_b, |a, b| a || b));
        prop_assert_eq!(as_map(&a.intersection(&b)), zip(&map_a, &map_b, |a, b| a && b));
        prop_assert_eq!(as_map(&a.minus(&b)), zip(&map_a, &map_b, |a, b| a && !b));
        prop_assert_eq!(as_map(&a.complement()), zip(&map_a, &map_a, |a, _| !a));
        prop_assert_eq!(map_of_pieces(&a.union(&b)), as_map(&a.union(&b)));
        prop_assert_eq!(map_of_pieces(&a.minus(&b)), as_map(&a.minus(&b)));
        prop_assert_eq!(a == b, map_a == map_b);
        for by in [0, 1, 30, 1_440, 10_079, 10_080, 10_111] {
            let mut later = map_a.clone();
            later.rotate_right(by % 10_080);
            prop_assert_eq!(as_map(&a.later(by as u64)), later);
        }
    }

    /// A minute stays where as many before it are in the same span, also over the end of the week; a whole
    /// week has no first minute.
    #[test]
    fn first_minutes_are_left_out(one in week_spans()) {
        let (set, map) = (WeekSet::from_spans(&one), map_of(&one));
        let mut ages = vec![0_usize; WEEK];
        let mut age = 0;
        for index in (0..WEEK).chain(0..WEEK) {
            age = if map[index] { age + 1 } else { 0 };
            ages[index] = age;
        }
        for first in [0, 1, 30, 1_440, 9_000, 30_000] {
            let stays = |index: usize| map[index] && (set.is_full() || ages[index] > first);
            let rest = set.without_first(first as u64);
            prop_assert_eq!(as_map(&rest), (0..WEEK).map(stays).collect::<Vec<_>>());
            prop_assert_eq!(rest.is_empty(), !(0..WEEK).any(stays));
        }
        for piece in set.pieces().iter().filter(|_| !set.is_full()) {
            let whole = set.without_first(u64::from(piece.minutes()));
            prop_assert!(!whole.contains(piece.start()));
        }
        let longest = set.pieces().iter().map(|piece| piece.minutes()).max().unwrap_or(0);
        prop_assert_eq!(set.without_first(u64::from(longest)).is_empty(), !set.is_full());
    }

    /// Source: De Morgan's laws and what follows from them; equality of sets is equality of
    /// values, so these also hold the one form a set may have.
    #[test]
    fn laws_hold(one in week_spans(), two in week_spans(), three in week_spans()) {
        let (a, b) = (WeekSet::from_spans(&one), WeekSet::from_spans(&two));
        let c = WeekSet::from_spans(&three);
        prop_assert_eq!(&a.complement().complement(), &a);
        prop_assert_eq!(a.union(&b).complement(), a.complement().intersection(&b.complement()));
        prop_assert_eq!(a.intersection(&b).complement(), a.complement().union(&b.complement()));
        prop_assert_eq!(a.minus(&b), a.intersection(&b.complement()));
        prop_assert_eq!(a.union(&b), b.union(&a));
        prop_assert_eq!(a.union(&b).union(&c), a.union(&b.union(&c)));
        prop_assert_eq!(
            a.intersection(&b.union(&c)),
            a.intersection(&b).union(&a.intersection(&c))
        );
        prop_assert_eq!(a.minutes() + a.complement().minutes(), 10_080);
        prop_assert_eq!(
            a.union(&b).minutes() + a.intersection(&b).minutes(),
            a.minutes() + b.minutes()
        );
        prop_assert_eq!(a.union(&a.complement()), WeekSet::full());
        prop_assert_eq!(a.intersection(&a.complement()), WeekSet::EMPTY);
    }
}

/// What runs out of a window is cut off, and nothing comes in at its beginning.
#[test]
fn minutes_of_a_window_come_later() {
    let window = window("2026-12-24", "2026-12-26");
    let night = WeekSet::from_spans(&spans(&["Thu 20:00 to Fri 07:00", "Fri 23:00 to Sat 07:00"]));
    let shown = |later| {
        let spans = night.in_window(window).later(later, window);
        spans.iter().map(|span| span.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(shown(0).len(), 2);
    assert_eq!(
        shown(30),
        ["Thu 2026-12-24 20:30 to Fri 2026-12-25 07:30", "Fri 2026-12-25 23:30 to 24:00"]
    );
    assert_eq!(shown(60), ["Thu 2026-12-24 21:00 to Fri 2026-12-25 08:00"]);
    assert!(shown(28 * 60).is_empty() && shown(u64::MAX).is_empty());
}
