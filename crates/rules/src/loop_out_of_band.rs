//! A state of a loop that the input does not take for what it is.

use crate::loop_states_overlap::{Helps, band_label, ends_at, help, window};
use crate::rule::{Family, Findings, Rule};
use curtilage_circuit::ends::Placement;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, Loop, LoopFault, StateName};
use curtilage_model::Zone;

pub(crate) static RULE: Rule = Rule {
    name: "loop-out-of-band",
    family: Family::Loop,
    level: Level::Error,
    about: "a state of a loop lies outside the band of the input that means it",
    page: include_str!("loop_out_of_band.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let mut helps = Helps::new();
    for (zone, seen) in facts.model.zones.iter().zip(&facts.loops) {
        let Ok(seen) = seen else { continue };
        if let Some(LoopFault::OutOfBand(name)) = seen.fault() {
            out.list.extend(finding(facts, zone, seen, name, &mut helps));
        }
    }
}

fn finding<'a>(
    facts: &Facts<'_, 'a>,
    zone: &Zone<'a>,
    seen: &Loop<'a>,
    name: StateName,
    helps: &mut Helps,
) -> Option<Diagnostic> {
    let state = seen.state(name)?;
    let word = |band: usize| seen.bands().get(band).map_or("", |band| band.word());
    let means = state.belongs.map_or("", word);
    let taken = match state.placement.as_ref()? {
        Placement::Within(band) => format!("which the input takes for `{}`", word(*band)),
        Placement::Across(bands) if bands.len() > 1 => {
            "which lies in more than one band".to_owned()
        }
        Placement::Across(_) => format!("which lies partly outside `{means}`"),
        Placement::Outside { .. } => "which lies in no band of the input".to_owned(),
    };
    let why = match state.placement.as_ref()? {
        Placement::Within(band) if name == StateName::Resting && means_active(seen, *band) => {
            "it is active at rest: it alarms as soon as it is armed".to_owned()
        }
        Placement::Within(band) => {
            format!("the controller tells `{}` instead of `{means}`", word(*band))
        }
        Placement::Across(_) => {
            "what the controller makes of it depends on the day, the temperature and the joint"
                .to_owned()
        }
        Placement::Outside { .. } => {
            "what the controller makes of it, its sheet does not say".to_owned()
        }
    };
    let headline = format!(
        "zone `{}` reads {} {}, {taken}",
        zone.name.text,
        window(seen, state),
        name.words()
    );
    let (at, input) = ends_at(zone);
    let mut finding = RULE
        .finds(headline, at, format!("reads {} {}", window(seen, state), name.words()))
        .with_why(why)
        .with_help(help(facts, zone, seen, helps))
        .with_working(seen.working(facts.model, state))
        .with_about(zone.name.text);
    if let Some(at) = input {
        finding = finding.with_other(at, "lands here");
    }
    if let Some((at, text)) = band_label(facts, zone, seen, state) {
        finding = finding.with_other(at, text);
    }
    Some(finding)
}

fn means_active(seen: &Loop<'_>, band: usize) -> bool {
    seen.state(StateName::Active).is_some_and(|active| active.belongs == Some(band))
}
