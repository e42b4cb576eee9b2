//! Things that are the same under another name.
//!
//! A name that is on one side only is held against each such name of its kind on the other side: by
//! its lines, by the terminal that it lands on, and by the lines that mention it. The best pairs are
//! taken first. A part is only renamed when its whole sheet stayed the same: otherwise it is another
//! part, and somebody has to fit it.

use crate::lines::{Items, items};
use crate::spot::Spot;
use crate::thing::ThingKind;
use crate::words::{NewNames, Scope, Words};
use curtilage_model::{FaultKind, Model, Named};
use std::collections::BTreeMap;

/// A thing that is called otherwise now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rename {
    /// Its kind.
    pub kind: ThingKind,
    /// What it was called.
    pub old: String,
    /// What it is called.
    pub new: String,
    /// Where the new name is given.
    pub at: Option<Spot>,
}

/// In this order, so that what is mentioned is known before what mentions it.
const KINDS: [(ThingKind, Scope); 12] = [
    (ThingKind::Part, Scope::Part),
    (ThingKind::Schedule, Scope::Schedule),
    (ThingKind::Area, Scope::Thing),
    (ThingKind::People, Scope::Thing),
    (ThingKind::Supply, Scope::Thing),
    (ThingKind::Cable, Scope::Thing),
    (ThingKind::Controller, Scope::Thing),
    (ThingKind::Relay, Scope::Thing),
    (ThingKind::Output, Scope::Thing),
    (ThingKind::Zone, Scope::Thing),
    (ThingKind::Camera, Scope::Thing),
    (ThingKind::Rehearsal, Scope::Thing),
];

/// From this likeness on, of 1, two things are one.
const ALIKE: f64 = 0.5;
/// What landing on the same terminal adds.
const SAME_TERMINAL: f64 = 0.25;

/// The things that were renamed between two models.
pub(crate) fn find(old: &Model<'_>, new: &Model<'_>) -> (Vec<Rename>, NewNames) {
    let (mut renames, mut names) = (Vec::new(), NewNames::new());
    let new_items = items(new, &NewNames::new());
    for (kind, scope) in KINDS {
        let (before, after) = (named(old, kind), named(new, kind));
        let only = |list: &[Named<'_>], other: &[Named<'_>]| -> Vec<String> {
            let names = list.iter().map(|name| name.text);
            let own = names.filter(|name| !other.iter().any(|other| other.text == *name));
            own.map(str::to_owned).collect()
        };
        let (gone, fresh) = (only(&before, &after), only(&after, &before));
        if gone.is_empty() || fresh.is_empty() {
            continue;
        }
        let old_items = items(old, &names);
        let sides =
            (Side { model: old, items: &old_items }, Side { model: new, items: &new_items });
        let mut pairs = Vec::new();
        for (was, old_name) in gone.iter().enumerate() {
            for (is, new_name) in fresh.iter().enumerate() {
                let alike =
                    likeness(kind, scope, (&sides.0, old_name), (&sides.1, new_name), &names);
                if alike >= ALIKE {
                    pairs.push((alike, was, is));
                }
            }
        }
        // The order is the same when the two sides are swapped.
        pairs.sort_by(|a, b| {
            let near = |pair: &(f64, usize, usize)| (pair.1.abs_diff(pair.2), pair.1 + pair.2);
            b.0.total_cmp(&a.0).then_with(|| near(a).cmp(&near(b)))
        });
        let mut taken = (vec![false; gone.len()], vec![false; fresh.len()]);
        for (_, was, is) in pairs {
            let free = taken.0.get(was) == Some(&false) && taken.1.get(is) == Some(&false);
            let (Some(old_name), Some(new_name)) = (gone.get(was), fresh.get(is)) else { continue };
            if !free {
                continue;
            }
            for (list, index) in [(&mut taken.0, was), (&mut taken.1, is)] {
                if let Some(slot) = list.get_mut(index) {
                    *slot = true;
                }
            }
            names.insert((scope, old_name.clone()), new_name.clone());
            let at = after.iter().find(|name| name.text == new_name);
            renames.push(Rename {
                kind,
                old: old_name.clone(),
                new: new_name.clone(),
                at: at.and_then(|name| Spot::of(new, name.at)),
            });
        }
    }
    turn_back(old, &mut names);
    (renames, names)
}

/// Whoever says the new name before it was given means nothing that is there: it becomes the name that
/// nothing has any more, so that a change and the same change turned round are told alike.
fn turn_back(old: &Model<'_>, names: &mut NewNames) {
    let renames = names.clone();
    for fault in &old.faults {
        let FaultKind::UnknownName { name, .. } = &fault.kind else { continue };
        let now = renames.iter().filter(|(_, new)| *new == name);
        names.extend(now.map(|((scope, old), new)| ((*scope, new.clone()), old.clone())));
    }
}

