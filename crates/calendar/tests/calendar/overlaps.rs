//! Which written spans overlap.

use curtilage_calendar::{ItemId, WeekSet, WeeklyPlan};
use proptest::prelude::*;

use crate::random::week_spans;
use crate::support::spans;

/// Source: by hand. Spans that touch do not overlap; one over the end of the week does.
#[test]
fn pairs_are_given_by_index_and_id() {
    let written = [
        "Mon 08:00 to 12:00",
        "Mon 11:00 to 13:00",
        "Mon 13:00 to 14:00",
        "Sat 20:00 to Mon 08:30",
    ];
    let plan = WeeklyPlan::new(spans(&written), vec![]);
    let found = plan.overlaps(100);
    let said: Vec<String> = found
        .iter()
        .map(|o| format!("{} {} {:?} {}", o.first, o.second, o.second_id, o.shared))
        .collect();
    assert_eq!(said, ["0 1 ItemId(1) Mon 11:00 to 12:00", "0 3 ItemId(3) Mon 08:00 to 08:30"]);
    assert_eq!(found[0].first_id, ItemId(0));
    assert_eq!(plan.overlaps(1).len(), 1);
    assert_eq!(plan.overlaps(0), []);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Source: every pair, by intersection.
    #[test]
    fn pairs_agree_with_intersection(spans in week_spans()) {
        let mut want = Vec::new();
        for (i, a) in spans.iter().enumerate() {
            for (j, b) in spans.iter().enumerate().skip(i + 1) {
                let shared = WeekSet::from_spans([a]).intersection(&WeekSet::from_spans([b]));
                if !shared.is_empty() {
                    want.push((i, j, shared));
                }
            }
        }
        let found = WeeklyPlan::new(spans, vec![]).overlaps(usize::MAX);
        let got: Vec<_> = found.into_iter().map(|o| (o.first, o.second, o.shared)).collect();
        prop_assert_eq!(got, want);
    }
}
