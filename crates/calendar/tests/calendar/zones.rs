//! The compiled-in time zones against `tz_transitions.csv`.
//!
//! Source: IANA 2026f by Python's zoneinfo; the file is section 8 of the reference.

use std::collections::BTreeMap;

use curtilage_calendar::jiff::civil::DateTime;
use curtilage_calendar::jiff::{SignedDuration, Timestamp};
use curtilage_calendar::{CalendarError, zone, zone_names};

use crate::support::instant;

const TRANSITIONS: &str = include_str!("../../../../tests/fixtures/reference/tz_transitions.csv");

fn offset_seconds(text: &str) -> i32 {
    let sign = if text.starts_with('-') { -1 } else { 1 };
    let parts: Vec<i32> = text[1..].split(':').map(|part| part.parse().unwrap()).collect();
    sign * (parts[0] * 3600 + parts[1] * 60 + parts.get(2).copied().unwrap_or(0))
}

#[test]
fn every_transition_of_the_reference_is_in() {
    let mut rows = 0;
    let mut zones: BTreeMap<&str, Vec<Timestamp>> = BTreeMap::new();
    for line in TRANSITIONS.lines().filter(|l| !l.starts_with('#') && !l.starts_with("tz,")) {
        let fields: Vec<&str> = line.split(',').collect();
        let [name, at, local_before, offset_before, abbr_before, local_after, offset_after, ..] =
            fields.as_slice()
        else {
            panic!("short row {line}");
        };
        let tz = zone(name).unwrap();
        let at = instant(at);
        let before = at - SignedDuration::from_secs(1);
        let local = |t| tz.to_datetime(t);
        assert_eq!(local(before), local_before.parse::<DateTime>().unwrap(), "{line}");
        assert_eq!(local(at), local_after.parse::<DateTime>().unwrap(), "{line}");
        assert_eq!(tz.to_offset(before).seconds(), offset_seconds(offset_before), "{line}");
        assert_eq!(tz.to_offset(at).seconds(), offset_seconds(offset_after), "{line}");
        assert_eq!(tz.to_offset_info(before).abbreviation(), *abbr_before, "{line}");
        assert_eq!(tz.following(before).next().unwrap().timestamp(), at, "{line}");
        zones.entry(name).or_default().push(at);
        rows += 1;
    }
    assert_eq!(rows, 63);
    assert_eq!(zones.len(), 18);
}

/// Source: IANA 2026f, backward links and names.
#[test]
fn names_are_those_of_the_database() {
    let names = zone_names();
    assert!(names.is_sorted());
    for name in ["Europe/Lisbon", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia"] {
        assert!(names.iter().any(|n| n == name), "{name}");
    }
    assert_eq!(zone("europe/lisbon").unwrap().iana_name(), Some("Europe/Lisbon"));
    let name = "Europe/Lisboa".to_owned();
    assert_eq!(zone("Europe/Lisboa"), Err(CalendarError::UnknownZone { name }));
}
