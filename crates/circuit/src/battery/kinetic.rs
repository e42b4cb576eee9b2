//! The kinetic battery model: two wells of charge.
//!
//! The share `c` of the charge is available, the rest bound; charge passes from the
//! bound to the available well in proportion to the difference of their levels, at
//! the rate constant `k`. The battery is empty when the available well is (Manwell
//! and McGowan 1993, from memory; an independent lead-acid model agrees to a minute).
//!
//! From full, after a steady current `I` for `t` hours, the available well holds
//! `c Q - I f(t)`, with `f(t) = c t + (1 - c) (1 - exp(-k t)) / k`. The model is
//! linear, so currents that start later add up: each needs no more than `f`.

use super::{BatteryError, Duty, Lasts, capacity};
use crate::input::{in_range, positive};
use crate::root::between;
use crate::working::{Mark, Source, Step};
use libm::expm1;
use std::sync::LazyLock;

const WELLS: Source = Source::new("kinetic battery model, Manwell and McGowan 1993", Mark::Memory);

/// A battery as two wells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kinetic {
    c: f64,
    k: f64,
    q: f64,
}

impl Kinetic {
    /// A battery from its constants: available share `c` (0 to 1, both excluded),
    /// rate constant `k` an hour, and the charge `q` at no current, Ah.
    ///
    /// # Errors
    /// [`BatteryError::Input`].
    pub fn new(c: f64, k: f64, q: f64) -> Result<Self, BatteryError> {
        Ok(Self {
            c: in_range("available share", c, f64::EPSILON, 1.0 - f64::EPSILON)?,
            k: in_range("rate constant", k, 1e-6, 1e6)?,
            q: capacity(q)?,
        })
    }

    /// The battery whose capacities at the 20 h, 10 h and 1 h rates are these, Ah.
    ///
    /// For two discharge times the model gives
    /// `c(k) = (F e1 t2 - e2 t1) / (F e1 t2 - e2 t1 - k F t1 t2 + k t1 t2)`, with
    /// `e = 1 - exp(-k t)` and `F` the ratio of the capacities; `k` is where the
    /// pairs (1 h, 20 h) and (10 h, 20 h) agree, 0.001 to 10 an hour; then
    /// `q = q20 (e (1 - c) + k c 20) / (k c 20)`.
    ///
    /// # Errors
    /// [`BatteryError::Input`] for a capacity that is not positive, and
    /// [`BatteryError::NoFit`].
    pub fn from_three_rates(q20_ah: f64, q10_ah: f64, q1_ah: f64) -> Result<Self, BatteryError> {
        let (q20, q10, q1) = (capacity(q20_ah)?, capacity(q10_ah)?, capacity(q1_ah)?);
        let c_of = |at: &Rate, (t1, e1): (f64, f64), ratio: f64| {
            let t2 = 20.0;
            let top = ratio * e1 * t2 - at.e20 * t1;
            top / (top - at.k * ratio * t1 * t2 + at.k * t1 * t2)
        };
        let (f1, f10) = (q1 / q20, q10 / q20);
        let apart = |at: &Rate| c_of(at, (1.0, at.e1), f1) - c_of(at, (10.0, at.e10), f10);
        for (a, b) in GRID.iter().zip(GRID.iter().skip(1)) {
            let (fa, fb) = (apart(a), apart(b));
            // A change of sign through a pole is no root.
            let crosses = fa * fb < 0.0 && fa.abs() < 10.0 && fb.abs() < 10.0;
            if !crosses {
                continue;
            }
            let k = between(a.k, b.k, |k| apart(&Rate::of(k)));
            let at = Rate::of(k);
            let c = c_of(&at, (10.0, at.e10), f10);
            if c > 0.0 && c < 1.0 {
                let kct = k * c * 20.0;
                return Self::new(c, k, q20 * (filled(k, 20.0) * (1.0 - c) + kct) / kct);
            }
        }
        Err(BatteryError::NoFit)
    }

    /// The available share.
    #[must_use]
    pub const fn c(&self) -> f64 {
        self.c
    }

    /// The rate constant, 1/h.
    #[must_use]
    pub const fn k(&self) -> f64 {
        self.k
    }

    /// The charge at no current, Ah.
    #[must_use]
    pub const fn q(&self) -> f64 {
        self.q
    }

