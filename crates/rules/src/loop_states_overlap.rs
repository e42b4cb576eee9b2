//! Two states of a loop that read alike.

use crate::rule::{Family, Findings, Rule};
use crate::words::ohms;
use curtilage_circuit::ends::Placement;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Loop, LoopFault, LoopState, StateName};
use curtilage_model::Zone;
use curtilage_syntax::tree::part::{BandName, Rest};
use curtilage_text::Place;
use std::collections::HashMap;

pub(crate) static RULE: Rule = Rule {
    name: "loop-states-overlap",
    family: Family::Loop,
    level: Level::Error,
    about: "two states of a loop that have to be told apart read alike",
    page: include_str!("loop_states_overlap.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let mut helps = Helps::new();
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let Ok(seen) = seen else { continue };
        let (one, other) = match seen.fault() {
            Some(LoopFault::Overlap(one, other)) => (one, other),
            // A zone that follows an output is told as never active for another reason.
            Some(LoopFault::NeverActive(_)) if zone.follows.is_some() => {
                (StateName::Resting, StateName::Active)
            }
            _ => continue,
        };
        out.list.extend(finding(facts, zone, seen, (one, other), &mut helps));
    }
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    seen: &Loop<'a>,
    (one, other): (StateName, StateName),
    helps: &mut Helps,
) -> Option<Diagnostic> {
    let (first, second) = (seen.state(one)?, seen.state(other)?);
    let name = zone.name.text;
    let headline = format!("zone `{name}` reads alike {} and {}", one.words(), other.words());
    let label = format!(
        "{} {}, {} {}",
        window(seen, first),
        one.words(),
        window(seen, second),
        other.words()
    );
    let (at, rest) = ends_at(zone);
    let mut finding = RULE
        .finds(headline, at, label)
        .with_why(match (one, other) {
            (_, StateName::Active) => "the controller cannot know which of the two it sees",
            (StateName::Resting, _) | (_, StateName::Resting) => {
                "the controller takes one for the other: a fault is told at rest, or is not told at all"
            }
            _ => "the controller takes one for the other: a fault for an alarm, or an alarm for a fault",
        })
        .with_about(name);
    if let Some(at) = rest {
        finding = finding.with_other(at, "lands here");
    }
    if let Some((at, text)) = band_label(facts, zone, seen, first) {
        finding = finding.with_other(at, text);
    }
    finding = finding.with_help(help(facts, zone, seen, helps));
    for state in [first, second] {
        for step in seen.working(facts.model, state) {
            // Both have the same cable.
            if !finding.working.contains(&step) {
                finding = finding.with_working([step]);
            }
        }
    }
    Some(finding)
}

/// The words to change: the network, or the input when there is none; and the input beside it.
pub(crate) fn ends_at(zone: &Zone<'_>) -> (Place, Option<Place>) {
    let input = zone.input.as_ref().map(|input| input.at);
    match &zone.tree.ends {
        Some(ends) => (Place::new(zone.name.at.file, ends.span), input),
        None => (input.unwrap_or(zone.name.at), None),
    }
}

/// What the input sees of a state: "1.49 kohm to 1.53 kohm".
pub(crate) fn window(seen: &Loop<'_>, state: &LoopState) -> String {
    let volts = seen.in_volts().then_some(state.volts).flatten();
    let words: &dyn Fn(f64) -> String = if volts.is_some() { &crate::words::volts } else { &ohms };
    let range = volts.unwrap_or(state.ohms);
    let (low, high) = (words(range.lo()), words(range.hi()));
    if low == high { low } else { format!("{low} to {high}") }
}

/// The band in which a state lies, or the bands that it touches, and where the part gives it.
pub(crate) fn band_label<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    seen: &Loop<'a>,
    state: &LoopState,
) -> Option<(Place, String)> {
    let terminal = zone.input.as_ref()?.terminal?;
    let part = facts.model.controller(terminal.controller)?.part?;
    let spec = part.sheet.input.as_ref()?;
    let band = match state.placement.as_ref()? {
        Placement::Within(band) => *band,
        Placement::Across(bands) => *bands.first()?,
        Placement::Outside { .. } => state.belongs?,
    };
    let word = seen.bands().get(band)?.word();
    let text = match state.placement.as_ref()? {
        Placement::Within(_) => format!("{} it lies in `{word}`", state.name.words()),
        Placement::Across(_) => format!("{} it lies partly in `{word}`", state.name.words()),
        Placement::Outside { .. } => format!("{} it should lie in `{word}`", state.name.words()),
    };
    Some((part.place(spec.bands.get(band)?.span), text))
}

/// Resistors that fit, as text to type, by the zone for which they were looked for.
pub(crate) type Helps = HashMap<usize, String>;

/// Resistors that fit a zone. Zones with the same network, sensor and input share one search, which
/// is made for the longest cable among them: what fits there fits all.
pub(crate) fn help<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    seen: &Loop<'a>,
    helps: &mut Helps,
) -> String {
    let ends = |zone: &Zone<'a>| {
        let ends = zone.tree.ends.as_ref().map(|ends| Place::new(zone.name.at.file, ends.span));
        ends.map_or("", |at| facts.model.text(at))
    };
    let same =
        facts.model.zones.iter().zip(&facts.loops).enumerate().filter_map(|(at, (other, of))| {
            let of = of.as_ref().ok()?;
            let same = ends(other) == ends(zone)
                && of.sensor.id == seen.sensor.id
                && of.controller.id == seen.controller.id;
            same.then_some((at, other, of))
        });
    let cable = |of: &Loop<'a>| of.seen().cable().hi();
    let longest = same.max_by(|a, b| cable(a.2).total_cmp(&cable(b.2)).then(b.0.cmp(&a.0)));
    let Some((at, zone, seen)) = longest else { return String::new() };
    helps.entry(at).or_insert_with(|| search(facts, zone, seen)).clone()
}

fn search<'a>(facts: &Facts<'_, 'a>, zone: &Zone<'a>, seen: &Loop<'a>) -> String {
    let tells = |name| seen.bands().contains(&name);
    if !seen.resistors().is_empty() && !tells(BandName::Cut) && !tells(BandName::Shorted) {
        return "ends  none\nthis input tells no cut wire and no shorted wires: it makes nothing of resistors".to_owned();
    }
    if seen.is_turned_round() {
        let (rests, reads, other, takes) = match seen.sensor.sheet.rests.map(|rests| rests.value) {
            Some(Rest::Open) => ("open", "more", "closed", "less"),
            _ => ("closed", "less", "open", "more"),
        };
        return format!(
            "a sensor that rests {other}, or an input that tells `closed` and `open`: no resistors fit\n\
             this one rests {rests} and reads {reads} at rest than when active, and the input wants {takes}"
        );
    }
    let ends = zone.tree.ends.as_ref();
    let same_shape = seen.fit(facts.model, ends);
    // Another shape would leave a tamper contact out.
    let pair = || match ends.is_some_and(|ends| ends.tamper().is_some()) {
        true => None,
        false => seen.fit(facts.model, None),
    };
    match same_shape.or_else(pair) {
        Some(fit) => fit.text,
        None => "no preferred values fit: use an input whose bands are further apart, or a thicker cable".to_owned(),
    }
}
