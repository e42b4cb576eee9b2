//! Units against an independent library: the fixture was made with Python's `pint`, and holds
//! what it answered for each text. Where this language says no on purpose, the case is named.

use curtilage_units::{Dimension, parse};
use serde_json::Value;

const FIXTURE: &str = include_str!("../../../tests/fixtures/units.json");

/// Texts that the library takes and the language refuses: it has no arithmetic in a quantity, no
/// decimal comma (the library read `12,5` as 125), no bare unit, no energy, and one unit a kind.
const REFUSED_HERE: &[&str] = &[
    "12,5 V",
    "µV",
    "1.5 W/V",
    "1 V/A",
    "0.22 mm**2",
    "1 month",
    "12 V * 0.5 A",
    "7 A*h",
    "7.2 A h",
    "25200 C",
    "293.15 K",
    "84 Wh",
    "12 V * 7 Ah",
    "302.4 kJ",
];

/// Texts that the library does not know and the language takes: trade spellings.
const TAKEN_HERE: &[(&str, f64)] =
    &[("0.22 sqmm", 0.22), ("1.5 mm2", 1.5), ("24 AWG", 24.0), ("20 degC", 20.0), ("20 °C", 20.0)];

/// What one base unit of ours is in the SI unit of the fixture.
fn to_si(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Area => 1e-6,
        Dimension::Time => 1e-3,
        Dimension::Charge => 3600.0,
        _ => 1.0,
    }
}

fn dimension(kind: &str) -> Option<Dimension> {
    Some(match kind {
        "voltage" => Dimension::Voltage,
        "current" => Dimension::Current,
        "resistance" => Dimension::Resistance,
        "length" => Dimension::Length,
        "area" => Dimension::Area,
        "time" => Dimension::Time,
        "power" => Dimension::Power,
        "charge" => Dimension::Charge,
        "res_per_len" => Dimension::ResistancePerLength,
        "temperature" => Dimension::Temperature,
        _ => return None,
    })
}

#[test]
fn agrees_with_the_unit_library_on_every_text() {
    let cases: Vec<Value> = serde_json::from_str(FIXTURE).unwrap();
    let mut same = 0;
    for case in &cases {
        let text = case["text"].as_str().unwrap();
        let kind = case["kind"].as_str().unwrap();
        let ours = parse(text).ok().filter(|q| Some(q.dimension) == dimension(kind));
        if REFUSED_HERE.contains(&text) {
            assert!(ours.is_none(), "{text} should be refused, got {ours:?}");
        } else if let Some((_, value)) = TAKEN_HERE.iter().find(|(taken, _)| *taken == text) {
            assert_eq!(parse(text).map(|q| q.value), Ok(*value), "{text}");
        } else if case["expect"]["ok"].as_bool().unwrap() {
            let si = case["expect"]["si"].as_f64().unwrap();
            let ours = ours.unwrap_or_else(|| panic!("{kind} {text} should be taken"));
            let ours = ours.value * to_si(ours.dimension);
            assert!((ours - si).abs() <= si.abs() * 1e-12, "{text}: {ours} against {si}");
            same += 1;
        } else if text == "1h30min" {
            assert!(ours.is_none(), "the words of a time are set apart: `1 h 30 min`");
        } else {
            assert!(ours.is_none(), "{kind} {text} should be refused, got {ours:?}");
            same += 1;
        }
    }
    println!("{same} of {} texts as the library has them", cases.len());
    assert!(same >= 55, "only {same} agree");
}

#[test]
fn decimal_prefixes_round_correctly() {
    assert_eq!(parse("2.2 kohm").unwrap().value, 2200.0);
    assert_eq!(parse("120 mA").unwrap().value, 0.12);
    assert_eq!(parse("1 h 30 min").unwrap().value, 5_400_000.0);
    assert_eq!(parse("9.97 kohm").unwrap().value, 9970.0);
}

#[test]
fn quantities_are_written_as_people_write_them() {
    for (text, shown) in [
        ("2200 ohm", "2.2 kohm"),
        ("0.05 ohm", "50 mohm"),
        ("0.45 A", "0.45 A"),
        ("0.012 A", "12 mA"),
        ("185 s", "3 min 5 s"),
        ("1500 ms", "1.5 s"),
        ("300 ms", "300 ms"),
        ("4000 GB", "4 TB"),
        ("20 %", "20 %"),
        ("92 ohm/km", "92 ohm/km"),
        ("0 V", "0 V"),
        ("30 d", "30 d"),
        ("-5 degC", "-5 degC"),
    ] {
        assert_eq!(parse(text).unwrap().to_string(), shown, "{text}");
    }
}
