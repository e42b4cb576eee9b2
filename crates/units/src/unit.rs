//! The units that the language knows, and the look-up of a written one.

use crate::Dimension;

/// A unit: its dimension and what one of it is in the base unit, as `times * 10^power`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The spelling that the formatter and the messages use.
    pub text: &'static str,
    /// What kind of quantity it measures.
    pub dimension: Dimension,
    /// Factor to the base unit, apart from the power of ten.
    pub times: f64,
    /// Power of ten to the base unit.
    pub power: i32,
}

const fn unit(text: &'static str, dimension: Dimension, times: f64, power: i32) -> Unit {
    Unit { text, dimension, times, power }
}

/// Every unit, with the spelling that is shown; other spellings are in `ALIASES`.
const UNITS: &[Unit] = &[
    unit("m", Dimension::Length, 1.0, 0),
    unit("km", Dimension::Length, 1.0, 3),
    unit("cm", Dimension::Length, 1.0, -2),
    unit("mm", Dimension::Length, 1.0, -3),
    unit("ft", Dimension::Length, 3048.0, -4),
    unit("mm2", Dimension::Area, 1.0, 0),
    unit("AWG", Dimension::Gauge, 1.0, 0),
    unit("ohm", Dimension::Resistance, 1.0, 0),
    unit("mohm", Dimension::Resistance, 1.0, -3),
    unit("kohm", Dimension::Resistance, 1.0, 3),
    unit("Mohm", Dimension::Resistance, 1.0, 6),
    unit("ohm/km", Dimension::ResistancePerLength, 1.0, -3),
    unit("ohm/m", Dimension::ResistancePerLength, 1.0, 0),
    unit("mohm/m", Dimension::ResistancePerLength, 1.0, -3),
    unit("ohm/kft", Dimension::ResistancePerLength, 1.0 / 304.8, 0),
    unit("V", Dimension::Voltage, 1.0, 0),
    unit("uV", Dimension::Voltage, 1.0, -6),
    unit("mV", Dimension::Voltage, 1.0, -3),
    unit("kV", Dimension::Voltage, 1.0, 3),
    unit("A", Dimension::Current, 1.0, 0),
    unit("mA", Dimension::Current, 1.0, -3),
    unit("uA", Dimension::Current, 1.0, -6),
    unit("W", Dimension::Power, 1.0, 0),
    unit("mW", Dimension::Power, 1.0, -3),
    unit("kW", Dimension::Power, 1.0, 3),
    unit("VA", Dimension::Power, 1.0, 0),
    unit("Ah", Dimension::Charge, 1.0, 0),
    unit("mAh", Dimension::Charge, 1.0, -3),
    unit("ms", Dimension::Time, 1.0, 0),
    unit("s", Dimension::Time, 1.0, 3),
    unit("min", Dimension::Time, 6.0, 4),
    unit("h", Dimension::Time, 36.0, 5),
    unit("d", Dimension::Time, 864.0, 5),
    unit("degC", Dimension::Temperature, 1.0, 0),
    unit("B", Dimension::Data, 1.0, 0),
    unit("kB", Dimension::Data, 1.0, 3),
    unit("MB", Dimension::Data, 1.0, 6),
    unit("GB", Dimension::Data, 1.0, 9),
    unit("TB", Dimension::Data, 1.0, 12),
    unit("bit/s", Dimension::BitRate, 1.0, 0),
    unit("kbit/s", Dimension::BitRate, 1.0, 3),
    unit("Mbit/s", Dimension::BitRate, 1.0, 6),
    unit("dB", Dimension::SoundLevel, 1.0, 0),
    unit("%", Dimension::Ratio, 1.0, -2),
];

/// Other spellings of the same unit, beside the letters that [`lookup`] folds.
const ALIASES: &[(&str, &str)] = &[
    ("mm^2", "mm2"),
    ("sqmm", "mm2"),
    ("awg", "AWG"),
    ("day", "d"),
    ("days", "d"),
    ("hour", "h"),
    ("hours", "h"),
    ("minute", "min"),
    ("minutes", "min"),
    ("second", "s"),
    ("seconds", "s"),
];

/// The unit of a written word. `Ω` and U+2126 are read as `ohm`, `µ` and `μ` as `u`, `²` as `2`,
/// `°` as `deg`; otherwise capital letters count, as the SI has it (`mA`, not `ma`).
#[must_use]
pub fn lookup(word: &str) -> Option<&'static Unit> {
    if word.is_ascii() {
        return known(word);
    }
    let mut folded = String::with_capacity(word.len() + 4);
    for character in word.chars() {
        match character {
            'Ω' | '\u{2126}' => folded.push_str("ohm"),
            '\u{b5}' | '\u{3bc}' => folded.push('u'),
            '²' => folded.push('2'),
            '°' => folded.push_str("deg"),
            other => folded.push(other),
        }
    }
    known(&folded)
}

fn known(word: &str) -> Option<&'static Unit> {
    shown(word.as_bytes()).or_else(|| {
        let (_, text) = ALIASES.iter().find(|(alias, _)| *alias == word)?;
        shown(text.as_bytes())
    })
}

/// The unit of a word that is spelled as it is shown.
pub(crate) fn shown(word: &[u8]) -> Option<&'static Unit> {
    if word.is_empty() || word.len() > 8 {
        return None;
    }
    let wanted = key(word);
    UNITS.get(KEYS.iter().position(|known| *known == wanted)?)
}

/// A word of at most eight bytes as one number, so that words are compared at once.
const fn key(mut word: &[u8]) -> u64 {
    let mut key = 0;
    while let [first, rest @ ..] = word {
        key = key << 8 | *first as u64;
        word = rest;
    }
    key
}

/// The keys of [`UNITS`].
#[expect(clippy::indexing_slicing, reason = "of two lists of one length, when it is compiled")]
const KEYS: [u64; UNITS.len()] = {
    let mut keys = [0; UNITS.len()];
    let mut at = 0;
    while at < UNITS.len() {
        assert!(UNITS[at].text.len() <= 8, "a key holds eight bytes");
        keys[at] = key(UNITS[at].text.as_bytes());
        at += 1;
    }
    keys
};

/// The unit that the writer most likely meant by an unknown spelling: the same letters in other
/// capitals (`ma`, `Kohm`), or `ohms`.
#[must_use]
pub fn nearest(word: &str) -> Option<&'static Unit> {
    let plain = word.trim_end_matches('s');
    UNITS
        .iter()
        .find(|unit| unit.text.eq_ignore_ascii_case(word) || unit.text.eq_ignore_ascii_case(plain))
}

/// Every spelling that [`lookup`] knows in ASCII, for word lists and completion.
pub fn spellings() -> impl Iterator<Item = &'static str> {
    UNITS.iter().map(|unit| unit.text).chain(ALIASES.iter().map(|(alias, _)| *alias))
}
