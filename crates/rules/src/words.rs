//! Figures and lists in words, the same way in every rule.

use curtilage_diagnostic::{Diagnostic, Fix};
use curtilage_facts::{Facts, Uncovered};
use curtilage_text::{Place, Span};
use curtilage_units::{Dimension, Quantity, apart, hours};
pub(crate) use curtilage_units::{amps, ohms};

/// What leads to a story that shows a finding.
pub(crate) const STORY: &str =
    "\nthe shortest story that begins it; put into the file, it fails:\n";

pub(crate) fn volts(value: f64) -> String {
    Quantity::new(value, Dimension::Voltage).to_string()
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

/// Two figures, with as many digits as tell them apart.
pub(crate) fn numbers_apart(one: f64, other: f64) -> (String, String) {
    apart(3, |digits| [one, other].map(|value| curtilage_units::significant(value, digits)))
}

/// Two voltages, with as many digits as tell them apart.
pub(crate) fn volts_apart(one: f64, other: f64) -> (String, String) {
    Quantity::new(one, Dimension::Voltage).apart(Quantity::new(other, Dimension::Voltage))
}

/// Two currents, with as many digits as tell them apart.
pub(crate) fn amps_apart(one: f64, other: f64) -> (String, String) {
    Quantity::new(one, Dimension::Current).apart(Quantity::new(other, Dimension::Current))
}

/// Two numbers of hours: as hours and minutes, and with what is left where these are the same.
pub(crate) fn hours_apart(one: f64, other: f64) -> (String, String) {
    let words = [one, other].map(hours_of);
    let [one, other] = match words[0] == words[1] {
        true => [one, other].map(|hours| curtilage_units::duration(hours * 3.6e6)),
        false => words,
    };
    (one, other)
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
        (format!("on {days} until the end of the next year ({})", hours(minutes)), dates.join("; "))
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

/// A ratio as a percentage: `12 %`.
pub(crate) fn percent(ratio: f64) -> String {
    format!("{} %", curtilage_units::significant(ratio * 100.0, 3))
}

/// Hours as people say them, cut to whole minutes: `9 h 10 min`.
pub(crate) fn hours_of(value: f64) -> String {
    let minutes = (value * 60.0 + 1e-6).floor();
    if minutes < 1.0 {
        return "less than a minute".to_owned();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, positive, and saturating"
    )]
    hours(minutes as u64)
}

/// A charge: `17 Ah`.
pub(crate) fn charge(value: f64) -> String {
    Quantity::new(value, Dimension::Charge).to_string()
}

/// A charge that suffices, rounded up where it is rounded.
pub(crate) fn charge_up(value: f64) -> String {
    charge(curtilage_units::round_up(value))
}

/// A current that suffices, rounded up where it is rounded.
pub(crate) fn amps_up(value: f64) -> String {
    amps(curtilage_units::round_up(value))
}

/// ` (insurer, schedule B 2)`, from what a limit of the policy says of itself; the span includes
/// the quotes.
pub(crate) fn policy_source(facts: &Facts<'_, '_>, source: Option<Span>) -> String {
    let text = facts
        .model
        .policy
        .as_ref()
        .zip(source)
        .map(|(policy, span)| facts.model.quoted(Place::new(policy.file, span)));
    text.map_or(String::new(), |text| format!(" ({text})"))
}

/// Adds the word that was most likely meant, if there is one, and a fix that types it in place of the
/// written one.
pub(crate) fn did_you_mean(finding: Diagnostic, near: Option<&str>, at: Place) -> Diagnostic {
    let Some(near) = near else { return finding };
    let fix = Fix::one(format!("write `{near}`"), at, near, false);
    finding.with_help(format!("did you mean `{near}`?")).with_fix(fix)
}
