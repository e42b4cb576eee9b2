//! Figures and lists in words, the same way in every rule.

use curtilage_facts::Uncovered;
use curtilage_units::{Dimension, Quantity, hours};

pub(crate) fn amps(value: f64) -> String {
    Quantity::new(value, Dimension::Current).to_string()
}

pub(crate) fn volts(value: f64) -> String {
    Quantity::new(value, Dimension::Voltage).to_string()
}

pub(crate) fn ohms(value: f64) -> String {
    if value.is_infinite() {
        return "no connection".to_owned();
    }
    Quantity::new(value, Dimension::Resistance).to_string()
}

pub(crate) fn bytes(value: f64) -> String {
    Quantity::new(value, Dimension::Data).to_string()
}

#[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
pub(crate) fn time(milliseconds: u64) -> String {
    curtilage_units::duration(milliseconds as f64)
}

/// A figure without a unit: `5.6`.
pub(crate) fn number(value: f64) -> String {
    curtilage_units::significant(value, 3)
}

/// "61 h 30 min a week: Sat 12:30 to Mon 07:30", or the dates when the ordinary week is covered.
pub(crate) fn uncovered(uncovered: &Uncovered) -> (String, String) {
    if uncovered.week.is_empty() {
        let minutes = uncovered.dates.minutes();
        let mut dates: Vec<String> =
            uncovered.dates.iter().take(MOST_DATES).map(|span| span.to_string()).collect();
        let left = uncovered.dates.len().saturating_sub(MOST_DATES);
        if left > 0 {
            dates.push(format!("{left} more"));
        }
        let count = uncovered.dates.by_date().len();
        let days = if count == 1 { "1 date".to_owned() } else { format!("{count} dates") };
        (format!("on {days} of this year and the next ({})", hours(minutes)), dates.join("; "))
    } else {
        let minutes = u64::from(uncovered.week.minutes());
        (format!("{} a week", hours(minutes)), uncovered.week.to_string())
    }
}

const MOST_DATES: usize = 4;

/// "once", "twice", "3 times"
pub(crate) fn times(count: u64) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}

/// "`a`, `b` and `c`"
pub(crate) fn and_list<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<String> = names.into_iter().map(|name| format!("`{name}`")).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// "an" before a vowel sound, otherwise "a".
pub(crate) fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}
