//! Checks of the numbers that come in, so that no NaN can come out.

use std::fmt;

/// The smallest magnitude other than zero that is accepted, in any unit.
pub const LEAST: f64 = 1e-15;

/// The largest magnitude that is accepted, in any unit.
pub const MOST: f64 = 1e15;

/// A number that cannot be used, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BadInput {
    /// Not a number, or infinite where a finite value is needed.
    NotFinite {
        /// What the number stands for.
        quantity: &'static str,
    },
    /// Below zero, where the quantity has no sign.
    Negative {
        /// What the number stands for.
        quantity: &'static str,
        /// The number given.
        value: f64,
    },
    /// Zero, where the quantity must be there.
    Zero {
        /// What the number stands for.
        quantity: &'static str,
    },
    /// Outside the range that makes sense.
    OutOfRange {
        /// What the number stands for.
        quantity: &'static str,
        /// The number given.
        value: f64,
        /// The smallest value accepted.
        min: f64,
        /// The largest value accepted.
        max: f64,
    },
    /// The two ends of an interval are the wrong way round.
    Reversed {
        /// The end given as the lower one.
        lo: f64,
        /// The end given as the upper one.
        hi: f64,
    },
}

impl fmt::Display for BadInput {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { quantity } => write!(f, "the {quantity} is not a finite number"),
            Self::Negative { quantity, value } => write!(f, "the {quantity} is negative: {value}"),
            Self::Zero { quantity } => write!(f, "the {quantity} is zero"),
            Self::OutOfRange { quantity, value, min, max } => {
                write!(f, "the {quantity} is {value}, outside {min} to {max}")
            }
            Self::Reversed { lo, hi } => write!(f, "the range {lo} to {hi} is reversed"),
        }
    }
}

impl std::error::Error for BadInput {}

/// A finite value from `min` to `max`.
pub(crate) fn in_range(
    quantity: &'static str,
    value: f64,
    min: f64,
    max: f64,
) -> Result<f64, BadInput> {
    if !value.is_finite() {
        return Err(BadInput::NotFinite { quantity });
    }
    if value < min || value > max {
        return Err(BadInput::OutOfRange { quantity, value, min, max });
    }
    Ok(value)
}

/// Zero, or a magnitude from [`LEAST`] to [`MOST`].
pub(crate) fn zero_or_more(quantity: &'static str, value: f64) -> Result<f64, BadInput> {
    if value == 0.0 {
        return Ok(0.0);
    }
    if value < 0.0 && value.is_finite() {
        return Err(BadInput::Negative { quantity, value });
    }
    in_range(quantity, value, LEAST, MOST)
}

/// A magnitude from [`LEAST`] to [`MOST`].
pub(crate) fn positive(quantity: &'static str, value: f64) -> Result<f64, BadInput> {
    if value == 0.0 {
        return Err(BadInput::Zero { quantity });
    }
    zero_or_more(quantity, value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_fault_has_its_own_value_and_no_text_has_a_nan() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let e = positive("length", bad).unwrap_err();
            assert_eq!(e, BadInput::NotFinite { quantity: "length" });
            assert!(!e.to_string().contains("NaN"));
        }
        assert_eq!(positive("length", 0.0), Err(BadInput::Zero { quantity: "length" }));
        assert!(matches!(zero_or_more("length", -1.0), Err(BadInput::Negative { .. })));
        assert!(matches!(positive("length", 1e-16), Err(BadInput::OutOfRange { .. })));
        assert_eq!(positive("length", 1e-12), Ok(1e-12));
        assert_eq!(positive("length", 1e12), Ok(1e12));
    }

    #[test]
    fn both_ends_of_a_range_belong_to_it() {
        for end in [LEAST, MOST] {
            assert_eq!(positive("length", end), Ok(end));
            assert_eq!(in_range("length", end, LEAST, MOST), Ok(end));
        }
        assert!(positive("length", LEAST.next_down()).is_err());
        assert!(positive("length", MOST.next_up()).is_err());
    }
}
