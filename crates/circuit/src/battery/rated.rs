//! The rated form of Peukert's law, for a battery that gives its 20 h capacity alone.

use super::{BatteryError, Duty, Lasts, capacity};
use crate::input::{BadInput, in_range, positive};
use crate::root::between;
use crate::working::{Mark, Source, Step};
use libm::{log, pow};

/// The rate at which lead-acid batteries are named, h.
const RATED_H: f64 = 20.0;

const PEUKERT: Source = Source::new("Peukert's law, rated form", Mark::Confirmed);

/// A battery by its 20 h capacity and Peukert exponent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rated {
    ah: f64,
    k: f64,
}

/// The exponent through two points of a data sheet: `ln(t1/t2) / ln(I2/I1)` with
/// `I = C / t`. Hours and ampere-hours above zero, two different times.
///
/// # Errors
/// [`BadInput`] if the points give no exponent from 1 to 2.
pub fn peukert_exponent(hours_1: f64, ah_1: f64, hours_2: f64, ah_2: f64) -> Result<f64, BadInput> {
    let i1 = positive("capacity", ah_1)? / positive("discharge time", hours_1)?;
    let i2 = positive("capacity", ah_2)? / positive("discharge time", hours_2)?;
    let k = log(hours_1 / hours_2) / log(i2 / i1);
    in_range("Peukert exponent", k, 1.0, 2.0)
}

impl Rated {
    /// A battery of `ah` at the 20 h rate; the exponent from 1 to 2 (lead-acid 1.1 to
    /// 1.3; C).
    ///
    /// # Errors
    /// [`BatteryError::Input`].
    pub fn new(ah: f64, exponent: f64) -> Result<Self, BatteryError> {
        Ok(Self { ah: capacity(ah)?, k: in_range("Peukert exponent", exponent, 1.0, 2.0)? })
    }

    /// The 20 h capacity, Ah.
    #[must_use]
    pub const fn ah(&self) -> f64 {
        self.ah
    }

    /// The exponent.
    #[must_use]
    pub const fn exponent(&self) -> f64 {
        self.k
    }

    /// The same with its capacity times a factor: age, cold, or a size.
    ///
    /// # Errors
    /// [`BatteryError::Input`].
    pub fn scaled(&self, factor: f64) -> Result<Self, BatteryError> {
        Self::new(self.ah * positive("capacity factor", factor)?, self.k)
    }

    /// Hours at a steady current: `20 (C / (20 I))^k`; at or below the 20 h rate
    /// `C / I`, since no more than the rated capacity is credited.
    ///
    /// # Errors
    /// [`BatteryError::Input`] for a current that is not positive.
    pub fn hours(&self, amps: f64) -> Result<f64, BatteryError> {
        Ok(hours(self.ah, self.k, positive("load current", amps)?))
    }

    /// How long it lasts: the standby, then the alarm until empty. Each stage uses up
    /// the share of the battery that its time is of its hours (common practice, no
    /// source). The duty's alarm time is not used.
    ///
    /// # Errors
    /// [`BatteryError::Input`] if the figures overflow.
    pub fn lasts(&self, duty: &Duty) -> Result<Lasts, BatteryError> {
        let used = self.share(self.ah, duty.standby_a, duty.standby_h);
        if used > 1.0 {
            return Ok(Lasts::StandbyOnly(self.hours(duty.standby_a)?));
        }
        if duty.alarm_a == 0.0 {
            return Ok(Lasts::ForEver);
        }
        Ok(Lasts::Alarm((1.0 - used) * self.hours(duty.alarm_a)?))
    }

    fn share(&self, ah: f64, amps: f64, time_h: f64) -> f64 {
        if amps == 0.0 { 0.0 } else { time_h / hours(ah, self.k, amps) }
    }

    /// What capacity is needed, Ah at the 20 h rate: the least with which the shares
    /// of both stages come to one. Zero for a duty that draws nothing.
    #[must_use]
    pub fn needed_ah(&self, duty: &Duty) -> f64 {
        let full = |ah: f64| {
            self.share(ah, duty.standby_a, duty.standby_h)
                + self.share(ah, duty.alarm_a, duty.alarm_h)
                - 1.0
        };
        let sum = duty.standby_a * duty.standby_h + duty.alarm_a * duty.alarm_h;
        if sum == 0.0 {
            return 0.0;
        }
        // Never less than the plain sum; at 20 h of the larger current every stage is
        // at or below the rated current, so the plain sum is enough there.
        let rated = RATED_H * duty.standby_a.max(duty.alarm_a);
        let enough = sum.max(rated);
        if full(sum) <= 0.0 {
            return sum;
        }
        between(sum, enough, full)
    }

    /// The working of [`Rated::hours`].
    ///
    /// # Errors
    /// As [`Rated::hours`].
    pub fn explain(&self, amps: f64) -> Result<Vec<Step>, BatteryError> {
        let hours = self.hours(amps)?;
        let inputs = [("C", self.ah, "Ah"), ("I", amps, "A"), ("k", self.k, "")];
        let step = if amps * RATED_H <= self.ah {
            let source =
                Source::new("no more than the rated capacity is credited", Mark::CommonPractice);
            Step::new("t", "C / I", inputs.get(..2).unwrap_or(&[]), hours, "h", source)
        } else {
            Step::new("t", "20 h * (C / (I * 20 h))^k", &inputs, hours, "h", PEUKERT)
        };
        Ok(vec![step])
    }

    /// The working of [`Rated::lasts`]; empty if it lasts for ever.
    ///
    /// # Errors
    /// As [`Rated::lasts`].
    pub fn explain_lasts(&self, duty: &Duty) -> Result<Vec<Step>, BatteryError> {
        let result = match self.lasts(duty)? {
            Lasts::StandbyOnly(_) => return self.explain(duty.standby_a),
            Lasts::ForEver => return Ok(Vec::new()),
            Lasts::Alarm(hours) => hours,
        };
        let alarm = self.hours(duty.alarm_a)?;
        let mut steps = Vec::new();
        let mut used = 0.0;
        if duty.standby_a > 0.0 {
            steps.extend(self.explain(duty.standby_a)?);
            used = self.share(self.ah, duty.standby_a, duty.standby_h);
        }
        steps.extend(self.explain(duty.alarm_a)?);
        steps.push(Step::new(
            "t",
            "(1 - u) * t(Ia)",
            &[("u", used, ""), ("t(Ia)", alarm, "h")],
            result,
            "h",
            Source::new("shares of both stages add up", Mark::CommonPractice),
        ));
        Ok(steps)
    }

    /// The working of [`Rated::needed_ah`].
    #[must_use]
    pub fn explain_needed(&self, duty: &Duty) -> Vec<Step> {
        let source = Source::new("shares of both stages add up", Mark::CommonPractice);
        vec![Step::new(
            "C",
            "C where Ts / t(Is) + Ta / t(Ia) = 1",
            &[
                ("Is", duty.standby_a, "A"),
                ("Ts", duty.standby_h, "h"),
                ("Ia", duty.alarm_a, "A"),
                ("Ta", duty.alarm_h, "h"),
                ("k", self.k, ""),
            ],
            self.needed_ah(duty),
            "Ah",
            source,
        )]
    }
}

fn hours(ah: f64, k: f64, amps: f64) -> f64 {
    let rate = ah / (amps * RATED_H);
    // At or below the 20 h rate the exponent would credit charge that is not there.
    if rate >= 1.0 { ah / amps } else { RATED_H * pow(rate, k) }
}
