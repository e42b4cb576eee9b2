//! From spans on the local clock face to absolute time.

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::days::DAY;
use crate::local::DateWindow;
use crate::runs::{Run, Runs};
use crate::schedule::Schedule;
use crate::zone::{Offsets, Pass, second_of, timestamp};

/// How the ends of a local span become instants when the clocks change.
///
/// They differ only where an end of a span lies in a skipped or a repeated hour, which
/// [`Schedule::edges_in_clock_change`] lists.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Reading {
    /// The product's default: each end is an instant of its own. A skipped local time is read
    /// with the offset before the change, a repeated one means its first pass. This is what
    /// RFC 5545 section 3.3.5 requires and jiff's `Compatible` does, so a calendar program that
    /// is given the same schedule agrees. A span whose ends change places by that (01:30 to 02:15
    /// when 01:00 to 02:00 is skipped) is dropped.
    #[default]
    FirstPass,
    /// As `FirstPass`, but a repeated local time that ends a span means its second pass. Use it
    /// to ask what is covered at most: it never covers less than `FirstPass`.
    Cover,
    /// A minute is covered when the local clock then shows a covered time: what a controller
    /// does that only compares its clock face. A repeated hour is judged twice.
    ClockFace,
}

/// Spans of absolute time, `[start, end)`, maximal and in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct InstantSpans(Runs);

/// One span of absolute time, `[start, end)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct InstantSpan {
    /// First instant.
    pub start: Timestamp,
    /// First instant after the span.
    pub end: Timestamp,
}

impl InstantSpans {
    /// The spans in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = InstantSpan> + '_ {
        self.0
            .as_slice()
            .iter()
            .map(|&(start, end)| InstantSpan { start: timestamp(start), end: timestamp(end) })
    }

    /// Number of spans.
    pub fn len(&self) -> usize {
        self.0.as_slice().len()
    }

    /// Whether there is no span.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Seconds that really pass, leap seconds not counted.
    pub fn seconds(&self) -> u64 {
        self.0.total() as u64
    }

    /// Whole minutes that really pass. A rest of seconds (an old offset that is not a whole
    /// minute) is dropped.
    pub fn minutes(&self) -> u64 {
        self.seconds() / 60
    }

    /// Whether the instant is in.
    pub fn contains(&self, at: Timestamp) -> bool {
        self.0.contains(second_of(at))
    }
}

/// Days around a window in which local spans still matter: a clock change moves an end by a day
/// at most (Pacific/Apia, 2011).
const MARGIN: i64 = 3;

/// Covered seconds in a window of days, and the window itself in seconds.
pub(crate) fn seconds(
    schedule: &Schedule<'_>,
    (from, to): (i64, i64),
    zone: &TimeZone,
    reading: Reading,
) -> (Runs, Run) {
    let (wide_from, wide_to) = ((from - MARGIN) * DAY, (to + MARGIN) * DAY);
    let local = schedule.local_minutes(wide_from, wide_to);
    let offsets = Offsets::new(zone, wide_from, wide_to);
    let window = (offsets.resolve(from * DAY, Pass::First), offsets.resolve(to * DAY, Pass::First));
    let runs = match reading {
        Reading::FirstPass => by_ends(&local, &offsets, Pass::First),
        Reading::Cover => by_ends(&local, &offsets, Pass::Second),
        Reading::ClockFace => by_clock_face(&local, &offsets),
    };
    (runs.clip(window.0, window.1), window)
}

/// Both ends of each span on their own. A skipped hour can turn two ends round: such a span counts
/// for nothing, and the result is sorted and merged anew.
fn by_ends(local: &Runs, offsets: &Offsets<'_>, end_pass: Pass) -> Runs {
    Runs::of(
        local
            .as_slice()
            .iter()
            .map(|&(start, end)| {
                (offsets.resolve(start, Pass::First), offsets.resolve(end, end_pass))
            })
            .collect(),
    )
}

/// While an offset holds, the clock face is the instant plus the offset.
fn by_clock_face(local: &Runs, offsets: &Offsets<'_>) -> Runs {
    let mut out = Runs::EMPTY;
    for (from, to, offset) in offsets.stretches() {
        let first = from.saturating_add(offset).div_euclid(60);
        let skip = local.first_ending_after(first);
        for &(start, end) in local.as_slice().get(skip..).unwrap_or_default() {
            let (start, end) = (start * 60 - offset, end * 60 - offset);
            if start >= to {
                break;
            }
            out.push(start.max(from), end.min(to));
        }
    }
    out
}

impl Schedule<'_> {
    /// What is covered in a window of local dates, as absolute time. The window runs from the
    /// instant of its first local midnight to that of its last, both read as `FirstPass`.
    pub fn instants(&self, window: DateWindow, zone: &TimeZone, reading: Reading) -> InstantSpans {
        InstantSpans(seconds(self, window.day_numbers(), zone, reading).0)
    }
}
