//! A zone that nothing can make active.

use crate::loop_states_overlap::{Helps, help};
use crate::moving::Moving;
use crate::rule::{Family, Findings, Rule};
use crate::words::ohms;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::events::{moves, rests_on};
use curtilage_facts::{Facts, Loop, LoopFault, StateName};
use curtilage_model::{OutputId, Zone};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;
use std::cell::OnceCell;

pub(crate) static RULE: Rule = Rule {
    name: "never-active",
    family: Family::Contact,
    level: Level::Error,
    about: "nothing can make a zone active",
    page: include_str!("never_active.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let (mut helps, moving) = (Helps::new(), OnceCell::new());
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let finding = match zone.follows {
            Some(output) => follows(facts, zone, output, &moving),
            None => seen.as_ref().ok().and_then(|seen| same_band(facts, zone, seen, &mut helps)),
        };
        if let Some(finding) = finding {
            out.push(finding.with_about(zone.name.text));
        }
    }
}

/// Rest and active read alike: both lie in one band.
fn same_band<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    seen: &Loop<'a>,
    helps: &mut Helps,
) -> Option<Diagnostic> {
    let Some(LoopFault::NeverActive(band)) = seen.fault() else { return None };
    let (rest, active) = (seen.state(StateName::Resting)?, seen.state(StateName::Active)?);
    let name = *seen.bands().get(band)?;
    let controller = facts.model.controller(zone.input.as_ref()?.terminal?.controller)?.part?;
    let spec = controller.sheet.input.as_ref()?;
    let band_at = controller.place(spec.bands.get(band)?.span);
    let window = |window: curtilage_circuit::Interval| {
        let (low, high) = (ohms(window.lo()), ohms(window.hi()));
        if low == high { low } else { format!("{low} to {high}") }
    };
    let headline = format!(
        "zone `{}` never becomes active: its input reads `{}` at rest and when active",
        zone.name.text,
        name.word()
    );
    let label = format!("reads {} at rest, {} when active", window(rest.ohms), window(active.ohms));
    let at = zone
        .tree
        .ends
        .as_ref()
        .map_or(zone.name.at, |ends| Place::new(zone.name.at.file, ends.span));
    let mut finding = RULE
        .finds(headline, zone.name.at, label)
        .with_other(band_at, "both readings lie in this band")
        .with_why(format!("whatever happens at the sensor, the controller sees `{}`", name.word()))
        .with_help(help(facts, zone, seen, helps));
    if at != zone.name.at {
        finding = finding.with_other(at, "the end-of-line network");
    }
    Some(finding)
}

/// The zone hangs on the contact of an output that is never switched.
fn follows<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    id: OutputId,
    moving: &OnceCell<Moving<'a>>,
) -> Option<Diagnostic> {
    let output = facts.model.output(id)?;
    let moved_by_the_other_side = || {
        let moving = moving.get_or_init(|| Moving::by_responses(facts.model));
        moving.moves(facts.model, output)
    };
    let forced = output.tree.mode.filter(|mode| mode.value != Mode::Automatic);
    let rests_on = rests_on(facts.model, id);
    let responses = &facts.model.responses;
    let driven = responses.iter().flat_map(|response| &response.effects);
    let driven = driven.into_iter().any(|(effect, _)| moves(effect, id, rests_on) == Some(true));
    let (name, output_name) = (zone.name.text, output.name.text);
    let (at, why) = match forced {
        Some(mode) => {
            let state = if mode.value == Mode::ForcedOn { "on" } else { "off" };
            let at = Place::new(output.name.at.file, mode.span);
            (at, format!("which is forced {state}"))
        }
        None if !driven && !moved_by_the_other_side() => (
            output.name.at,
            format!("which no response switches {}", if rests_on { "off" } else { "on" }),
        ),
        None => return None,
    };
    let headline = format!("zone `{name}` never changes: it follows `{output_name}`, {why}");
    let follows = zone
        .tree
        .follows
        .map_or(zone.name.at, |follows| Place::new(zone.name.at.file, follows.span));
    let finding = RULE.finds(headline, zone.name.at, "waits for an output that never changes");
    Some(
        finding
            .with_other(follows, format!("follows `{output_name}`"))
            .with_other(at, why)
            .with_why("the zone is there to prove that the output works; it proves nothing")
            .with_help(format!(
                "{}  {output_name} for 3 min    (in a response)",
                if rests_on { "open" } else { "close" }
            )),
    )
}
