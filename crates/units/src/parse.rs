//! From a written number and unit to a quantity, correctly rounded.

use crate::{Dimension, Quantity, Unit, lookup};

/// Why a text is no quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ParseError {
    /// The text does not begin with a number.
    NoNumber,
    /// A number alone: every quantity carries a unit.
    NoUnit,
    /// No unit is spelled like this.
    UnknownUnit,
    /// The number is beyond what can be held (about 1e308).
    TooLarge,
}

/// The quantity of a decimal number and a unit.
///
/// The power of ten of the unit is added to the number's exponent before it is rounded, so
/// `2.2 kohm` is exactly the double nearest to 2200, and `120 mA` the one nearest to 0.12.
///
/// # Errors
/// [`ParseError::NoNumber`] when `number` is no decimal number, [`ParseError::TooLarge`] when the
/// value is not finite.
pub fn quantity(number: &str, unit: &Unit) -> Result<Quantity, ParseError> {
    let (mantissa, exponent) = match number.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => {
            (mantissa, exponent.parse::<i32>().map_err(|_| ParseError::NoNumber)?)
        }
        None => (number, 0),
    };
    let power = exponent.saturating_add(unit.power);
    let value: f64 =
        if power == 0 { mantissa.parse() } else { format!("{mantissa}e{power}").parse() }
            .map_err(|_| ParseError::NoNumber)?;
    let value = value * unit.times;
    if value.is_finite() {
        Ok(Quantity::new(value, unit.dimension))
    } else {
        Err(ParseError::TooLarge)
    }
}

/// Reads a whole text: one number and one unit, or a time in several (`1 h 30 min`).
///
/// # Errors
/// See [`ParseError`].
pub fn parse(text: &str) -> Result<Quantity, ParseError> {
    let mut rest = text.trim();
    let mut sum: Option<Quantity> = None;
    while !rest.is_empty() {
        let digits = number_length(rest);
        let (number, tail) = rest.split_at(digits);
        if number.is_empty() {
            return Err(ParseError::NoNumber);
        }
        let tail = tail.trim_start();
        let end = tail.find([' ', '\t']).unwrap_or(tail.len());
        let (word, after) = tail.split_at(end);
        if word.is_empty() {
            return Err(ParseError::NoUnit);
        }
        let one = quantity(number, lookup(word).ok_or(ParseError::UnknownUnit)?)?;
        sum = match sum {
            None => Some(one),
            Some(Quantity { value, dimension: Dimension::Time })
                if one.dimension == Dimension::Time =>
            {
                Some(Quantity::new(value + one.value, Dimension::Time))
            }
            Some(_) => return Err(ParseError::UnknownUnit),
        };
        rest = after.trim_start();
    }
    sum.ok_or(ParseError::NoNumber)
}

/// How many bytes at the start of `text` are a decimal number, sign and exponent included.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits_from = |from: usize| {
        bytes.get(from..).map_or(0, |rest| rest.iter().take_while(|b| b.is_ascii_digit()).count())
    };
    let sign = usize::from(matches!(bytes.first(), Some(b'-' | b'+')));
    let whole = digits_from(sign);
    if whole == 0 {
        return 0;
    }
    let mut length = sign + whole;
    if bytes.get(length) == Some(&b'.') {
        let part = digits_from(length + 1);
        if part > 0 {
            length += 1 + part;
        }
    }
    if matches!(bytes.get(length), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(length + 1), Some(b'-' | b'+')));
        let power = digits_from(length + 1 + sign);
        if power > 0 {
            length += 1 + sign + power;
        }
    }
    length
}