fn named<'a>(model: &Model<'a>, kind: ThingKind) -> Vec<Named<'a>> {
    let site = model.site.as_ref();
    match kind {
        ThingKind::Part => model.parts.iter().map(|one| one.name).collect(),
        ThingKind::Schedule => model.schedules.iter().map(|one| one.name).collect(),
        ThingKind::Area => site.iter().flat_map(|site| &site.areas).map(|one| one.name).collect(),
        ThingKind::People => {
            site.iter().flat_map(|site| &site.people).map(|one| one.name).collect()
        }
        ThingKind::Supply => model.supplies.iter().map(|one| one.name).collect(),
        ThingKind::Cable => model.cables.iter().map(|one| one.name).collect(),
        ThingKind::Controller => model.controllers.iter().map(|one| one.name).collect(),
        ThingKind::Relay => model.relays.iter().map(|one| one.name).collect(),
        ThingKind::Output => model.outputs.iter().map(|one| one.name).collect(),
        ThingKind::Zone => model.zones.iter().map(|one| one.name).collect(),
        ThingKind::Camera => model.cameras.iter().map(|one| one.name).collect(),
        ThingKind::Rehearsal => {
            let title = |one: &curtilage_model::Rehearsal<'a>| Named {
                text: one.title,
                at: curtilage_text::Place::new(one.file, one.tree.title),
            };
            model.rehearsals.iter().map(title).collect()
        }
        _ => Vec::new(),
    }
}

struct Side<'s, 'a> {
    model: &'s Model<'a>,
    items: &'s Items<'a>,
}

/// How alike two things are, 0 to 1 and a little more.
fn likeness(
    kind: ThingKind,
    scope: Scope,
    (old, old_name): (&Side<'_, '_>, &str),
    (new, new_name): (&Side<'_, '_>, &str),
    names: &NewNames,
) -> f64 {
    // Both carry the same stand-in, so that a line that names the thing itself is the same line.
    let body = |side: &Side<'_, '_>, name: &str| {
        let item = side.items.get(&(kind.item().to_owned(), name.to_owned()))?;
        let own = NewNames::from([((scope, name.to_owned()), STAND_IN.to_owned())]);
        let lines = item.lines.iter().map(|line| line.1.mapped(&own));
        Some(counted(lines.collect()))
    };
    let (was, is) = (body(old, old_name), body(new, new_name));
    let mentioned = |side: &Side<'_, '_>, name: &str| counted(mentions(side.items, scope, name));
    let (by_old, by_new) = (mentioned(old, old_name), mentioned(new, new_name));
    let mentions = shared(&by_old, &by_new);
    match was.zip(is).map(|(was, is)| shared(&was, &is)) {
        Some(body) if kind == ThingKind::Part => {
            if body >= 1.0 {
                1.0
            } else {
                0.0
            }
        }
        Some(body) if kind == ThingKind::Rehearsal => body,
        Some(body) => {
            let terminal = terminal(old.model, kind, old_name)
                .zip(terminal(new.model, kind, new_name))
                .is_some_and(|(was, is)| was.mapped(names) == is);
            0.7 * body + 0.3 * mentions + if terminal { SAME_TERMINAL } else { 0.0 }
        }
        // An area, or people: nothing but those who mention it.
        None if by_old.is_empty() && by_new.is_empty() => 0.0,
        None => mentions,
    }
}

const STAND_IN: &str = "this one";

/// The first words of the lines that mention a name, with the items in which they stand.
fn mentions(items: &Items<'_>, scope: Scope, name: &str) -> Vec<(String, String)> {
    let own = NewNames::from([((scope, name.to_owned()), STAND_IN.to_owned())]);
    let mut out = Vec::new();
    for ((word, item), of) in items {
        for (first, words, _) in &of.lines {
            if words.mapped(&own) != *words {
                let item = if word == "response" { String::new() } else { item.clone() };
                out.push((format!("{word} {item}"), first.clone()));
            }
        }
    }
    out
}

fn terminal(model: &Model<'_>, kind: ThingKind, name: &str) -> Option<Words> {
    let terminal = match kind {
        ThingKind::Zone => {
            model.zones.iter().find(|zone| zone.name.text == name)?.input?.terminal?
        }
        ThingKind::Camera => {
            model.cameras.iter().find(|camera| camera.name.text == name)?.channel?
        }
        _ => return None,
    };
    Some(Words::thing(&model.terminal_name(&terminal)))
}

type Counted<T> = BTreeMap<T, usize>;

fn counted<T: Ord>(list: Vec<T>) -> Counted<T> {
    let mut out = Counted::new();
    for one in list {
        *out.entry(one).or_default() += 1;
    }
    out
}

/// The share of two bags that both hold.
#[expect(clippy::cast_precision_loss, reason = "a file has few lines")]
fn shared<T: Ord>(a: &Counted<T>, b: &Counted<T>) -> f64 {
    let both: usize = a.iter().map(|(one, n)| *n.min(b.get(one).unwrap_or(&0))).sum();
    let all = a.values().sum::<usize>() + b.values().sum::<usize>() - both;
    if all == 0 { 1.0 } else { both as f64 / all as f64 }
}
