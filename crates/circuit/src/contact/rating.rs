//! The rows of a contact's rating and the categories of IEC 60947-5-1.

use crate::input::{BadInput, in_range, positive};
use crate::working::{Mark, Source};

/// Kind of current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Current {
    /// Alternating; voltages and currents are rms.
    Ac,
    /// Direct.
    Dc,
}

/// Utilization category of IEC 60947-5-1.
///
/// Meanings and ac multiples are secondary (S), the rest is from memory (M).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Category {
    /// Resistive and opto-coupled loads, ac.
    Ac12,
    /// Solid-state loads behind a transformer, ac.
    Ac13,
    /// Small electromagnets up to 72 VA, ac.
    Ac14,
    /// Electromagnets above 72 VA, ac.
    Ac15,
    /// Resistive and opto-coupled loads, dc.
    Dc12,
    /// Electromagnets, dc.
    Dc13,
    /// Electromagnets with economy resistors, dc.
    Dc14,
}

impl Category {
    /// The standard's name, as `DC-13`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ac12 => "AC-12",
            Self::Ac13 => "AC-13",
            Self::Ac14 => "AC-14",
            Self::Ac15 => "AC-15",
            Self::Dc12 => "DC-12",
            Self::Dc13 => "DC-13",
            Self::Dc14 => "DC-14",
        }
    }

    /// Whether the category is for ac or dc.
    #[must_use]
    pub const fn current(self) -> Current {
        match self {
            Self::Ac12 | Self::Ac13 | Self::Ac14 | Self::Ac15 => Current::Ac,
            Self::Dc12 | Self::Dc13 | Self::Dc14 => Current::Dc,
        }
    }

    /// The making current in multiples of the rated current; breaking is 1.
    #[must_use]
    pub const fn making_multiple(self) -> f64 {
        match self {
            Self::Ac12 | Self::Dc12 | Self::Dc13 => 1.0,
            Self::Ac13 => 2.0,
            Self::Ac14 => 6.0,
            Self::Ac15 | Self::Dc14 => 10.0,
        }
    }

    /// How well the making multiple stands: S, but M for DC-13 and DC-14.
    #[must_use]
    pub const fn source(self) -> Source {
        match self {
            Self::Dc13 | Self::Dc14 => Source::new("IEC 60947-5-1", Mark::Memory),
            _ => Source::new("IEC 60947-5-1", Mark::Secondary),
        }
    }
}

/// What a row of the rating is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Duty {
    /// A resistive load, no category given.
    Resistive,
    /// A coil, no category given.
    Inductive,
    /// Filament lamps, rated with their own inrush.
    Lamp,
    /// A category of IEC 60947-5-1.
    Category(Category),
}

/// One row of a contact's rating.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatingRow {
    pub(super) volts: f64,
    pub(super) current: Current,
    pub(super) duty: Duty,
    pub(super) amps: f64,
    pub(super) making_amps: Option<f64>,
}

impl RatingRow {
    /// A row: up to `volts`, the contact makes and breaks `amps` of that duty.
    ///
    /// `making_amps` is the making current where the part states one; otherwise it is
    /// the category's multiple of `amps`, or `amps` itself. A lamp row without one
    /// covers a filament's inrush (common practice, no source).
    ///
    /// # Errors
    /// [`BadInput`] for a voltage or a current that is not positive.
    pub fn new(
        volts: f64,
        current: Current,
        duty: Duty,
        amps: f64,
        making_amps: Option<f64>,
    ) -> Result<Self, BadInput> {
        if let Some(a) = making_amps {
            positive("making current", a)?;
        }
        Ok(Self {
            volts: positive("rated voltage", volts)?,
            current,
            duty,
            amps: positive("rated current", amps)?,
            making_amps,
        })
    }

    /// The highest voltage the row covers, V.
    #[must_use]
    pub const fn volts(&self) -> f64 {
        self.volts
    }

    /// The rated current, A.
    #[must_use]
    pub const fn amps(&self) -> f64 {
        self.amps
    }

    /// What the row is for.
    #[must_use]
    pub const fn duty(&self) -> Duty {
        self.duty
    }

    /// Ac or dc.
    #[must_use]
    pub const fn current(&self) -> Current {
        self.current
    }

    /// The current the contact may make, A; none for a lamp row that states none.
    #[must_use]
    pub fn making_limit(&self) -> Option<f64> {
        match (self.making_amps, self.duty) {
            (Some(a), _) => Some(a),
            (None, Duty::Lamp) => None,
            (None, Duty::Category(c)) => Some(self.amps * c.making_multiple()),
            (None, Duty::Resistive | Duty::Inductive) => Some(self.amps),
        }
    }
}

/// The longest time to 95 % of the steady current, ms, that a DC-13 rating covers:
/// `6 * P`, P in W and at most 50 W, so 300 ms (IEC 60947-5-1; M).
///
/// `T0.95 = 3 L/R` for a plain coil.
///
/// # Errors
/// [`BadInput`] for a power that is negative or not finite.
pub fn dc13_longest_ms(watts: f64) -> Result<f64, BadInput> {
    let p = in_range("load power", watts, 0.0, crate::input::MOST)?;
    Ok(6.0 * p.min(50.0))
}
