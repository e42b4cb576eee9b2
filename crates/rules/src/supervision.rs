//! Whether somebody watches the wires of a zone, for the rules on panic and on tamper zones.

use crate::rule::Rule;
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Facts, Known, Loop};
use curtilage_model::Zone;
use curtilage_syntax::tree::part::Rest;
use curtilage_syntax::tree::wiring::Ends;
use curtilage_text::Place;

/// A finding about wires that nobody watches, with the place of the input and of what is at the
/// end. `kind` and `quiet` are words of the rule: `panic`, `a quiet button`.
pub(crate) fn unwatched(
    rule: &'static Rule,
    zone: &Zone<'_>,
    seen: &Known<Loop<'_>>,
    kind: &str,
    quiet: &str,
) -> Option<Diagnostic> {
    // Where the input tells a cut wire, what is at the end may be a fault of the loop, told there.
    if seen.as_ref().is_ok_and(|seen| seen.fault().is_some()) {
        return None;
    }
    let bare = !zone.tree.ends.as_ref().is_some_and(Ends::has_resistor);
    if !bare && seen.as_ref().ok()?.is_supervised() != Some(false) {
        return None;
    }
    let input = zone.input.as_ref()?;
    let name = zone.name.text;
    // Of a contact that rests closed a cut wire is told, as an alarm; a short is not.
    let rests = zone.sensor.and_then(|sensor| sensor.sheet.rests);
    let hidden = match rests.map(|rests| rests.value) {
        Some(Rest::Closed) => "shorted wires look like",
        _ => "a cut wire looks like",
    };
    let (headline, wires, end) = match bare {
        true => (
            format!("{kind} zone `{name}` has no resistors at its end: {hidden} {quiet}"),
            "nothing at the end of these wires",
            "no resistor at its end",
        ),
        false => (
            format!(
                "the input of {kind} zone `{name}` makes nothing of its resistors: {hidden} {quiet}"
            ),
            "tells no cut wire and no shorted wires",
            "the input makes the same of a bare contact",
        ),
    };
    let mut finding = rule.finds(headline, input.at, wires).with_about(name);
    if let Some(ends) = &zone.tree.ends {
        finding = finding.with_other(Place::new(zone.name.at.file, ends.span), end);
    }
    Some(finding)
}

/// What to do: resistors to type, or another input. `place` is where resistors are soldered.
pub(crate) fn mend(
    facts: &Facts<'_, '_>,
    zone: &Zone<'_>,
    seen: &Known<Loop<'_>>,
    place: &str,
) -> String {
    let Some(fit) = seen.as_ref().ok().and_then(|seen| seen.fit(facts.model, None)) else {
        return format!(
            "wire it to an input that tells a cut wire and shorted wires, and solder its resistors at {place}"
        );
    };
    let apart = match zone.tree.ends.as_ref().and_then(Ends::tamper) {
        Some(_) => "\nits tamper contact then goes to an input of its own: `tamper  to INPUT`",
        None => "",
    };
    format!("{}\nsoldered at {place}, not in the controller{apart}", fit.text)
}
