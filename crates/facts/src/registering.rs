//! How a zone registers while its sensor stays active: once, or again and again, and how often.

use crate::doubt::Doubt;
use crate::events::rests_on;
use curtilage_events::Ms;
use curtilage_events::duty::{Ratio, on_share, period};
use curtilage_events::system::{Builder, Contact, OnTime, Zone as EventZone};
use curtilage_model::{CameraId, Cause, Effect, Model, OutputId, Zone};
use curtilage_syntax::tree::part::{self, ActiveFor, Repeats};
use curtilage_text::Place;
use smallvec::SmallVec;

/// An output that a zone switches on.
#[derive(Clone, Debug)]
pub struct Driven {
    /// The output.
    pub output: OutputId,
    /// The statement that says so.
    pub line: Place,
    /// ms from the registration to the output.
    pub delay: u64,
    /// How long one registration keeps it on, ms; none when it stays on, or when the controller's
    /// sheet does not say how it makes the on-time.
    pub length: Option<u64>,
    /// Whether it stays on until something switches it off.
    pub latched: bool,
    /// Whether a further registration makes it longer.
    pub retriggered: bool,
}

/// A recording that a zone asks for.
#[derive(Clone, Copy, Debug)]
pub struct Recorded {
    /// The camera.
    pub camera: CameraId,
    /// bit/s, when it is known.
    pub bit_rate: Option<f64>,
    /// ms of footage of one registration.
    pub length: u64,
}

/// How one zone registers.
#[derive(Clone, Debug)]
pub struct Registering {
    /// Whether it registers again while its sensor stays active; none when it is not known.
    pub level: Option<bool>,
    /// Where that is said.
    pub level_at: Option<Place>,
    /// How long its sensor stays active.
    pub active: Option<ActiveFor>,
    /// Where that is said.
    pub active_at: Option<Place>,
    /// The most registrations in one arming.
    pub limit: Option<u32>,
    /// The shortest activation that is seen, ms.
    pub settle: Option<u64>,
    /// The responses that name it, by index.
    pub responses: SmallVec<[usize; 2]>,
    /// The outputs that it switches on.
    pub drives: Vec<Driven>,
    /// The recordings that it asks for.
    pub records: SmallVec<[Recorded; 2]>,
    /// ms from one registration to the next while the sensor stays active; none when it registers
    /// once, when an output stays on for good, or when a figure is not known.
    pub period: Option<u64>,
}

impl Registering {
    /// Whether nothing holds up the next registration: no lockout, and no output that runs a time.
    #[must_use]
    pub fn unpaused(&self) -> bool {
        self.period.is_some_and(|period| period <= 1)
    }

    /// Registrations an hour while the sensor stays active.
    #[must_use]
    pub fn per_hour(&self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "a period is far below 2^53 ms")]
        self.period.filter(|period| *period > 1).map(|period| 3_600_000.0 / period as f64)
    }

    /// The share of time in which an output stays on while the sensor stays active.
    #[must_use]
    pub fn duty(&self, driven: &Driven) -> Option<Ratio> {
        let (period, length) = (ms(self.period?), ms(driven.length?));
        Some(on_share(period, length, driven.retriggered))
    }

    /// Footage a day while the sensor stays active, bytes; overlapping recordings count once.
    #[must_use]
    pub fn footage_a_day(&self) -> Option<f64> {
        self.footage_a_day_of(|_| true)
    }

    /// The same for some of the cameras.
    #[must_use]
    pub fn footage_a_day_of(&self, of: impl Fn(CameraId) -> bool) -> Option<f64> {
        let period = self.period.filter(|period| *period > 0)?;
        let mut bytes = 0.0;
        let records: Vec<_> = self.records.iter().filter(|one| of(one.camera)).collect();
        for recorded in &records {
            #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
            let share = (recorded.length as f64 / period as f64).min(1.0);
            bytes += recorded.bit_rate? / 8.0 * 86_400.0 * share;
        }
        (!records.is_empty()).then_some(bytes)
    }

    /// How often one activation of the longest length that the sensor has registers, when that is
    /// a time.
    #[must_use]
    pub fn counts(&self) -> Option<u64> {
        let Some(ActiveFor::Time(active)) = self.active else { return None };
        let period = self.period.filter(|period| *period > 0)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a time is whole, positive and below 2^53 ms"
        )]
        let seen = (active.high as u64).checked_sub(self.settle.unwrap_or(0))?;
        // At the very end of a period the contact is at rest again: it does not count once more.
        let times = seen.saturating_sub(1) / period + 1;
        Some(self.limit.map_or(times, |limit| times.min(u64::from(limit))))
    }
}

fn ms(time: u64) -> Ms {
    Ms::try_from(time).unwrap_or(Ms::MAX)
}

