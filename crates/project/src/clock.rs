//! What day it is where the machine stands.

use curtilage_syntax::tree::Date;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::path::Path;

/// Where a Unix machine keeps the rules of its own zone.
const OWN_ZONE: &str = "/etc/localtime";

/// Today, by the machine's clock and zone.
#[must_use]
pub fn today() -> Date {
    let date = Timestamp::now().to_zoned_datetime(zone()).date();
    Date {
        year: date.year(),
        month: u8::try_from(date.month()).unwrap_or(1),
        day: u8::try_from(date.day()).unwrap_or(1),
    }
}

/// The zone of the machine. Its file holds the rules, and nobody asks for the name; to find the
/// name, jiff would list every zone there is first, a fifth of the work of checking one site.
fn zone() -> TimeZone {
    let own = if std::env::var_os("TZ").is_none() { rules(Path::new(OWN_ZONE)) } else { None };
    own.unwrap_or_else(TimeZone::system)
}

fn rules(file: &Path) -> Option<TimeZone> {
    TimeZone::tzif("own", &std::fs::read(file).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::{OWN_ZONE, rules, zone};
    use jiff::tz::TimeZone;
    use jiff::{Timestamp, ToSpan};
    use std::path::Path;

    #[test]
    fn the_zone_is_the_one_that_the_long_way_finds() {
        let named = TimeZone::system();
        let start: Timestamp = "2026-01-01T00:30:00Z".parse().unwrap();
        for days in 0..730 {
            let at = start + (24 * days).hours();
            assert_eq!(zone().to_datetime(at), named.to_datetime(at), "{at}");
        }
    }

    #[test]
    fn a_file_without_rules_is_no_zone() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("zone");
        assert!(rules(&file).is_none());
        std::fs::write(&file, "Europe/Vienna").unwrap();
        assert!(rules(&file).is_none());
        if let Ok(real) = std::fs::read(Path::new(OWN_ZONE)) {
            std::fs::write(&file, real).unwrap();
            assert!(rules(&file).is_some());
        }
    }
}
