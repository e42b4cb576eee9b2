//! Time zones, and from local minutes to instants.
//!
//! Every skipped or repeated local time is decided by jiff. Far from a change of offset there is
//! nothing to decide, and one subtraction does.

use jiff::Timestamp;
use jiff::tz::{TimeZone, TimeZoneDatabase};

use crate::days::datetime_of;
use crate::error::CalendarError;
use crate::runs::Runs;

/// A time zone by its IANA name, from the database that is compiled in, never from the machine.
///
/// Upper and lower case do not matter; [`TimeZone::iana_name`] gives the usual spelling.
///
/// # Errors
/// [`CalendarError::UnknownZone`].
pub fn zone(name: &str) -> Result<TimeZone, CalendarError> {
    TimeZoneDatabase::bundled()
        .get(name)
        .map_err(|_| CalendarError::UnknownZone { name: name.to_owned() })
}

/// The IANA names that [`zone`] knows, sorted.
pub fn zone_names() -> Vec<String> {
    let mut names: Vec<String> =
        TimeZoneDatabase::bundled().available().map(|name| name.as_str().to_owned()).collect();
    names.sort();
    names
}

/// Which of two instants a repeated local time means. A skipped local time is always read with
/// the offset before the change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pass {
    First,
    Second,
}

/// Seconds on either side of a change within which jiff is asked. No two offsets differ by more
/// than 52 h, so beyond three days a local time has one reading.
const NEAR: i64 = 3 * 86_400;

/// From a timestamp on, this offset: (seconds from 1970-01-01T00:00Z, seconds east).
type Segment = (i64, i64);

/// The offsets of a zone around a window.
pub(crate) struct Offsets<'a> {
    zone: &'a TimeZone,
    segments: Vec<Segment>,
}

impl<'a> Offsets<'a> {
    /// For local minutes in `[from, to)`.
    pub(crate) fn new(zone: &'a TimeZone, from: i64, to: i64) -> Self {
        let (start, end) = (timestamp(from * 60 - 2 * NEAR), timestamp(to * 60 + 2 * NEAR));
        let mut segments: Vec<Segment> =
            vec![(i64::MIN, i64::from(zone.to_offset(start).seconds()))];
        for change in zone.following(start) {
            if change.timestamp() > end {
                break;
            }
            let offset = i64::from(change.offset().seconds());
            if segments.last().is_none_or(|last| last.1 != offset) {
                segments.push((change.timestamp().as_second(), offset));
            }
        }
        Self { zone, segments }
    }

    /// The stretches of one offset: (first second, first second after, seconds east).
    pub(crate) fn stretches(&self) -> impl Iterator<Item = (i64, i64, i64)> + '_ {
        let ends = self.segments.iter().skip(1).map(|next| next.0).chain([i64::MAX]);
        self.segments.iter().zip(ends).map(|(&(start, offset), end)| (start, end, offset))
    }

    /// The one offset that holds for three days around a local minute, if there is one.
    fn plain(&self, minute: i64) -> Option<i64> {
        let wall = minute * 60;
        let next = self.segments.partition_point(|segment| segment.0 <= wall);
        let &(start, offset) = self.segments.get(next.checked_sub(1)?)?;
        let far_from_start = start.checked_add(NEAR).is_some_and(|start| start < wall);
        let far_from_next = self.segments.get(next).is_none_or(|next| next.0 - NEAR > wall);
        (far_from_start && far_from_next).then_some(offset)
    }

    /// The local minutes that some change of offset skips or repeats.
    pub(crate) fn changed_minutes(&self) -> Runs {
        let changes = self.segments.iter().zip(self.segments.iter().skip(1));
        let between = changes.map(|(before, after)| {
            let (one, other) = (after.0 + before.1, after.0 + after.1);
            (one.min(other).div_euclid(60), (one.max(other) + 59).div_euclid(60))
        });
        Runs::of(between.collect())
    }

    /// The instant of a local minute, seconds from 1970-01-01T00:00Z.
    pub(crate) fn resolve(&self, minute: i64, pass: Pass) -> i64 {
        if let Some(offset) = self.plain(minute) {
            return minute * 60 - offset;
        }
        let local = self.zone.to_ambiguous_timestamp(datetime_of(minute));
        // `later` is the second pass of a repeated time, and the offset before the change for a
        // skipped one: the same as `compatible`.
        let instant = match pass {
            Pass::First => local.compatible(),
            Pass::Second => local.later(),
        };
        // Out of range only at the ends of time, beyond every window.
        instant.map_or(minute * 60, |instant| instant.as_second())
    }
}

/// Seconds from 1970-01-01T00:00Z as an instant; beyond the range, the nearest.
pub(crate) fn timestamp(second: i64) -> Timestamp {
    let (first, last) = (Timestamp::MIN.as_second(), Timestamp::MAX.as_second());
    Timestamp::from_second(second.clamp(first, last)).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// The whole second that holds an instant.
pub(crate) fn second_of(at: Timestamp) -> i64 {
    at.as_second() - i64::from(at.subsec_nanosecond() < 0)
}
