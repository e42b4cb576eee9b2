//! Quantities: a number with a unit, its dimension, and how it is written for people.
//!
//! Each dimension has one base unit, in which [`Quantity::value`] is held:
//! metres, square millimetres, ohms, ohms a metre, volts, amperes, watts, ampere-hours,
//! milliseconds, degrees Celsius, bytes, bits a second, decibels, and ratios (0.2 for 20 %).
//! Prefixes are those of the SI (and IEC 60027); the unit of angle is not needed here.

mod dimension;
mod parse;
mod show;
mod unit;

pub use dimension::Dimension;
pub use parse::{ParseError, parse, plain, quantity};
pub use show::{amps, apart, duration, hours, ohms, round_up, significant};
pub use unit::{Unit, lookup, nearest, spellings};

/// A number with its dimension, in the dimension's base unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The number, in the base unit of `dimension`; always finite.
    pub value: f64,
    /// What kind of quantity it is.
    pub dimension: Dimension,
}

impl Quantity {
    /// A quantity from its value in the base unit.
    #[must_use]
    pub fn new(value: f64, dimension: Dimension) -> Self {
        Self { value, dimension }
    }
}
