//! Closed forms for the commonest fault: a contact that is held for ever and registers again.
//!
//! All figures are exact fractions of whole milliseconds. The player confirms them in the tests.

use crate::system::{
    Again, Causes, Effect, OutputId, Registration, Response, System, Windows, Zone, ZoneId,
};
use crate::{HOUR, Ms};

/// A fraction in lowest terms, not below 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ratio {
    numerator: i64,
    denominator: i64,
}

impl Ratio {
    /// `numerator / denominator`; 0 when the denominator is not above 0 or the numerator below 0.
    #[must_use]
    pub fn new(numerator: i64, denominator: i64) -> Self {
        if denominator <= 0 || numerator < 0 {
            return Self { numerator: 0, denominator: 1 };
        }
        let (mut a, mut b) = (numerator, denominator);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        Self { numerator: numerator / a, denominator: denominator / a }
    }

    /// The numerator in lowest terms.
    #[must_use]
    pub fn numerator(self) -> i64 {
        self.numerator
    }

    /// The denominator in lowest terms, above 0.
    #[must_use]
    pub fn denominator(self) -> i64 {
        self.denominator
    }

    /// The nearest floating-point number, for text.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "for display")]
    pub fn as_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }
}

/// What a zone does while its contact is held for ever.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// From the contact's activation to the first registration, in ms.
    pub first: Ms,
    /// From one registration to the next, in ms; above 0.
    pub period: Ms,
    /// Registrations an hour.
    pub per_hour: Ratio,
    /// For each effect of the zone that switches an output on for a time, in the order of
    /// responses and effects: the output, and the share of time for which this effect keeps it on
    /// in the long run. Other zones may add to it.
    pub on: Vec<(OutputId, Ratio)>,
}

/// What a zone does while its contact is held for ever, where a closed form gives it.
///
/// `None` when the zone then registers a bounded number of times (edge registration, a limit), or
/// when more than the zone itself decides: it is not always armed, it wants confirmation, one of
/// its responses has windows or wants other zones, or something can switch its outputs off or
/// keeps them on.
#[must_use]
pub fn held(system: &System, id: ZoneId) -> Option<Held> {
    let (_, zone) = system.zones().find(|(other, _)| *other == id)?;
    let (_, contact) = system.contacts().find(|(other, _)| *other == zone.contact)?;
    let plain = zone.armed == Windows::Always
        && zone.limit.is_none()
        && zone.confirmed.is_none()
        && zone.is_level();
    if !plain {
        return None;
    }
    let mut longest = 0;
    let mut runs = Vec::new();
    for (_, response) in system.responses() {
        if !response.causes.zones().contains(&id) {
            continue;
        }
        if response.during != Windows::Always || !matches!(response.causes, Causes::Any(_)) {
            return None;
        }
        for (output, length, retriggered) in on_times(system, zone, response)? {
            longest = longest.max(response.delay + length);
            runs.push((output, length, retriggered));
        }
        longest = longest.max(response.delay);
    }
    let period = period(zone, longest)?;
    let on = runs
        .into_iter()
        .map(|(output, length, again)| (output, on_share(period, length, again)))
        .collect();
    let first = contact.settle_on + zone.entry;
    Some(Held { first, period, per_hour: Ratio::new(HOUR, period), on })
}

/// The on-times of a response of this zone; `None` when something else decides how long they last.
fn on_times(
    system: &System,
    zone: &Zone,
    response: &Response,
) -> Option<Vec<(OutputId, Ms, bool)>> {
    let mut found = Vec::new();
    for effect in &response.effects {
        match effect {
            Effect::On { output, hold, on_time } => {
                let (_, sink) = system.outputs().find(|(id, _)| id == output)?;
                let on_time = on_time.unwrap_or(sink.on_time);
                let length = on_time.span.length(zone.lockout, *hold);
                let cut =
                    |other: &Effect| matches!(other, Effect::Off { output: o, .. } if o == output);
                if system.responses().any(|(_, other)| other.effects.iter().any(cut)) {
                    return None;
                }
                found.push((*output, length, on_time.retriggered));
            }
            Effect::Latch { .. } => return None,
            Effect::Off { .. } | Effect::Note { .. } => {}
        }
    }
    Some(found)
}

/// From one registration to the next while a level zone's contact is held, in ms.
///
/// `runs` is how long the longest of its delays with the on-time after it lasts, in ms, 0 if it
/// has none. `None` for edge registration. Limits, arming and confirmation are not looked at.
#[must_use]
pub fn period(zone: &Zone, runs: Ms) -> Option<Ms> {
    match zone.registration {
        Registration::Edge => None,
        Registration::Level(Again::AfterLockout) => Some(zone.entry.max(zone.deaf_for())),
        Registration::Level(Again::AfterOnTime { gap }) => {
            let pause = match (runs, zone.entry) {
                (0, 0) => 0,
                // Nothing runs after the entry time: it is free again in the next millisecond.
                (0, _) => gap.max(1),
                _ => gap,
            };
            Some((zone.entry + runs + pause).max(zone.deaf_for()))
        }
    }
}

/// The share of time for which an on-time of `length` ms runs when it is asked for every `period`
/// ms (above 0), whether each asking starts it anew or those while it runs are lost.
#[must_use]
pub fn on_share(period: Ms, length: Ms, retriggered: bool) -> Ratio {
    if period <= 0 {
        return Ratio::new(0, 1);
    }
    if retriggered {
        return Ratio::new(length.min(period), period);
    }
    let periods = (length + period - 1) / period;
    Ratio::new(length, periods.max(1) * period)
}
