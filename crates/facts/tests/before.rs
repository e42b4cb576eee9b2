//! A version after another has the figures that it has alone, to the last digit: what the engines are
//! not asked again is what they would have answered.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

mod support;

use curtilage_facts::{Before, Facts, Options};
use curtilage_model::{Model, Scope, build};
use curtilage_syntax::tree::Date;
use support::{Dice, source};

const SITES: [&str; 5] = [
    include_str!("../../../examples/sites/museum.site"),
    include_str!("../../../examples/sites/farm-shop.site"),
    include_str!("../../../examples/sites/boatyard.site"),
    include_str!("../../../examples/sites/private-house.site"),
    include_str!("../../../examples/sites/school-office.site"),
];
const PARTS: &str = include_str!("../../../examples/parts/general.site");
const STRICT: &str = include_str!("../../../examples/policy/strict.site");
const OPTIONS: Options = Options { today: Date { year: 2026, month: 11, day: 25 } };

/// Words of lines that say something about currents and resistances.
const TELLING: [&str; 14] = [
    " of ",
    "ends",
    "draws",
    "resist",
    "conductor",
    "holds",
    "ambient",
    "gives",
    "standby",
    "ageing",
    "battery",
    "at most",
    "pull",
    "alarm",
];

fn telling(line: &str) -> bool {
    TELLING.iter().any(|word| line.contains(word))
}

/// A text after one more edit: a number or a word made another, a line lost or doubled.
fn edited(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let any = dice.roll(4) == 0;
    let chosen: Vec<usize> = lines
        .iter()
        .enumerate()
        .filter(|(_, line)| any || telling(line))
        .map(|(at, _)| at)
        .collect();
    let Some(at) = chosen.get(dice.roll(chosen.len().max(1))).copied() else {
        return text.to_owned();
    };
    let line = lines[at].clone();
    let new = match dice.roll(10) {
        0 => None,
        1 => Some(format!("{line}\n{line}")),
        2 => Some(line.replace("closed", "open")),
        3 => Some(line.replace("constant current", "constant power").replace("in ", "across ")),
        _ => {
            let number = |word: &str| word.parse::<f64>().is_ok();
            let numbers = line.split(' ').filter(|word| number(word)).count();
            let chosen = dice.roll(numbers.max(1));
            let mut seen = 0;
            let words: Vec<&str> = line
                .split(' ')
                .map(|word| {
                    let here = number(word) && seen == chosen;
                    seen += usize::from(number(word));
                    if here {
                        dice.pick(&["0.5", "1", "2", "3.3", "8", "12", "25", "47"])
                    } else {
                        word
                    }
                })
                .collect();
            Some(words.join(" "))
        }
    };
    match new {
        Some(new) => lines[at] = new,
        None => drop(lines.remove(at)),
    }
    lines.join("\n") + "\n"
}

/// Everything that the engines of loops, networks and batteries have a part in.
fn figures(facts: &Facts<'_, '_>) -> String {
    let faults: Vec<_> =
        facts.loops.iter().map(|seen| seen.as_ref().ok().and_then(|seen| seen.fault())).collect();
    let resistors: Vec<_> =
        facts.loops.iter().map(|seen| seen.as_ref().ok().map(|seen| seen.resistors())).collect();
    let states: Vec<_> =
        facts.loops.iter().map(|seen| seen.as_ref().map(|seen| seen.states())).collect();
    format!("{states:?}\n{faults:?}\n{resistors:?}\n{:?}\n{:?}", facts.power, facts.standby)
}

/// The figures of three texts, after those of the versions before, and after what others asked of their
/// parts; they have to be what they are alone.
#[track_caller]
fn after(texts: &[String; 3], before: &mut Before, parts: &mut Before) -> String {
    let files = (0..).zip(texts).map(|(file, text)| source(file, text)).collect();
    let scope = Scope { files, ..Scope::default() };
    let model: Model<'_> = build(&scope);
    let alone = figures(&Facts::new(&model, OPTIONS));
    for before in [before, parts] {
        let after = figures(&Facts::after(&model, OPTIONS, before));
        assert!(after == alone, "{}", texts.concat());
    }
    alone
}

/// Each number of a site, its policy and what its parts say of currents, made larger.
#[test]
fn every_number_counts_that_counted_alone() {
    let first = [SITES[1], PARTS, STRICT].map(str::to_owned);
    let (mut before, mut parts) = (Before::kept(), Before::of_parts());
    let usual = after(&first, &mut before, &mut parts);
    let mut different = 0;
    for file in 0..first.len() {
        let text = first.get(file).unwrap();
        for (at, line) in text.lines().enumerate().filter(|(_, line)| telling(line)) {
            for (word, number) in line.split(' ').enumerate() {
                let Ok(number) = number.parse::<f64>() else { continue };
                // What has to be whole stays so.
                let larger = if number.fract() == 0.0 { number + 1.0 } else { number * 1.25 };
                let larger = larger.to_string();
                let words = line.split(' ').enumerate();
                let words: Vec<&str> =
                    words.map(|(index, old)| if index == word { &larger } else { old }).collect();
                let mut lines: Vec<&str> = text.lines().collect();
                let line = words.join(" ");
                *lines.get_mut(at).unwrap() = &line;
                let mut texts = first.clone();
                *texts.get_mut(file).unwrap() = lines.join("\n");
                different += usize::from(after(&texts, &mut before, &mut parts) != usual);
            }
        }
    }
    assert!(different > 40, "only {different} numbers counted");
}

#[test]
fn a_version_after_others_is_what_it_is_alone() {
    let mut dice = Dice(11);
    let (mut different, mut parts) = (0, Before::of_parts());
    for site in SITES {
        let first = [site, PARTS, STRICT].map(str::to_owned);
        let mut texts = first.clone();
        let mut before = Before::kept();
        let mut last = String::new();
        for version in 0..60 {
            // Now and then everything is as it was at first.
            if version % 15 == 14 {
                texts = first.clone();
            } else {
                let file = [0, 0, 0, 0, 1, 1, 2].get(dice.roll(7)).copied().unwrap();
                let text = texts.get_mut(file).unwrap();
                *text = edited(text, &mut dice);
            }
            let alone = after(&texts, &mut before, &mut parts);
            different += usize::from(alone != last);
            last = alone;
        }
    }
    assert!(different > 150, "only {different} versions had figures of their own");
}
