//! How much footage a recording plan keeps a day, and how long its store lasts.
//!
//! Footage of a camera a day, in bytes (SI prefixes, IEC 80000-13):
//! `rate / 8 * 86,400 s * share of the week * share of time with motion`.
//! Hours that are kept continuously are not counted again as motion. Footage of events is not in
//! the sum: how often they come is not known from the plan, so the true retention is never longer.

use crate::Hours;
use crate::doubt::Doubt;
use curtilage_calendar::WeekSet;
use curtilage_model::{CameraId, Model, Recording};
use curtilage_syntax::tree::recording::Class;
use curtilage_text::Place;

/// What one camera adds.
#[derive(Clone, Copy, Debug)]
pub struct Footage {
    /// The camera.
    pub camera: CameraId,
    /// Continuous or motion.
    pub class: Class,
    /// The line that keeps it.
    pub line: Place,
    /// bit/s.
    pub rate: f64,
    /// Minutes of the week.
    pub minutes: u32,
    /// Share of that time which is kept, a ratio.
    pub share: f64,
    /// Bytes a day, on average over the week.
    pub a_day: f64,
}

/// The store of one recording plan.
#[derive(Clone, Debug)]
pub struct Store {
    /// The plan, by index.
    pub plan: usize,
    /// What each camera adds.
    pub footage: Vec<Footage>,
    /// Bytes a day of all cameras; none when a bit rate or a schedule is not known.
    pub a_day: Option<f64>,
    /// Bytes.
    pub holds: Option<f64>,
}

impl Store {
    /// How many days the store lasts with `more` bytes a day beside the plan's own; none when it is
    /// not known or nothing is kept.
    #[must_use]
    pub fn days(&self, more: f64) -> Option<f64> {
        let a_day = self.a_day? + more;
        (a_day > 0.0).then_some(self.holds? / a_day)
    }
}

/// The stores of all recording plans, in order.
pub(crate) fn stores(model: &Model<'_>, doubt: &Doubt<'_>, hours: &Hours) -> Vec<Store> {
    let plans = model.recordings.iter().enumerate();
    plans
        .map(|(plan, recording)| {
            let footage = footage(model, doubt, hours, recording);
            Store {
                plan,
                a_day: footage.as_ref().map(|list| list.iter().map(|one| one.a_day).sum()),
                footage: footage.unwrap_or_default(),
                holds: recording.store,
            }
        })
        .collect()
}

fn footage(
    model: &Model<'_>,
    doubt: &Doubt<'_>,
    hours: &Hours,
    plan: &Recording<'_>,
) -> Option<Vec<Footage>> {
    if doubt.holds(plan.line) {
        return None;
    }
    let mut out: Vec<Footage> = Vec::new();
    let mut kept: Vec<(CameraId, WeekSet)> = Vec::new();
    // Continuous lines first, so that motion is counted only where they leave off.
    let order = [Class::Continuous, Class::Motion];
    for class in order {
        for keep in plan.keeps.iter().filter(|keep| keep.tree.class.value == class) {
            let week = hours.week(keep.during?)?;
            let share = match class {
                // What is not said is taken for the whole time.
                Class::Motion => plan.tree.motion.map_or(1.0, |share| share.value),
                _ => 1.0,
            };
            for camera in &keep.cameras {
                let before = kept.iter_mut().find(|(known, _)| known == camera);
                let new = before.as_ref().map_or(week.clone(), |(_, before)| week.minus(before));
                match before {
                    Some((_, before)) => *before = before.union(&week),
                    None => kept.push((*camera, week.clone())),
                }
                let it = model.camera(*camera).filter(|it| !doubt.holds(it.name.at))?;
                let rate = it.bit_rate()?;
                let minutes = new.minutes();
                let a_day = rate / 8.0 * 86_400.0 * (f64::from(minutes) / 10_080.0) * share;
                let line = keep.line;
                out.push(Footage { camera: *camera, class, line, rate, minutes, share, a_day });
            }
        }
    }
    Some(out)
}
