//! What can make `tamper of` a zone happen: its tamper contact, or its wires cut or shorted where the
//! input can tell.

use curtilage_model::{Model, Zone};
use curtilage_syntax::tree::part::BandName;

/// What can make `tamper of` a zone happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tampering {
    /// Its tamper contact moves, on an input of its own or in the network of the zone.
    Contact,
    /// No tamper contact is wired; a cut wire is told.
    Cut,
    /// No tamper contact is wired; of the wires only a short is told.
    Shorted,
    /// Nothing: its input tells no more than two states, and no other one has its tamper contact.
    Nothing,
    /// Its input, or what that tells, is not known.
    NotKnown,
}

/// What can make `tamper of` a zone happen.
#[must_use]
pub fn tampering(model: &Model<'_>, zone: &Zone<'_>) -> Tampering {
    if zone.tree.tamper.is_some() {
        return Tampering::Contact;
    }
    let spec = model.input_part(zone).and_then(|part| part.sheet.input.as_ref());
    let Some(spec) = spec.filter(|spec| !spec.bands.is_empty()) else {
        return Tampering::NotKnown;
    };
    let tells = |name: BandName| spec.bands.iter().any(|band| band.name == name);
    let (cut, shorted) = (tells(BandName::Cut), tells(BandName::Shorted));
    if !(cut || shorted || tells(BandName::Tamper)) {
        return Tampering::Nothing;
    }
    match (shares_the_wires(zone), cut, shorted) {
        (true, _, _) => Tampering::Contact,
        (_, true, _) => Tampering::Cut,
        (_, _, true) => Tampering::Shorted,
        // Whether a cut wire reads like a tamper contact hangs on the limits.
        _ => Tampering::NotKnown,
    }
}

/// Whether a zone's end-of-line network has its tamper contact.
#[must_use]
pub fn shares_the_wires(zone: &Zone<'_>) -> bool {
    zone.tree.ends.as_ref().is_some_and(|ends| ends.tamper().is_some())
}
