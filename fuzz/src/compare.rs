//! A site is no different from itself, and a change turned round is the same change turned round.
//! The input is two texts with a line of `====` between them; where there is one text, the other is
//! the same with a line less.

use crate::site::{OPTIONS, choice, scope_of, two};
use curtilage_change::{Change, SiteChange, Told, Weight, compare};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::Scope;

/// Compares two texts.
pub fn holds(data: &[u8]) {
    let (old, new) = two(data);
    let new = new.unwrap_or_else(|| with_a_line_less(&old, choice(data)));
    let (Some(before), Some(after)) = (scope_of(old.as_bytes()), scope_of(new.as_bytes())) else {
        return;
    };
    let there = change(&before, &after);
    let back = change(&after, &before);
    assert_eq!(told(&there, false), told(&back, true), "turned round");
    let same = change(&before, &before);
    assert!(same.is_empty() && same.tests.repeat.is_empty(), "{:#?}", told(&same, false));
}

fn with_a_line_less(text: &str, choice: u64) -> String {
    let count = text.lines().count().max(1) as u64;
    let gone = choice % count;
    let kept = (0u64..).zip(text.lines()).filter(|(line, _)| *line != gone);
    kept.map(|(_, line)| format!("{line}\n")).collect()
}

fn change(old: &Scope, new: &Scope) -> SiteChange {
    let (old, new) = (curtilage_model::build(old), curtilage_model::build(new));
    let (old, new) = (Facts::new(&old, OPTIONS), Facts::new(&new, OPTIONS));
    let (was, is) = (curtilage_rules::check(&old), curtilage_rules::check(&new));
    compare((&old, &was), (&new, &is))
}

/// What is told, with the sides in order.
fn told(change: &SiteChange, turned: bool) -> Vec<(Weight, String, String)> {
    let turn = |weight: Weight| if turned { weight.turned() } else { weight };
    let sides = |before, after| if turned { (after, before) } else { (before, after) };
    let mut out = Vec::new();
    let mut put = |weight, before, after| {
        let (before, after): (String, String) = sides(before, after);
        out.push((turn(weight), before, after));
    };
    for one in &change.changes {
        put(one.weight, side(one, one.before.as_ref()), side(one, one.after.as_ref()));
    }
    for finding in &change.findings {
        let side = |level: Option<Level>| {
            level.map_or_else(String::new, |level| format!("{} {}", level.word(), finding.rule))
        };
        // To silence a finding mends nothing, and one that is told again counts as new.
        let weight = if finding.note.is_some() { Weight::Changed } else { finding.weight };
        put(weight, side(finding.before), side(finding.after));
    }
    for rename in &change.renames {
        put(Weight::Changed, rename.old.clone(), rename.new.clone());
    }
    out.sort();
    out
}

fn side(change: &Change, told: Option<&Told>) -> String {
    let aspect = change.aspect.word();
    told.map_or_else(String::new, |told| {
        format!("{} {aspect} {} {}", told.thing, told.detail, told.value.shown())
    })
}
