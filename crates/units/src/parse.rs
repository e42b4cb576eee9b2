//! From a written number and unit to a quantity, correctly rounded.

use crate::unit::shown;
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
    if let Some(value) = short(number, unit.power) {
        return Ok(Quantity::new(value * unit.times, unit.dimension));
    }
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

/// A plain number of few digits, `whole` times ten to the power of `exponent`.
struct Short {
    whole: u64,
    exponent: i32,
    /// How many bytes it takes.
    length: usize,
}

impl Short {
    /// The number at the start of a text, without sign and exponent; none for one of more than 15
    /// digits, and where the text begins or ends a number otherwise.
    fn at_the_start_of(text: &[u8]) -> Option<Self> {
        let (mut whole, mut exponent, mut digits, mut length) = (0_u64, 0, 0_u32, 0);
        let mut point = false;
        for byte in text {
            match byte {
                b'0'..=b'9' if digits < 15 => {
                    whole = whole * 10 + u64::from(byte - b'0');
                    digits += 1;
                    exponent -= i32::from(point);
                }
                b'.' if !point && digits > 0 => point = true,
                b'0'..=b'9' => return None,
                _ => break,
            }
            length += 1;
        }
        (digits > 0 && point == (exponent < 0)).then_some(Self { whole, exponent, length })
    }

    /// It times a power of ten, correctly rounded; none where that is not sure.
    ///
    /// Up to 15 digits are a whole number that a double holds exactly, and so are the powers of ten
    /// up to 10^22; one product or quotient of two exact numbers is rounded once (Clinger, "How to
    /// read floating point numbers accurately", 1990).
    fn times_ten_to(&self, power: i32) -> Option<f64> {
        const TENS: [f64; 23] = [
            1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
            1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
        ];
        #[expect(clippy::cast_precision_loss, reason = "15 digits are below 2^53")]
        let value = self.whole as f64;
        let exponent = self.exponent + power;
        let ten = *TENS.get(usize::try_from(exponent.unsigned_abs()).ok()?)?;
        Some(if exponent < 0 { value / ten } else { value * ten })
    }
}

/// A whole text that is a short number, times a power of ten.
fn short(number: &str, power: i32) -> Option<f64> {
    let short = Short::at_the_start_of(number.as_bytes())?;
    (short.length == number.len()).then(|| short.times_ten_to(power))?
}

/// Reads a whole text: one number and one unit, or a time in several (`1 h 30 min`).
///
/// # Errors
/// See [`ParseError`].
pub fn parse(text: &str) -> Result<Quantity, ParseError> {
    if let Some(quantity) = plain(text) {
        return Ok(quantity);
    }
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
                let sum = value + one.value;
                if !sum.is_finite() {
                    return Err(ParseError::TooLarge);
                }
                Some(Quantity::new(sum, Dimension::Time))
            }
            Some(_) => return Err(ParseError::UnknownUnit),
        };
        rest = after.trim_start();
    }
    sum.ok_or(ParseError::NoNumber)
}

/// A number without sign and exponent, a blank and a unit, as most quantities are written; none for
/// any other text.
#[must_use]
pub fn plain(text: &str) -> Option<Quantity> {
    let number = Short::at_the_start_of(text.as_bytes())?;
    let unit = shown(text.as_bytes().get(number.length..)?.strip_prefix(b" ")?)?;
    Some(Quantity::new(number.times_ten_to(unit.power)? * unit.times, unit.dimension))
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

#[cfg(test)]
mod tests {
    use super::short;

    /// The standard library reads decimal text correctly rounded.
    #[test]
    fn the_short_way_rounds_as_the_standard_library_does() {
        let mut random = 3_u64;
        let mut next = |below: u64| {
            random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (random >> 33) % below
        };
        let mut taken = 0;
        for _ in 0..200_000 {
            let digits = 1 + next(17) as usize;
            let mut number: String =
                (0..digits).map(|_| char::from(b'0' + u8::try_from(next(10)).unwrap())).collect();
            if next(2) == 0 && digits > 1 {
                number.insert(1 + next(digits as u64 - 1) as usize, '.');
            }
            let power = i32::try_from(next(41)).unwrap() - 20;
            let Some(value) = short(&number, power) else { continue };
            let wanted: f64 = format!("{number}e{power}").parse().unwrap();
            assert_eq!(value.to_bits(), wanted.to_bits(), "{number}e{power}");
            taken += 1;
        }
        assert!(taken > 100_000, "{taken}");
        for odd in ["", ".5", "5.", "1.2.3", "-1", "1e3", "12345678901234567"] {
            assert_eq!(short(odd, 0), None, "{odd}");
        }
    }
}
