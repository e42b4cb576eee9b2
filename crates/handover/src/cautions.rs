//! What can hurt somebody, said where it can.

use crate::words;
use curtilage_facts::Facts;
use curtilage_units::{Dimension, Quantity};

/// What stands on the first page.
pub(crate) const ALWAYS: [&str; 3] = [
    "These papers say what follows from the site file. They do not say that the installation complies with a standard, a law or a contract: local codes and licensed practice decide.",
    "Life-safety systems (fire detection and alarm, means of escape) are not covered. Nothing here may be used for them.",
    "The site was not seen. A figure that is wrong in the file is wrong here: measure before you trust.",
];

/// Before anybody touches a wire.
pub(crate) const ISOLATE: &str = "Isolate the mains and prove it dead before you work on wiring; take the battery off as well, it is live when the mains is off. Work on mains is for a competent, and where the law says so licensed, person.";

/// Where there are batteries.
pub(crate) const BATTERY: &str = "Batteries: a short circuit across the terminals burns and melts; insulated tools, no rings or watches, mind the polarity. Charging gives off hydrogen: ventilate, no sealed box. Never charge a frozen, swollen or leaking battery. Batteries in parallel are of one kind and age. Take old ones back for recycling.";

/// Where there is mains.
pub(crate) const MAINS: &str = "Keep mains and extra-low voltage apart, in ducts and in boxes. Fuses at the ratings of these papers, no larger ones.";

/// What the papers do not do.
pub(crate) const LIMITS: [&str; 2] = [
    "Everything that the figures take for granted and that no site file says, with where it comes from. Who does not agree with a line mends the site file, its parts or its policy.",
    "Local codes and licensed practice decide, whatever stands here.",
];

/// Loud things, the loudest first, and how long an ear stands each.
pub(crate) fn hearing(facts: &Facts<'_, '_>) -> Vec<String> {
    let mut loud: Vec<(f64, String)> = Vec::new();
    for output in &facts.model.outputs {
        for (_, part) in output.loads.iter().flatten() {
            let Some((level, at)) = part.sheet.loudness else { continue };
            let said = Quantity::new(level.value, Dimension::SoundLevel);
            let name = output.name.text;
            loud.push((level.value, format!("{name} {said} at {}", words::metres(at.value))));
        }
    }
    if loud.is_empty() {
        return Vec::new();
    }
    loud.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    loud.dedup();
    let names: Vec<String> = loud.into_iter().map(|(_, text)| text).collect();
    vec![format!(
        "Hearing: {}. A day's worth of noise is 8 h at 85 dBA, and half as long for each 3 dB more (NIOSH, C): 112 dBA in less than a minute. Stand off, warn people, wear protection, keep tests short.",
        names.join("; ")
    )]
}
