//! Proofs that need no search.

use super::super::Proof;
use crate::system::{ContactId, System, Windows, Zone};

/// A proof without a search, where there is one.
pub(super) fn closed_form(
    system: &System,
    has_loops: bool,
    zone: &Zone,
    held: bool,
) -> Option<Proof> {
    if zone.armed == Windows::Never {
        return Some(Proof::NeverArmed);
    }
    if zone.limit.is_some() {
        return Some(Proof::Limit);
    }
    let reached =
        |contact: ContactId| system.feedback.iter().any(|(_, path)| path.contact == contact);
    // Every registration, even a confirmed one, needs an activation of the zone's own.
    if !reached(zone.contact) {
        let longest = system.contacts.get(zone.contact).and_then(|contact| contact.longest);
        match (zone.is_level(), held) {
            (false, _) => return Some(Proof::NeedsChange),
            (true, false) => return Some(Proof::NoFeedback),
            (true, true) if longest.is_some() => return Some(Proof::CannotStay),
            (true, true) => {}
        }
    }
    if held {
        return None;
    }
    // Without a loop the last changes come one after the other to an end, unless a level is left.
    let left = system.zones.iter().any(|(_, zone)| reached(zone.contact) && zone.is_level());
    (!has_loops && !left).then_some(Proof::NoFeedback)
}
