//! Findings that appeared or went. A finding is the same when its rule and the things that it is
//! about are the same; that its figures moved is told with the figures.

use crate::compare::{Change, Side};
use crate::lines::LineChange;
use crate::missing::Missing;
use crate::spot::Spot;
use crate::weight::Weight;
use crate::words::{NewNames, Scope};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_model::Model;
use curtilage_syntax::tree::policy::LevelWord;
use curtilage_text::Place;
use std::collections::BTreeMap;

/// A finding that is on one side only, or of another level.
#[derive(Clone, Debug)]
pub struct FindingChange {
    /// The rule.
    pub rule: &'static str,
    /// Its level before; none when it was not there.
    pub before: Option<Level>,
    /// Its level after; none when it is not there.
    pub after: Option<Level>,
    /// Its headline, of the newer side that has it.
    pub headline: String,
    /// Where it stands on that side.
    pub at: Option<Spot>,
    /// The things that it is about, by the names of that side.
    pub about: Vec<String>,
    /// How much it matters.
    pub weight: Weight,
    /// What an exception or the policy has to do with it.
    pub note: Option<String>,
    /// The lines that it comes from, by index.
    pub causes: Vec<usize>,
}

/// A rule and what it speaks of.
type Key = (&'static str, Vec<String>);

pub(crate) fn changed(
    (old, new): (&Side<'_, '_, '_>, &Side<'_, '_, '_>),
    names: &NewNames,
    lines: &[LineChange],
    changes: &[Change],
    missing: &(Missing, Missing),
) -> Vec<FindingChange> {
    let mut keys: BTreeMap<Key, (Vec<&Diagnostic>, Vec<&Diagnostic>)> = BTreeMap::new();
    for finding in old.findings {
        keys.entry(key(old.facts.model, finding, names)).or_default().0.push(finding);
    }
    for finding in new.findings {
        let key = key(new.facts.model, finding, &NewNames::new());
        keys.entry(key).or_default().1.push(finding);
    }
    let mut out = Vec::new();
    for (_, (mut was, mut is)) in keys {
        was.retain(|was| {
            let same = |is: &&Diagnostic| is.headline == was.headline && is.level == was.level;
            let found = is.iter().position(same);
            found.map(|index| is.remove(index)).is_none()
        });
        let (mut was, mut is) = (was.into_iter(), is.into_iter());
        loop {
            let (was, is) = (was.next(), is.next());
            if was.is_none() && is.is_none() {
                break;
            }
            let Some(mut one) = one(old, new, was, is, lines, changes) else { continue };
            // It may be there all the same, or as grave as it was; or may have been.
            let less = one.after < one.before;
            let unread = match (was, is) {
                (Some(was), _) if less => {
                    missing.1.hides(was, old.facts.model, &old.sheet.figures, names)
                }
                (_, Some(is)) if !less => {
                    let names = NewNames::new();
                    missing.0.hides(is, new.facts.model, &new.sheet.figures, &names)
                }
                _ => false,
            };
            if unread && one.note.is_none() {
                one.note =
                    Some(if less { "not looked for" } else { "not looked for before" }.into());
                one.weight = if less { Weight::Changed } else { one.weight };
            }
            out.push(one);
        }
    }
    out.sort_by(|a, b| {
        let place = |change: &FindingChange| {
            (change.weight, change.rule, change.at.clone(), change.headline.clone())
        };
        place(a).cmp(&place(b))
    });
    out
}

fn key(model: &Model<'_>, finding: &Diagnostic, names: &NewNames) -> Key {
    let mut about: Vec<String> = finding
        .about
        .iter()
        .map(|name| {
            let scopes = [Scope::Thing, Scope::Part, Scope::Schedule];
            let new = scopes.into_iter().find_map(|scope| names.get(&(scope, name.clone())));
            new.unwrap_or(name).clone()
        })
        .collect();
    if about.is_empty() {
        // Nothing is named: the words at its place have to do.
        about.push(model.text(finding.at.at).to_owned());
    }
    about.sort();
    (finding.rule, about)
}

fn one(
    old: &Side<'_, '_, '_>,
    new: &Side<'_, '_, '_>,
    was: Option<&Diagnostic>,
    is: Option<&Diagnostic>,
    lines: &[LineChange],
    changes: &[Change],
) -> Option<FindingChange> {
    let (before, after) = (was.map(|was| was.level), is.map(|is| is.level));
    if before == after {
        // Still there, with other figures.
        return None;
    }
    let shown = is.or(was)?;
    let side = if is.is_some() { new } else { old };
    let other = if is.is_some() { old } else { new };
    let note = match (was, is) {
        (Some(_), Some(_)) => {
            let by_policy = level_said(old, shown.rule) != level_said(new, shown.rule);
            by_policy.then(|| "another level".to_owned())
        }
        (None, _) => silenced(other, side, shown).map(|why| format!("was {why}")),
        _ => silenced(other, side, shown),
    };
    let weight = match (before, after) {
        // Told again, it counts as any that is told; silenced, it is not mended.
        (None, Some(level)) => grave(level),
        _ if note.is_some() => Weight::Changed,
        // What the site made graver is as bad as what is new, and turned round as good as gone.
        (Some(before), Some(after)) if before < after => grave(after),
        (Some(level), _) => grave(level).turned(),
        (None, None) => return None,
    };
    let mut causes = causes(side.facts.model, is.is_some(), shown, lines, changes);
    if note.is_some() {
        // What silences it is what changed it.
        let says = |line: &LineChange| {
            line.item == "allow" && line.name.starts_with(shown.rule)
                || line.item == "policy" && line.word == "level"
        };
        causes = lines.iter().enumerate().filter(|(_, line)| says(line)).map(|one| one.0).collect();
    }
    Some(FindingChange {
        rule: shown.rule,
        before,
        after,
        headline: shown.headline.clone(),
        at: Spot::of(side.facts.model, shown.at.at),
        about: shown.about.clone(),
        weight,
        note,
        causes,
    })
}

fn grave(level: Level) -> Weight {
    match level {
        Level::Error => Weight::Crossed,
        Level::Warning => Weight::Thinner,
        Level::Hint => Weight::Changed,
    }
}

/// The level that the policy of a side gives a rule.
fn level_said(side: &Side<'_, '_, '_>, rule: &str) -> Option<LevelWord> {
    let policy = side.facts.model.policy.as_ref()?;
    let name = |span| side.facts.model.text(Place::new(policy.file, span));
    let said = policy.tree.levels.iter().find(|said| name(said.rule.span) == rule)?;
    Some(said.level.value)
}

/// Why a side that does not tell a finding may still have it: an exception or a level that the
/// side which tells it has not.
fn silenced(
    silent: &Side<'_, '_, '_>,
    told: &Side<'_, '_, '_>,
    finding: &Diagnostic,
) -> Option<String> {
    let excepted = |side: &Side<'_, '_, '_>| {
        let allow = side.facts.model.allows.iter().find(|allow| {
            let on = allow.on.is_none_or(|on| finding.about.iter().any(|name| name == on.text));
            allow.rule.text == finding.rule && on && allow.until.value >= side.facts.options.today
        });
        allow.map(|allow| {
            let day = allow.until.value;
            format!("excepted until {:04}-{:02}-{:02}", day.year, day.month, day.day)
        })
    };
    let off = |side: &Side<'_, '_, '_>| {
        let off = level_said(side, finding.rule) == Some(LevelWord::Off);
        off.then(|| "turned off by the policy".to_owned())
    };
    let why = excepted(silent).filter(|_| excepted(told).is_none());
    why.or_else(|| off(silent).filter(|_| off(told).is_none()))
}

