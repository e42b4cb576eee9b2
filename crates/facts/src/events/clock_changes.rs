//! What the week of a clock change adds: activations that come to nothing only because an edge of a
//! schedule falls in the hour that the clocks skip or repeat.
//!
//! Each edge of a schedule is an instant of its own ([`Reading::FirstPass`]). Two schedules that
//! meet without a gap on the clock face can therefore leave one in time: with 01:00 to 02:00
//! skipped, an edge at 01:45 is taken as 02:45, later than one at 02:15. The weeks are asked in both
//! readings, and what only the instants leave open is told. Holidays are alike in both.

use super::clock::Clock;
use super::plant::{Plant, plant};
use super::questions::{Deafness, deaf};
use crate::{Facts, Known};
use curtilage_calendar::Reading;
use curtilage_calendar::jiff::{Timestamp, tz::TimeZone};
use curtilage_events::{DAY, Ms};
use curtilage_model::ZoneId;

/// The days around one clock change.
pub(super) struct ChangeWeek {
    span: (Ms, Ms),
    /// With each edge of a schedule as an instant.
    instants: Plant,
    /// With what the clock face shows.
    face: Plant,
}

impl Facts<'_, '_> {
    /// The clock of real time at the site.
    #[must_use]
    pub fn real_time(&self) -> Clock {
        Clock::dated(self.model)
    }

    /// The stretches in which a first activation of a zone comes to nothing because of a clock
    /// change, in the two years that are looked at.
    ///
    /// # Errors
    /// When it is not known.
    pub fn deaf_at_clock_changes(&self, zone: ZoneId) -> Known<Vec<Deafness>> {
        let weeks = self.events.changes.get_or_init(|| self.change_weeks());
        let weeks = weeks.as_ref().map_err(Clone::clone)?;
        let mut all = Vec::new();
        for week in weeks {
            let face = deaf(&week.face, zone, week.span)?;
            for stretch in deaf(&week.instants, zone, week.span)? {
                all.extend(without(stretch, &face));
            }
        }
        Ok(all)
    }

    fn change_weeks(&self) -> Known<Vec<ChangeWeek>> {
        self.plant().map_err(Clone::clone)?;
        let Clock::Dated(zone, _) = self.real_time() else { return Ok(Vec::new()) };
        let (Some(first), Some(end)) = (self.january(0, &zone), self.january(2, &zone)) else {
            return Ok(Vec::new());
        };
        let mut weeks = Vec::new();
        for change in zone.following(first).take_while(|change| change.timestamp() < end) {
            let at = change.timestamp().as_millisecond();
            let span = (at - 3 * DAY, at + 4 * DAY);
            let with = |reading| {
                let clock = Clock::Dated(zone.clone(), reading);
                plant(self.model, &self.hours, &self.registering, &clock, span, false)
            };
            let (instants, face) = (with(Reading::default())?, with(Reading::ClockFace)?);
            weeks.push(ChangeWeek { span, instants, face });
        }
        Ok(weeks)
    }

    /// The beginning of the year so many years after that of today.
    fn january(&self, after: i16, zone: &TimeZone) -> Option<Timestamp> {
        let first = curtilage_calendar::jiff::civil::date(self.options.today.year, 1, 1);
        let first = first.with().year(first.year().checked_add(after)?).build().ok()?;
        Some(first.to_zoned_datetime(zone.clone()).ok()?.timestamp())
    }
}

/// What is left of a stretch without others, in order.
fn without(stretch: Deafness, others: &[Deafness]) -> Vec<Deafness> {
    let mut left = vec![stretch];
    for other in others {
        let cut = left.into_iter().flat_map(|piece| {
            let before = Deafness { until: piece.until.min(other.from), ..piece };
            let after = Deafness { from: piece.from.max(other.until), ..piece };
            [before, after]
        });
        left = cut.filter(|piece| piece.from < piece.until).collect();
    }
    left
}
