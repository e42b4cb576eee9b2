//! A run of cable: one leg with its joints, and out and back.

use super::{Conductor, ConductorError};
use crate::input::{positive, zero_or_more};
use crate::interval::Interval;
use crate::working::{OHM, Step};

/// One way of a circuit: conductors in parallel over a length, and joints in series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    conductor: Conductor,
    length_m: f64,
    parallel: u32,
    joints: u32,
    joint_ohm: Interval,
}

impl Leg {
    /// One conductor over a length in metres; zero length is zero ohm.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a length that is negative or not finite.
    pub fn new(conductor: Conductor, length_m: f64) -> Result<Self, ConductorError> {
        Ok(Self {
            conductor,
            length_m: zero_or_more("cable length", length_m)?,
            parallel: 1,
            joints: 0,
            joint_ohm: Interval::ZERO,
        })
    }

    /// The same leg with several like conductors in parallel.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for none.
    pub fn with_parallel(mut self, conductors: u32) -> Result<Self, ConductorError> {
        positive("number of parallel conductors", f64::from(conductors))?;
        self.parallel = conductors;
        Ok(self)
    }

    /// The same leg with joints in series, each of the given range in ohm.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a joint whose resistance has no finite end.
    pub fn with_joints(mut self, joints: u32, each_ohm: Interval) -> Result<Self, ConductorError> {
        zero_or_more("joint resistance", each_ohm.hi())?;
        self.joints = joints;
        self.joint_ohm = each_ohm;
        Ok(self)
    }

    /// The conductor.
    #[must_use]
    pub const fn conductor(&self) -> Conductor {
        self.conductor
    }

    /// The length, m.
    #[must_use]
    pub const fn length_m(&self) -> f64 {
        self.length_m
    }

    /// The greatest resistance of the leg at a temperature, ohm:
    /// `R(T) * length / conductors + joints * joint`.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a temperature out of range.
    pub fn ohm(&self, temperature_c: f64) -> Result<f64, ConductorError> {
        let wire = self.conductor.ohm_per_m(temperature_c)? * self.length_m;
        Ok(wire / f64::from(self.parallel) + f64::from(self.joints) * self.joint_ohm.hi())
    }

    /// The resistance of the leg over a range of temperature, ohm.
    ///
    /// The conductor's figure is taken as it is (a standard's maximum, or an ideal
    /// lower bound): the range comes from heat and joints alone.
    ///
    /// # Errors
    /// [`ConductorError::Input`] for a temperature out of range.
    pub fn ohm_range(&self, ambient_c: Interval) -> Result<Interval, ConductorError> {
        let at = |t: f64| -> Result<Interval, ConductorError> {
            let wire = self.conductor.ohm_per_m(t)? * self.length_m / f64::from(self.parallel);
            // Five roundings in the product: step outwards as many times.
            let mut lo = wire;
            let mut hi = wire;
            if wire > 0.0 {
                for _ in 0..5 {
                    lo = lo.next_down();
                    hi = hi.next_up();
                }
            }
            Ok(Interval::new(lo, hi)?)
        };
        let wire = at(ambient_c.lo())?.hull(at(ambient_c.hi())?);
        Ok(wire.plus(self.joint_ohm.times(f64::from(self.joints))))
    }

    /// The working of [`Leg::ohm`].
    ///
    /// # Errors
    /// As [`Leg::ohm`].
    pub fn explain(&self, temperature_c: f64) -> Result<Vec<Step>, ConductorError> {
        let mut steps = self.conductor.explain(temperature_c)?;
        steps.push(Step::new(
            "R",
            "R(T) * L / n + j * Rj",
            &[
                ("R(T)", self.conductor.ohm_per_m(temperature_c)? * 1000.0, "ohm/km"),
                ("L", self.length_m / 1000.0, "km"),
                ("n", f64::from(self.parallel), ""),
                ("j", f64::from(self.joints), ""),
                ("Rj", self.joint_ohm.hi(), "ohm"),
            ],
            self.ohm(temperature_c)?,
            "ohm",
            OHM,
        ));
        Ok(steps)
    }
}

/// The resistance of a circuit out and back over an ambient range, ohm.
///
/// # Errors
/// [`ConductorError::Input`] for a temperature out of range.
pub fn out_and_back(
    out: &Leg,
    back: &Leg,
    ambient_c: Interval,
) -> Result<Interval, ConductorError> {
    Ok(out.ohm_range(ambient_c)?.plus(back.ohm_range(ambient_c)?))
}