/// The changed lines at which a finding points, and those of the figures of what it is about.
fn causes(
    model: &Model<'_>,
    appeared: bool,
    finding: &Diagnostic,
    lines: &[LineChange],
    changes: &[Change],
) -> Vec<usize> {
    let labels = std::iter::once(&finding.at).chain(&finding.others);
    let spots: Vec<Spot> = labels.filter_map(|label| Spot::of(model, label.at)).collect();
    let points = |line: &LineChange| {
        let side = if appeared { &line.after } else { &line.before };
        side.as_ref().is_some_and(|line| {
            spots.iter().any(|spot| {
                spot.path == line.spot.path
                    && spot.line <= line.spot.end_line
                    && spot.end_line >= line.spot.line
            })
        })
    };
    let pointed = lines.iter().enumerate().filter(|(_, line)| points(line));
    let mut out: Vec<usize> = pointed.map(|(index, _)| index).collect();
    if out.is_empty() {
        let about = |change: &&Change| {
            let names = change.thing.name.names();
            finding.about.iter().any(|name| names.contains(name))
        };
        // The figures that changed for the worse or the better with it.
        let grave = changes.iter().filter(about).filter(|one| one.weight != Weight::Changed);
        out = grave.flat_map(|change| change.causes.iter().copied()).collect();
        out.sort_unstable();
        out.dedup();
    }
    // A line that was there and is there says more than one that came with it.
    out.sort_by_key(|index| {
        let line = lines.get(*index);
        (line.is_none_or(|line| line.before.is_none() || line.after.is_none()), *index)
    });
    out
}
