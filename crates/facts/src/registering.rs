//! How a zone registers while its sensor stays active: once, or again and again, and how often.

use crate::doubt::Doubt;
use crate::events::rests_on;
use crate::meetings::{Brings, Meetings};
use curtilage_events::Ms;
use curtilage_events::duty::{Ratio, on_share, period};
use curtilage_events::system::{Builder, Contact, OnTime, Zone as EventZone};
use curtilage_model::{CameraId, Cause, Effect, Model, OutputId, Response, Zone};
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
    /// How long the response asks for, ms.
    pub hold: Option<u64>,
    /// Whether it goes on and off in that time.
    pub pulses: bool,
    /// Which registrations of the zone bring it.
    pub brings: Brings,
}

/// A delay before the effects of a response that a zone causes.
#[derive(Clone, Copy, Debug)]
pub struct Delay {
    /// The words that give it.
    pub line: Place,
    /// ms from the registration to the effects.
    pub delay: u64,
    /// Which registrations of the zone bring it.
    pub brings: Brings,
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
    /// Which registrations of the zone bring it.
    pub brings: Brings,
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
    /// What an activation has to outlast to be seen, ms.
    pub settle: Option<u64>,
    /// The responses that name it, by index.
    pub responses: SmallVec<[usize; 2]>,
    /// Whether responses name it and none of them ever answers while it is armed.
    pub unanswered: bool,
    /// The outputs that it switches on.
    pub drives: SmallVec<[Driven; 1]>,
    /// The delays of the responses that it causes, whatever they do then.
    pub delays: SmallVec<[Delay; 1]>,
    /// The recordings that it asks for.
    pub records: SmallVec<[Recorded; 2]>,
    /// The share of the ordinary week in which it is armed; none when its hours are not known, and where
    /// no period is.
    pub armed: Option<f64>,
    /// ms from one registration to the next while the sensor stays active; none when it registers
    /// once, when an output stays on for good, when that hangs on the hour or on other causes, or when
    /// a figure is not known.
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

    /// Footage a day while the sensor stays active, on average over the ordinary week, bytes, of what
    /// every registration records and of which a share is kept for each camera; overlapping recordings of a
    /// camera count once.
    #[must_use]
    pub fn footage_a_day_kept(&self, share: impl Fn(CameraId) -> f64) -> Option<f64> {
        let period = self.period.filter(|period| *period > 0)?;
        // Of several recordings of one camera the longest: the others may lie within it.
        let mut longest: SmallVec<[(Recorded, f64); 2]> = SmallVec::new();
        for recorded in self.records.iter().filter(|one| one.brings == Brings::Each) {
            match longest.iter_mut().find(|(known, _)| known.camera == recorded.camera) {
                Some((known, _)) => known.length = known.length.max(recorded.length),
                None => longest.push((*recorded, share(recorded.camera))),
            }
        }
        longest.retain(|(_, share)| *share > 0.0);
        let mut bytes = 0.0;
        for (recorded, kept) in &longest {
            #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
            let share = (recorded.length as f64 / period as f64).min(1.0);
            bytes += recorded.bit_rate? / 8.0 * 86_400.0 * share * self.armed? * kept;
        }
        (!longest.is_empty()).then_some(bytes)
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

const MINUTES_OF_A_WEEK: u32 = 7 * 24 * 60;

fn ms(time: u64) -> Ms {
    Ms::try_from(time).unwrap_or(Ms::MAX)
}

/// Works out how each zone registers, in the order of zones.
pub(crate) fn registering(
    model: &Model<'_>,
    doubt: &Doubt<'_>,
    meetings: &mut Meetings<'_>,
) -> Vec<Registering> {
    let mut named: Vec<SmallVec<[usize; 2]>> =
        model.zones.iter().map(|_| SmallVec::new()).collect();
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
        let unread = doubt.about_zone(model, zone);
        of_zone(model, zone, responses, meetings, unread)
    });
    all.collect()
}

