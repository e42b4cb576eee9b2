//! A store that does not last as long as footage has to be kept.

use crate::rule::{Family, Findings, Rule};
use crate::words::{bytes, number, numbers_apart};
use curtilage_circuit::limit::below;
use curtilage_diagnostic::{Input, Level, Step};
use curtilage_facts::{Facts, Store};
use curtilage_model::Recording;
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity};

pub(crate) static RULE: Rule = Rule {
    name: "retention-too-short",
    family: Family::Recording,
    level: Level::Warning,
    about: "a store does not last as long as footage has to be kept",
    page: include_str!("retention_too_short.md"),
    from_absence: false,
    check,
};

const DAY: f64 = 86_400_000.0;

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for store in &facts.stores {
        let Some(plan) = facts.model.recordings.get(store.plan) else { continue };
        let (Some(days), Some((wanted, wanted_at))) = (store.days(0.0), wanted(facts, plan)) else {
            continue;
        };
        if !below(days, wanted) {
            continue;
        }
        let name = facts.model.text(Place::new(plan.line.file, plan.tree.controller.span));
        let needed = store.a_day.unwrap_or(0.0) * wanted;
        let (lasts, asked) = numbers_apart(days, wanted);
        let headline =
            format!("the store of `{name}` lasts {lasts} d, footage has to last {asked} d");
        let mut finding = RULE
            .finds(
                headline,
                store_at(plan),
                format!("{} a day fill it", bytes(store.a_day.unwrap_or(0.0))),
            )
            .with_why("the week that somebody asks for is already written over")
            .with_help(format!("store  {}", bytes(rounded_up(needed))))
            .with_working([step(facts, store, days)])
            .with_about(name);
        if wanted_at != store_at(plan) {
            finding = finding.with_other(wanted_at, format!("at least {} d", number(wanted)));
        }
        out.push(finding);
    }
}

/// How long footage has to last, days: the plan's word or the policy's, whichever is longer.
pub(crate) fn wanted(facts: &Facts<'_, '_>, plan: &Recording<'_>) -> Option<(f64, Place)> {
    let own = plan.tree.retention.map(|said| (said.value / DAY, store_at(plan)));
    let policy = facts.model.policy.as_ref().and_then(|policy| {
        let limit = policy.tree.retention?;
        #[expect(clippy::cast_precision_loss, reason = "times are far below 2^53 ms")]
        let days = limit.value.value as f64 / DAY;
        Some((days, Place::new(policy.file, limit.line)))
    });
    [own, policy].into_iter().flatten().reduce(|a, b| if b.0 > a.0 { b } else { a })
}

/// The words that give the size of the store.
pub(crate) fn store_at(plan: &Recording<'_>) -> Place {
    let said = plan.tree.store.map(|store| store.span);
    let said = said.or(plan.tree.store_part.map(|part| part.span));
    said.map_or(plan.line, |span| Place::new(plan.line.file, span))
}

/// Up to the next whole terabyte, or gigabyte below one.
fn rounded_up(value: f64) -> f64 {
    let unit = if value >= 1e12 { 1e12 } else { 1e9 };
    (value / unit).ceil() * unit
}

pub(crate) fn step(facts: &Facts<'_, '_>, store: &Store, days: f64) -> Step {
    let inputs = store.footage.iter().map(|one| {
        let camera = facts.model.camera(one.camera).map_or("", |camera| camera.name.text);
        let rate = Quantity::new(one.rate, Dimension::BitRate);
        let hours = curtilage_units::hours(u64::from(one.minutes));
        let share = Quantity::new(one.share, Dimension::Ratio);
        Input {
            name: format!(
                "`{camera}`, {}: {rate}, {hours} a week, {share} of it",
                one.class.word()
            ),
            value: format!("{} a day", bytes(one.a_day)),
            at: Some(one.line),
        }
    });
    Step {
        what: "how long the store lasts, events not counted".to_owned(),
        formula: "t = store / sum of (rate / 8 * 86,400 s * hours / 168 h * share)".to_owned(),
        inputs: inputs.collect(),
        result: format!(
            "{} / {} a day = {} d",
            bytes(store.holds.unwrap_or(0.0)),
            bytes(store.a_day.unwrap_or(0.0)),
            number(days)
        ),
        source: "arithmetic; SI prefixes of IEC 80000-13 (M)".to_owned(),
    }
}
