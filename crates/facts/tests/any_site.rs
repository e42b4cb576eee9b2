//! Examples with numbers that nobody would write: whatever comes out is a figure or a reason.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::{Facts, Interval, Options};
use curtilage_model::{Scope, build};
use curtilage_syntax::tree::Date;
use support::{Dice, source};

const SITES: [&str; 4] = [
    include_str!("../../../examples/sites/farm-shop.site"),
    include_str!("../../../examples/sites/boatyard.site"),
    include_str!("../../../examples/sites/private-house.site"),
    include_str!("../../../examples/sites/school-office.site"),
];
const PARTS: &str = include_str!("../../../examples/parts/general.site");
const STRICT: &str = include_str!("../../../examples/policy/strict.site");
const TODAY: Date = Date { year: 2026, month: 11, day: 25 };

/// A text with some of its numbers made others.
fn other_numbers(text: &str, dice: &mut Dice) -> String {
    const NUMBERS: [&str; 10] =
        ["0", "1", "-1", "1e-12", "1e12", "1e300", "999999", "0.001", "7", "1e-300"];
    let mut out = String::new();
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let length = rest[start..].bytes().take_while(|b| b.is_ascii_digit() || *b == b'.').count();
        let (before, after) = rest.split_at(start);
        let (number, after) = after.split_at(length);
        // The digits of a name are no number.
        let alone = before.ends_with([' ', '-']) && after.starts_with(' ');
        out.push_str(before);
        out.push_str(if alone && dice.roll(12) == 0 { NUMBERS[dice.roll(10)] } else { number });
        rest = after;
    }
    out + rest
}

#[track_caller]
fn in_order(what: &str, interval: Interval, told: &str) {
    let (low, high) = (interval.lo(), interval.hi());
    assert!(!low.is_nan() && !high.is_nan() && low <= high, "{what}: {low} to {high}\n{told}");
}

/// The lines of a text that are not those of another.
fn changed(text: &str, from: &str) -> String {
    let pairs = text.lines().zip(from.lines()).filter(|(line, old)| line != old);
    pairs.map(|(line, old)| format!("{}  # {}\n", line.trim(), old.trim())).collect()
}

/// Looks at every figure; gives how many there are.
fn look(facts: &Facts<'_, '_>, told: &str) -> usize {
    let mut count = 0;
    let mut finite = |what: &str, value: f64| {
        assert!(value.is_finite(), "{what}: {value}\n{told}");
        count += 1;
    };
    for power in &facts.power {
        for drawing in &power.drawings {
            let low = power.lowest(drawing).ok().flatten().map(|(volts, _)| volts);
            let high = power.highest(drawing).ok().flatten().map(|(volts, _)| volts);
            low.into_iter().for_each(|volts| finite("lowest", volts));
            high.into_iter().for_each(|volts| finite("highest", volts));
        }
        if let Some((amps, _)) = power.most_source_amps() {
            finite("amps", amps);
            assert!(amps >= 0.0, "{amps} A\n{told}");
        }
    }
    for standby in facts.standby.iter().flatten() {
        if let Ok(Some(needed)) = &standby.needed {
            finite("needed", *needed);
        }
        if let Ok(hours) = &standby.recharge {
            finite("recharge", *hours);
        }
    }
    for seen in facts.loops.iter().flatten() {
        for state in seen.states() {
            in_order("ohms", state.ohms, told);
            count += 1;
        }
    }
    for held in &facts.readings {
        if let Ok(window) = held.window {
            in_order("a window", window, told);
            count += 1;
        }
    }
    count
}

#[test]
fn whatever_the_numbers_a_figure_is_a_figure_or_a_reason() {
    let mut dice = Dice(3);
    let mut count = 0;
    for site in SITES {
        for _ in 0..150 {
            let (old, site) = (site, other_numbers(site, &mut dice));
            let parts = other_numbers(PARTS, &mut dice);
            let told = changed(&site, old) + &changed(&parts, PARTS);
            let files = vec![source(0, &site), source(1, &parts), source(2, STRICT)];
            let scope = Scope { files, ..Scope::default() };
            let model = build(&scope);
            count += look(&Facts::new(&model, Options { today: TODAY }), &told);
        }
    }
    assert!(count > 5_000, "only {count} figures were looked at");
}