fn of_zone(
    model: &Model<'_>,
    zone: &Zone<'_>,
    responses: SmallVec<[usize; 2]>,
    meetings: &mut Meetings<'_>,
    unread: bool,
) -> Registering {
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
    let mut out = Registering {
        level,
        level_at,
        active: sensor.map(|(_, active)| active.value),
        active_at: sensor.map(|(sensor, active)| sensor.place(active.span)),
        limit: zone.tree.repeats.map(|limit| limit.value),
        settle: zone.tree.settle.or(settles).map(|settle| settle.value),
        unanswered: !responses.is_empty(),
        responses,
        drives: SmallVec::new(),
        delays: SmallVec::new(),
        records: SmallVec::new(),
        armed: None,
        period: None,
    };
    let lockout = zone.tree.lockout.map_or(0, |lockout| lockout.value);
    let responses = std::mem::take(&mut out.responses);
    let mut switched_off: SmallVec<[OutputId; 2]> = SmallVec::new();
    for index in &responses {
        let Some(response) = model.responses.get(*index) else { continue };
        let brings = brings(zone, response, meetings);
        out.unanswered &= brings == Brings::None;
        effects(model, response, brings, lockout, &mut out, &mut switched_off);
        if let Some(after) = response.tree.after {
            let line = Place::new(response.line.file, after.span);
            out.delays.push(Delay { line, delay: after.value, brings });
        }
    }
    out.responses = responses;
    // What is switched on and off by one registration is not reckoned here.
    let both = out.drives.iter().any(|driven| switched_off.contains(&driven.output));
    if out.level == Some(true) && !both {
        let entry = zone.tree.entry.map_or(0, |entry| entry.value);
        out.period = again(&out, lockout, entry);
        out.armed = zone.armed.and_then(|(armed, _)| {
            Some(
                f64::from(meetings.hours().ordinary(armed)?.minutes())
                    / f64::from(MINUTES_OF_A_WEEK),
            )
        });
    }
    if unread {
        (out.level, out.settle, out.period) = (None, None, None);
    }
    out
}

/// Which registrations of a zone a response answers.
fn brings(zone: &Zone<'_>, response: &Response<'_>, meetings: &mut Meetings<'_>) -> Brings {
    if response.all_within.is_some() {
        return Brings::WithOthers;
    }
    if response.tree.during.is_none() {
        return Brings::Each;
    }
    let (Some((during, _)), Some((armed, _))) = (response.during, zone.armed) else {
        return Brings::AtTimes;
    };
    meetings.brings(armed, during)
}

/// Gathers what a response does for this zone.
fn effects(
    model: &Model<'_>,
    response: &Response<'_>,
    brings: Brings,
    lockout: u64,
    out: &mut Registering,
    switched_off: &mut SmallVec<[OutputId; 2]>,
) {
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
                    hold: *hold,
                    pulses: false,
                    brings,
                });
            }
            Effect::Switch { output, .. } if brings != Brings::None => switched_off.push(*output),
            Effect::Pulse { output, hold, .. } => out.drives.push(Driven {
                output: *output,
                line: *line,
                delay,
                length: Some(*hold),
                latched: false,
                retriggered: false,
                hold: Some(*hold),
                pulses: true,
                brings,
            }),
            Effect::Record { camera, before, after, .. } => out.records.push(Recorded {
                camera: *camera,
                bit_rate: model.camera(*camera).and_then(|camera| camera.bit_rate()),
                length: before + after,
                brings,
            }),
            _ => {}
        }
    }
}

/// From one registration to the next while the contact stays away from rest.
fn again(zone: &Registering, lockout: u64, entry: u64) -> Option<u64> {
    let drives = || {
        let all = zone.drives.iter();
        all.map(|driven| (driven.brings, driven.length.map(|length| driven.delay + length)))
    };
    let delays = || zone.delays.iter().map(|delay| (delay.brings, Some(delay.delay)));
    let mut runs = 0;
    for (_, time) in drives().chain(delays()).filter(|(brings, _)| *brings == Brings::Each) {
        runs = runs.max(time?);
    }
    // What some registrations bring, and would hold up the next one longer, makes the time hang on the
    // hour or on other causes.
    let some = |brings| matches!(brings, Brings::AtTimes | Brings::WithOthers);
    for (_, time) in drives().chain(delays()).filter(|(brings, _)| some(*brings)) {
        if time? > runs {
            return None;
        }
    }
    // Where nothing runs after the entry time, the player asks in the next millisecond; no controller is
    // as exact.
    if runs == 0 && entry > 0 {
        return Some(entry.max(lockout));
    }
    let contact = Builder::new().contact(Contact::settling(0));
    let held = EventZone { entry: ms(entry), ..EventZone::level(contact, ms(lockout)) };
    u64::try_from(period(&held, ms(runs))?).ok()
}

/// The longest time, ms, that a response may ask for such that one registration keeps an output on for no
/// longer than `most`; none where no time in the response would, and for a time of nothing.
#[must_use]
pub fn longest_hold(model: &Model<'_>, output: OutputId, lockout: u64, most: u64) -> Option<u64> {
    let on_time = on_time(model, output);
    let fits = |hold: &u64| {
        let length = on_time.map(|on_time| on_time.span.length(ms(lockout), ms(*hold)));
        *hold > 0 && length.is_none_or(|length| length <= ms(most))
    };
    [most, most.saturating_sub(lockout)].into_iter().find(fits)
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