    /// The same family with its capacity times a factor: age, cold, or a size. The
    /// factor is above zero.
    ///
    /// # Errors
    /// [`BatteryError::Input`].
    pub fn scaled(&self, factor: f64) -> Result<Self, BatteryError> {
        Self::new(self.c, self.k, self.q * positive("capacity factor", factor)?)
    }

    /// `f(t)`: charge missing from the available well after `t` hours at one ampere.
    fn missing(&self, t: f64) -> f64 {
        self.c * t + (1.0 - self.c) * filled(self.k, t) / self.k
    }

    /// Hours at a steady current from full.
    ///
    /// # Errors
    /// [`BatteryError::Input`] for a current that is not positive.
    pub fn hours(&self, amps: f64) -> Result<f64, BatteryError> {
        let i = positive("load current", amps)?;
        let full = self.c * self.q;
        // f(t) >= c t, and all charge is gone by q / i.
        Ok(between(0.0, self.q / i, |t| full - i * self.missing(t)))
    }

    /// The charge delivered at a steady current, Ah.
    ///
    /// # Errors
    /// As [`Kinetic::hours`].
    pub fn ampere_hours(&self, amps: f64) -> Result<f64, BatteryError> {
        Ok(self.hours(amps)? * amps)
    }

    /// How long it lasts: the standby, then the alarm until empty. The duty's alarm
    /// time is not used.
    ///
    /// # Errors
    /// [`BatteryError::Input`] if the figures overflow.
    pub fn lasts(&self, duty: &Duty) -> Result<Lasts, BatteryError> {
        let full = self.c * self.q;
        let (i0, t0) = (duty.standby_a, duty.standby_h);
        if full < i0 * self.missing(t0) {
            return Ok(Lasts::StandbyOnly(self.hours(i0)?));
        }
        if duty.alarm_a == 0.0 {
            return Ok(Lasts::ForEver);
        }
        let left = |t: f64| {
            let missing = self.missing(t);
            full - i0 * (self.missing(t0 + t) - missing) - duty.alarm_a * missing
        };
        // Used up at once: no sign changes, and halving would run to the end.
        if left(0.0) <= 0.0 {
            return Ok(Lasts::Alarm(0.0));
        }
        // All charge is gone by then; where rounding leaves some, halving ends there too.
        let end = (self.q - i0 * t0).max(0.0) / duty.alarm_a;
        Ok(Lasts::Alarm(between(0.0, end, left)))
    }

    /// What capacity is needed: the factor on this battery with which a member of its
    /// family just holds the duty. Below 1 this battery has room.
    ///
    /// `max(Is f(Ts), Is (f(Ts + Ta) - f(Ta)) + Ia f(Ta)) / (c Q)`: linear, so no
    /// search.
    #[must_use]
    pub fn needed_factor(&self, duty: &Duty) -> f64 {
        let (ts, ta) = (duty.standby_h, duty.alarm_h);
        let after_standby = duty.standby_a * self.missing(ts);
        let after_alarm = duty.standby_a * (self.missing(ts + ta) - self.missing(ta))
            + duty.alarm_a * self.missing(ta);
        after_standby.max(after_alarm) / (self.c * self.q)
    }

    /// The working of [`Kinetic::from_three_rates`].
    ///
    /// # Errors
    /// As [`Kinetic::from_three_rates`].
    pub fn explain_three_rates(
        q20_ah: f64,
        q10_ah: f64,
        q1_ah: f64,
    ) -> Result<Vec<Step>, BatteryError> {
        let b = Self::from_three_rates(q20_ah, q10_ah, q1_ah)?;
        let rates = [("q20", q20_ah, "Ah"), ("q10", q10_ah, "Ah"), ("q1", q1_ah, "Ah")];
        let step = |symbol, formula, inputs: &[_], result, unit| {
            Step::new(symbol, formula, inputs, result, unit, WELLS)
        };
        Ok(vec![
            step("k", "k where c(1 h, 20 h) = c(10 h, 20 h)", &rates, b.k, "1/h"),
            step(
                "c",
                "(F * e1 * t2 - e2 * t1) / (F * e1 * t2 - e2 * t1 - k * F * t1 * t2 + k * t1 * t2)",
                &[
                    ("F", q10_ah / q20_ah, ""),
                    ("e1", filled(b.k, 10.0), ""),
                    ("e2", filled(b.k, 20.0), ""),
                    ("t1", 10.0, "h"),
                    ("t2", 20.0, "h"),
                    ("k", b.k, "1/h"),
                ],
                b.c,
                "",
            ),
            step(
                "Q",
                "q20 * (e2 * (1 - c) + k * c * t2) / (k * c * t2)",
                &[
                    ("q20", q20_ah, "Ah"),
                    ("e2", filled(b.k, 20.0), ""),
                    ("c", b.c, ""),
                    ("k", b.k, "1/h"),
                    ("t2", 20.0, "h"),
                ],
                b.q,
                "Ah",
            ),
        ])
    }