/// Works out how each zone registers, in the order of zones.
pub(crate) fn registering(model: &Model<'_>, doubt: &Doubt<'_>) -> Vec<Registering> {
    let mut named: Vec<SmallVec<[usize; 2]>> = vec![SmallVec::new(); model.zones.len()];
    for (index, response) in model.responses.iter().enumerate() {
        for (cause, _) in &response.causes {
            let Cause::Zone(zone) = cause else { continue };
            if let Some(list) = named.get_mut(zone.index())
                && list.last() != Some(&index)
            {
                list.push(index);
            }
        }
    }
    let zones = model.zones.iter().zip(named);
    let all = zones.map(|(zone, responses)| {
        let mut out = of_zone(model, zone, responses);
        if doubt.about_zone(model, zone) {
            (out.level, out.settle, out.period) = (None, None, None);
        }
        out
    });
    all.collect()
}

fn of_zone(model: &Model<'_>, zone: &Zone<'_>, responses: SmallVec<[usize; 2]>) -> Registering {
    let sheet = model.input_part(zone);
    let file = zone.name.at.file;
    let said = sheet.and_then(|part| Some((part, part.sheet.repeats?)));
    let (level, level_at) = match said {
        Some((part, said)) => match said.value {
            Repeats::WhileActive => (Some(true), Some(part.place(said.span))),
            Repeats::OnceAnActivation => (Some(false), Some(part.place(said.span))),
            Repeats::AsTheZoneSays => {
                let own = zone.tree.registers;
                (own.map(|own| own.value), own.map(|own| Place::new(file, own.span)))
            }
        },
        None => (None, None),
    };
    let sensor = zone.sensor.and_then(|sensor| Some((sensor, sensor.sheet.active?)));
    let settles = sheet.and_then(|part| part.sheet.settles);
    let effects_of = |index: &usize| model.responses.get(*index).map_or(0, |it| it.effects.len());
    let most = responses.iter().map(effects_of).sum();
    let mut out = Registering {
        level,
        level_at,
        active: sensor.map(|(_, active)| active.value),
        active_at: sensor.map(|(sensor, active)| sensor.place(active.span)),
        limit: zone.tree.repeats.map(|limit| limit.value),
        settle: zone.tree.settle.or(settles).map(|settle| settle.value),
        responses,
        drives: Vec::with_capacity(most),
        records: SmallVec::new(),
        period: None,
    };
    let lockout = zone.tree.lockout.map_or(0, |lockout| lockout.value);
    let responses = std::mem::take(&mut out.responses);
    for index in &responses {
        effects(model, *index, lockout, &mut out);
    }
    out.responses = responses;
    if out.level == Some(true) {
        out.period = again(&out, lockout);
    }
    out
}

/// Gathers what a response does for this zone.
fn effects(model: &Model<'_>, index: usize, lockout: u64, out: &mut Registering) {
    let Some(response) = model.responses.get(index) else { return };
    let delay = response.tree.after.map_or(0, |after| after.value);
    for (effect, line) in &response.effects {
        match effect {
            // On the break side the load is on at rest: switching it off is what drives the relay.
            Effect::Switch { output, on, hold } if *on != rests_on(model, *output) => {
                let on_time = on_time(model, *output);
                let length = hold.and_then(|hold| {
                    let length = on_time?.span.length(ms(lockout), ms(hold));
                    u64::try_from(length).ok()
                });
                out.drives.push(Driven {
                    output: *output,
                    line: *line,
                    delay,
                    length,
                    latched: hold.is_none(),
                    retriggered: on_time.is_some_and(|on_time| on_time.retriggered),
                });
            }
            Effect::Pulse { output, hold, .. } => out.drives.push(Driven {
                output: *output,
                line: *line,
                delay,
                length: Some(*hold),
                latched: false,
                retriggered: false,
            }),
            Effect::Record { camera, before, after, .. } => out.records.push(Recorded {
                camera: *camera,
                bit_rate: model.camera(*camera).and_then(|camera| camera.bit_rate()),
                length: before + after,
            }),
            _ => {}
        }
    }
}

/// From one registration to the next while the contact stays away from rest.
fn again(zone: &Registering, lockout: u64) -> Option<u64> {
    let mut runs = 0;
    for driven in &zone.drives {
        runs = runs.max(driven.delay + driven.length?);
    }
    let contact = Builder::new().contact(Contact::settling(0));
    let period = period(&EventZone::level(contact, ms(lockout)), ms(runs))?;
    u64::try_from(period).ok()
}

/// The on-time of the controller whose contact switches an output, also through relays of their
/// own.
pub(crate) fn on_time(model: &Model<'_>, output: OutputId) -> Option<OnTime> {
    let (root, _) = model.root_of(model.output(output)?.through?)?;
    let on_time = model.controller(root.controller)?.part?.sheet.on_time?;
    Some(match on_time.value {
        part::OnTime::LockoutThenHold => OnTime::LOCKOUT_THEN_HOLD,
        part::OnTime::HoldFromRegistration => OnTime::HOLD,
        part::OnTime::LongerOfBoth => OnTime::LONGER_OF_BOTH,
        part::OnTime::HoldRetriggered => OnTime::HOLD_RETRIGGERED,
    })
}
