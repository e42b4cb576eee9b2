//! Standby batteries: how long one lasts, how large one must be.
//!
//! Two models of the same battery, and the caller says which was used:
//! [`Kinetic`] where the part gives its capacity at three rates, [`Rated`] (Peukert)
//! where it gives the 20 h capacity alone. Beside them the plain sum of
//! ampere-hours ([`ampere_hours`]) as some codes prescribe it.
//!
//! Ageing and temperature scale the capacity, not the hours: the two differ, since a
//! smaller battery is drawn from harder.

mod kinetic;
mod rated;
mod sizing;

pub use kinetic::Kinetic;
pub use rated::{Rated, peukert_exponent};
pub use sizing::{
    AGEING_FACTOR, TEMPERATURE_FACTORS, ampere_hours, explain_ampere_hours, explain_recharge,
    explain_sized, explain_temperature_factor, recharge_hours, sized_ampere_hours,
    temperature_factor,
};

use crate::input::{BadInput, in_range, positive, zero_or_more};
use std::fmt;

/// The two stages of a standby supply: `standby_h` hours at `standby_a`, then
/// `alarm_h` hours at `alarm_a`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Duty {
    standby_a: f64,
    standby_h: f64,
    alarm_a: f64,
    alarm_h: f64,
}

impl Duty {
    /// A duty; every figure zero or more, hours up to 100,000.
    ///
    /// # Errors
    /// [`BatteryError::Input`].
    pub fn new(
        standby_a: f64,
        standby_h: f64,
        alarm_a: f64,
        alarm_h: f64,
    ) -> Result<Self, BatteryError> {
        Ok(Self {
            standby_a: zero_or_more("standby current", standby_a)?,
            standby_h: in_range("standby time", standby_h, 0.0, 1e5)?,
            alarm_a: zero_or_more("alarm current", alarm_a)?,
            alarm_h: in_range("alarm time", alarm_h, 0.0, 1e5)?,
        })
    }

    /// Standby current, A.
    #[must_use]
    pub const fn standby_a(&self) -> f64 {
        self.standby_a
    }

    /// Standby time, h.
    #[must_use]
    pub const fn standby_h(&self) -> f64 {
        self.standby_h
    }

    /// Alarm current, A.
    #[must_use]
    pub const fn alarm_a(&self) -> f64 {
        self.alarm_a
    }

    /// Alarm time, h.
    #[must_use]
    pub const fn alarm_h(&self) -> f64 {
        self.alarm_h
    }
}

/// How long a battery lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lasts {
    /// It gives out in standby, after so many hours.
    StandbyOnly(f64),
    /// It holds the standby, and then the alarm for so many hours.
    Alarm(f64),
    /// It holds the standby, and the alarm draws nothing.
    ForEver,
}

impl Lasts {
    /// The hours of alarm after the standby; none for [`Lasts::ForEver`].
    #[must_use]
    pub const fn alarm_hours(self) -> Option<f64> {
        match self {
            Self::StandbyOnly(_) => Some(0.0),
            Self::Alarm(h) => Some(h),
            Self::ForEver => None,
        }
    }
}

/// Why a battery cannot be calculated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BatteryError {
    /// A number that cannot be used.
    Input(BadInput),
    /// The three capacities fit no kinetic battery: they must fall with the rate, and
    /// not along a line that no pair of wells gives.
    NoFit,
    /// The temperature is outside the table, -3.9 to 51.7 degC; nothing is
    /// extrapolated.
    OutsideTable {
        /// The temperature asked for, degC.
        celsius: f64,
    },
}

impl From<BadInput> for BatteryError {
    fn from(e: BadInput) -> Self {
        Self::Input(e)
    }
}

impl fmt::Display for BatteryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(e) => e.fmt(f),
            Self::NoFit => write!(f, "the three capacities fit no kinetic battery"),
            Self::OutsideTable { celsius } => {
                write!(f, "{celsius} degC is outside the temperature table, -3.9 to 51.7 degC")
            }
        }
    }
}

impl std::error::Error for BatteryError {}

fn capacity(ah: f64) -> Result<f64, BadInput> {
    positive("battery capacity", ah)
}