    /// The working of [`Kinetic::lasts`]; empty if it lasts for ever.
    ///
    /// # Errors
    /// As [`Kinetic::lasts`].
    pub fn explain_lasts(&self, duty: &Duty) -> Result<Vec<Step>, BatteryError> {
        let hours = match self.lasts(duty)? {
            Lasts::StandbyOnly(_) => return self.explain(duty.standby_a),
            Lasts::ForEver => return Ok(Vec::new()),
            Lasts::Alarm(hours) => hours,
        };
        Ok(vec![Step::new(
            "t",
            "t where c * Q = Is * (f(Ts + t) - f(t)) + Ia * f(t), f(t) = c * t + (1 - c) * (1 - exp(-k * t)) / k",
            &[
                ("c", self.c, ""),
                ("k", self.k, "1/h"),
                ("Q", self.q, "Ah"),
                ("Is", duty.standby_a, "A"),
                ("Ts", duty.standby_h, "h"),
                ("Ia", duty.alarm_a, "A"),
            ],
            hours,
            "h",
            WELLS,
        )])
    }

    /// The working of [`Kinetic::hours`].
    ///
    /// # Errors
    /// As [`Kinetic::hours`].
    pub fn explain(&self, amps: f64) -> Result<Vec<Step>, BatteryError> {
        let hours = self.hours(amps)?;
        Ok(vec![Step::new(
            "t",
            "t where c * Q = I * (c * t + (1 - c) * (1 - exp(-k * t)) / k)",
            &[("c", self.c, ""), ("k", self.k, "1/h"), ("Q", self.q, "Ah"), ("I", amps, "A")],
            hours,
            "h",
            WELLS,
        )])
    }

    /// The working of [`Kinetic::needed_factor`].
    #[must_use]
    pub fn explain_needed(&self, duty: &Duty) -> Vec<Step> {
        let (ts, ta) = (duty.standby_h, duty.alarm_h);
        let f = |symbol, name, t: f64| {
            Step::new(
                symbol,
                "c * t + (1 - c) * (1 - exp(-k * t)) / k",
                &[("c", self.c, ""), ("k", self.k, "1/h"), (name, t, "h")],
                self.missing(t),
                "h",
                WELLS,
            )
        };
        vec![
            f("f(Ts)", "Ts", ts),
            f("f(Ta)", "Ta", ta),
            f("f(Ts+Ta)", "Ts+Ta", ts + ta),
            Step::new(
                "s",
                "max(Is * f(Ts), Is * (f(Ts+Ta) - f(Ta)) + Ia * f(Ta)) / (c * Q)",
                &[
                    ("Is", duty.standby_a, "A"),
                    ("f(Ts)", self.missing(ts), "h"),
                    ("f(Ts+Ta)", self.missing(ts + ta), "h"),
                    ("Ia", duty.alarm_a, "A"),
                    ("f(Ta)", self.missing(ta), "h"),
                    ("c", self.c, ""),
                    ("Q", self.q, "Ah"),
                ],
                self.needed_factor(duty),
                "",
                WELLS,
            ),
        ]
    }
}

/// A rate constant, with what `filled` gives for the three times of a data sheet.
struct Rate {
    k: f64,
    e1: f64,
    e10: f64,
    e20: f64,
}

impl Rate {
    fn of(k: f64) -> Self {
        Self { k, e1: filled(k, 1.0), e10: filled(k, 10.0), e20: filled(k, 20.0) }
    }
}

/// The rate constants among which a change of sign is looked for, the same for every battery: 0.001
/// to 10 an hour, a hundred to a decade.
static GRID: LazyLock<Vec<Rate>> = LazyLock::new(|| {
    // The hundredth root of ten. That the last points are off by their last digits means nothing:
    // the root is looked for between two of them.
    const STEP: f64 = 1.023_292_992_280_754;
    std::iter::successors(Some(0.001), |k| Some(k * STEP)).take(401).map(Rate::of).collect()
});

/// `1 - exp(-k t)`, without loss for small `k t`.
fn filled(k: f64, t: f64) -> f64 {
    -expm1(-k * t)
}
