//! Any text ends in a finite quantity or in a reason, and a quantity that is written reads back as
//! what it was, to the four digits that are shown.

#![allow(clippy::unwrap_used, reason = "a test")]

use curtilage_units::{Dimension, ParseError, lookup, parse, quantity, significant, spellings};
use proptest::prelude::*;

fn unit() -> impl Strategy<Value = &'static str> {
    prop::sample::select(spellings().collect::<Vec<_>>())
}

/// A decimal number of up to twelve digits and a small exponent.
fn number() -> impl Strategy<Value = String> {
    let digits = (0u64..1_000_000_000_000, 0u32..12, -9i32..9);
    (digits, prop::bool::ANY).prop_map(|((whole, point, power), exponent)| {
        let number = format!("{:.*}", point as usize, whole as f64 / 10f64.powi(point as i32));
        if exponent { format!("{number}e{power}") } else { number }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_ends(text in "[-+0-9.eEsmhAVΩµ° ]{0,24}") {
        if let Ok(read) = parse(&text) {
            prop_assert!(read.value.is_finite(), "{text}: {}", read.value);
        }
    }

    #[test]
    fn a_sum_of_times_is_finite_or_refused(
        parts in prop::collection::vec((0u32..310, prop::sample::select(vec!["ms", "s", "h", "d"])), 1..5),
    ) {
        let text: Vec<String> = parts.iter().map(|(power, unit)| format!("1e{power} {unit}")).collect();
        match parse(&text.join(" ")) {
            Ok(read) => prop_assert!(read.value.is_finite(), "{text:?}: {}", read.value),
            Err(why) => prop_assert_eq!(why, ParseError::TooLarge),
        }
    }

    #[test]
    fn what_is_shown_reads_back(number in number(), spelling in unit()) {
        let unit = lookup(spelling).unwrap();
        let value = quantity(&number, unit).unwrap();
        // Beyond what the language takes, a time is shown as the longest there is.
        prop_assume!(value.dimension != Dimension::Time || value.value < 9e15);
        let shown = value.to_string();
        let back = parse(&shown).unwrap();
        prop_assert_eq!(back.dimension, value.dimension, "{}", &shown);
        // A time is shown to the millisecond, everything else to four digits.
        let off = if value.dimension == Dimension::Time { 0.5 } else { value.value.abs() * 0.000_501 };
        let off = off + value.value.abs() * 1e-12;
        let near = (back.value - value.value).abs() <= off;
        prop_assert!(near, "{number} {spelling} is shown as {shown}");
        // What was shown once is shown the same again.
        prop_assert_eq!(back.to_string(), shown);
    }

    #[test]
    fn digits_are_rounded_and_never_lost(value in -1e12f64..1e12, digits in 1usize..9) {
        let shown: f64 = significant(value, digits).parse().unwrap();
        let unit = 10f64.powi(1 - i32::try_from(digits).unwrap());
        prop_assert!((shown - value).abs() <= value.abs() * unit * 0.500_001, "{value} {shown}");
        prop_assert!(!significant(value, digits).contains(['e', 'E']));
    }
}
