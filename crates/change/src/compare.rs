//! Two sites held against each other, figure by figure.

use crate::figure::{Aspect, Figure, Value};
use crate::findings::{self, FindingChange};
use crate::groups::{self, Group};
use crate::hours::Strip;
use crate::lines::{self, LineChange};
use crate::missing::{self, Missing};
use crate::renames::{self, Rename};
use crate::retest::{self, Tests};
use crate::sheet::Sheet;
use crate::spot::Spot;
use crate::thing::{Thing, ThingKind};
use crate::weight::{self, Weight};
use crate::words::{NewNames, Words};
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Covered, Facts};
use curtilage_syntax::tree::zone::Purpose;
use std::collections::{BTreeMap, BTreeSet};

/// One side of a comparison.
pub(crate) struct Side<'s, 'm, 'a> {
    pub(crate) facts: &'s Facts<'m, 'a>,
    pub(crate) findings: &'s [Diagnostic],
    pub(crate) sheet: Sheet,
}

/// A figure of one side.
#[derive(Clone, Debug)]
pub struct Told {
    /// What it is about, by the name of its side.
    pub thing: Thing,
    /// Which of several, in the words of its side.
    pub detail: Words,
    /// What it says.
    pub value: Value,
    /// Where.
    pub at: Option<Spot>,
}

/// One figure that is not what it was.
#[derive(Clone, Debug)]
pub struct Change {
    /// What it is about, by its newer name.
    pub thing: Thing,
    /// What is said of it.
    pub aspect: Aspect,
    /// Which of several.
    pub detail: Words,
    /// How much it matters.
    pub weight: Weight,
    /// The figure before.
    pub before: Option<Told>,
    /// The figure after.
    pub after: Option<Told>,
    /// The hours that are gone, or new by the weight of the change.
    pub hours: Option<HoursChange>,
    /// The lines that it comes from, by index.
    pub causes: Vec<usize>,
}

impl Change {
    /// The change as a sentence, names in backticks.
    #[must_use]
    pub fn sentence(&self) -> String {
        groups::alone(self)
    }
}

/// Hours that are gone or new.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoursChange {
    /// Whether they are gone; otherwise they are new.
    pub gone: bool,
    /// Minutes of the ordinary week.
    pub week_minutes: u32,
    /// The spans of the ordinary week.
    pub week: String,
    /// Minutes on dates beyond that, in the two years that are looked at.
    pub dated_minutes: u64,
    /// The spans on dates.
    pub dates: Vec<String>,
    /// The week, drawn.
    pub strip: Option<Strip>,
}

/// What cannot be compared.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unknown {
    /// Whether it is the older side that is not known.
    pub before: bool,
    /// Why.
    pub why: String,
    /// How many figures.
    pub figures: usize,
}

/// What a change does to one site.
#[derive(Clone, Debug)]
pub struct SiteChange {
    /// The path before, if the site was there.
    pub old_path: Option<String>,
    /// The path after, if the site is there.
    pub new_path: Option<String>,
    /// Whether it was found in another place by its name; set by who pairs the files.
    pub moved: bool,
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Things that are called otherwise.
    pub renames: Vec<Rename>,
    /// Figures that are not what they were, the gravest first.
    pub changes: Vec<Change>,
    /// Findings that appeared or went.
    pub findings: Vec<FindingChange>,
    /// The lines that changed.
    pub lines: Vec<LineChange>,
    /// What cannot be compared.
    pub unknown: Vec<Unknown>,
    /// Changes put together for people.
    pub groups: Vec<Group>,
    /// What has to be tried again, and what not.
    pub tests: Tests,
}

impl SiteChange {
    /// Whether the site does what it did, under the same names; of a file without a site, whether no
    /// line differs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        let same_lines = !self.name.is_empty() || self.lines.is_empty();
        same_lines
            && self.renames.is_empty()
            && self.changes.is_empty()
            && self.findings.is_empty()
            && self.unknown.is_empty()
    }

    /// The weights of all that is told.
    pub fn told_weights(&self) -> impl Iterator<Item = Weight> + '_ {
        let findings = self.findings.iter().map(|finding| finding.weight);
        let weight = |group: &Group| if group.slight { Weight::Changed } else { group.weight };
        self.groups.iter().map(weight).chain(findings)
    }

    /// The weights of all that changed.
    pub fn weights(&self) -> impl Iterator<Item = Weight> + '_ {
        let findings = self.findings.iter().map(|finding| finding.weight);
        self.changes.iter().map(|change| change.weight).chain(findings)
    }
}

/// Holds two sites against each other, with what the rules found in each.
#[must_use]
pub fn compare(
    old: (&Facts<'_, '_>, &[Diagnostic]),
    new: (&Facts<'_, '_>, &[Diagnostic]),
) -> SiteChange {
    let side = |(facts, findings)| Side { facts, findings, sheet: Sheet::of(facts) };
    between(&side(old), &side(new))
}

fn between(old: &Side<'_, '_, '_>, new: &Side<'_, '_, '_>) -> SiteChange {
    let (before, after) = (old.facts.model, new.facts.model);
    let (renames, names) = renames::find(before, after);
    let lines = lines::changed(before, after, &names);
    let missing = missing::missing(old.facts, new.facts, &names);
    let mut comparison = Comparison {
        old,
        new,
        names: &names,
        lines: &lines,
        missing: &missing,
        out: Vec::new(),
        unknown: BTreeMap::new(),
        unknown_things: BTreeSet::new(),
    };
    comparison.figures();
    let Comparison { out, unknown, unknown_things, .. } = comparison;
    let mut changes: Vec<(usize, Change)> = out;
    changes.sort_by_key(|(place, change)| {
        (change.weight, change.thing.kind, change.aspect == Aspect::Setting, *place)
    });
    let changes: Vec<Change> = changes.into_iter().map(|(_, change)| change).collect();
    let mut changes = changes;
    let findings = findings::changed((old, new), &names, &lines, &changes, &missing);
    drop_told(&mut changes, &findings, &lines);
    let groups = groups::groups(&changes, &findings);
    let tests = retest::tests(new, &changes, &renames, &unknown_things);
    let site = after.site.as_ref().or(before.site.as_ref());
    SiteChange {
        old_path: before.root().map(|root| root.path.clone()),
        new_path: after.root().map(|root| root.path.clone()),
        moved: false,
        name: site.map_or_else(String::new, |site| site.name.text.to_owned()),
        title: site
            .map_or_else(String::new, |site| site.title.unwrap_or(site.name.text).to_owned()),
        renames,
        changes,
        findings,
        lines,
        unknown: unknown
            .into_iter()
            .map(|((before, why), figures)| Unknown { before, why, figures })
            .collect(),
        groups,
        tests,
    }
}

type Key = (Thing, Aspect, Words);

struct Comparison<'c, 's, 'm, 'a> {
    old: &'c Side<'s, 'm, 'a>,
    new: &'c Side<'s, 'm, 'a>,
    names: &'c NewNames,
    lines: &'c [LineChange],
    /// What the older and the newer side lack.
    missing: &'c (Missing, Missing),
    out: Vec<(usize, Change)>,
    unknown: BTreeMap<(bool, String), usize>,
    unknown_things: BTreeSet<Thing>,
}

impl Comparison<'_, '_, '_, '_> {
    fn figures(&mut self) {
        let (old, new) = (self.old, self.new);
        let mut keys: BTreeMap<Key, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (index, figure) in old.sheet.figures.iter().enumerate() {
            let thing = figure.thing.mapped(self.names);
            let key = (thing, figure.aspect, figure.detail.mapped(self.names));
            keys.entry(key).or_default().0.push(index);
        }
        for (index, figure) in new.sheet.figures.iter().enumerate() {
            let key = (figure.thing.clone(), figure.aspect, figure.detail.clone());
            keys.entry(key).or_default().1.push(index);
        }
        let (gone, fresh) = self.come_and_gone(&keys);
        for (key, (mut was, mut is)) in keys {
            self.drop_same(&mut was, &mut is);
            let (mut was, mut is) = (was.into_iter(), is.into_iter());
            loop {
                let (was, is) = (was.next(), is.next());
                if was.is_none() && is.is_none() {
                    break;
                }
                self.one(&key, was, is, &gone, &fresh);
            }
        }
        self.drop_explained();
    }

    /// The things that are on one side only.
    fn come_and_gone(
        &self,
        keys: &BTreeMap<Key, (Vec<usize>, Vec<usize>)>,
    ) -> (BTreeSet<Thing>, BTreeSet<Thing>) {
        let mut out = (BTreeSet::new(), BTreeSet::new());
        for ((thing, aspect, _), (was, is)) in keys {
            if !matches!(aspect, Aspect::Fitted | Aspect::Rehearsal) {
                continue;
            }
            match (was.is_empty(), is.is_empty()) {
                (false, true) => out.0.insert(thing.clone()),
                (true, false) => out.1.insert(thing.clone()),
                _ => false,
            };
        }
        out
    }

    /// Figures of one key that say the same on both sides.
    fn drop_same(&self, was: &mut Vec<usize>, is: &mut Vec<usize>) {
        // A name that is not there is a word like any other.
        let bare = !self.missing.0.is_nothing() || !self.missing.1.is_nothing();
        was.retain(|was| {
            let Some(old) = self.old.sheet.figures.get(*was) else { return false };
            let same = is.iter().position(|is| {
                let new = self.new.sheet.figures.get(*is);
                new.is_some_and(|new| same(&old.value, &new.value, self.names, bare))
            });
            same.map(|index| is.remove(index)).is_none()
        });
    }

    fn one(
        &mut self,
        key: &Key,
        was: Option<usize>,
        is: Option<usize>,
        gone: &BTreeSet<Thing>,
        fresh: &BTreeSet<Thing>,
    ) {
        let (thing, aspect, detail) = key;
        let old = was.and_then(|was| self.old.sheet.figures.get(was));
        let new = is.and_then(|is| self.new.sheet.figures.get(is));
        let place = is.or(was).unwrap_or(0);
        if self.cannot_tell(key, old, new) {
            return;
        }
        // What is said of a thing that came or went is said with the thing itself, except for limits
        // that it crosses.
        let own = matches!(aspect, Aspect::Fitted | Aspect::Rehearsal);
        let about_one = thing.kind != ThingKind::Cause || !thing.name.to_string().contains(", ");
        let names = thing.name.names();
        let holds = |set: &BTreeSet<Thing>| {
            set.contains(thing)
                || matches!(thing.kind, ThingKind::Cause | ThingKind::Contact)
                    && about_one
                    && set.iter().any(|one| names.contains(&one.name.bare()))
        };
        let single = old.is_none() != new.is_none();
        // What a contact carries says as much as its share of the rating.
        // When a cause comes is told with what it sets off.
        let said_already = single && matches!(aspect, Aspect::Load | Aspect::Comes)
            // A part or a recording that is there on one side only is told with what it does.
            || single && *aspect == Aspect::Said && self.is_not_of_other(thing, old.is_some());
        let came_or_went = single && !own && (holds(gone) || holds(fresh));
        let commands = self.commands(thing);
        let weight = match (old, new) {
            (Some(old), Some(new)) => weight::of_values(*aspect, &old.value, &new.value),
            (Some(old), None) => weight::of_one(old, commands),
            (None, Some(new)) => weight::of_one(new, commands).turned(),
            (None, None) => return,
        };
        if (came_or_went || said_already) && !matches!(weight, Weight::Crossed | Weight::Mended) {
            return;
        }
        let causes = self.causes(old, new);
        let told = |side: &Side<'_, '_, '_>, figure: &Figure| Told {
            thing: figure.thing.clone(),
            detail: figure.detail.clone(),
            value: figure.value.clone(),
            at: figure.at.and_then(|at| Spot::of(side.facts.model, at)),
        };
        let change = Change {
            thing: thing.clone(),
            aspect: *aspect,
            detail: detail.clone(),
            weight,
            before: old.map(|old| told(self.old, old)),
            after: new.map(|new| told(self.new, new)),
            hours: None,
            causes,
        };
        match (old.map(|old| &old.value), new.map(|new| &new.value)) {
            (Some(Value::Hours { covered: was, .. }), Some(Value::Hours { covered: is, .. }))
                if *aspect != Aspect::Comes =>
            {
                for hours in hours(was, is) {
                    // That people are there protects nothing.
                    let neither = commands || thing.kind == ThingKind::Site;
                    let weight = match (neither, hours.gone) {
                        (true, _) => Weight::Changed,
                        (false, true) => Weight::Lost,
                        (false, false) => Weight::Gained,
                    };
                    self.out.push((place, Change { weight, hours: Some(hours), ..change.clone() }));
                }
            }
            _ => self.out.push((place, change)),
        }
    }

    /// Whether a side cannot be read where the figure should be.
    fn cannot_tell(&mut self, key: &Key, old: Option<&Figure>, new: Option<&Figure>) -> bool {
        let sides = [
            (true, self.old, old, new, &self.missing.0),
            (false, self.new, new, old, &self.missing.1),
        ];
        for (before, side, figure, other, missing) in sides {
            let faulty = faulty(side);
            let undated = undated(figure) && !undated(other);
            if !faulty && missing.is_nothing() && !undated {
                continue;
            }
            let lacks = missing.why(old, new, self.names, figure.is_some());
            let why = match figure.map(|figure| &figure.value) {
                Some(Value::NotKnown(why)) => why.to_string(),
                _ if undated => "its holidays could not be read".to_owned(),
                None if faulty && self.in_doubt(side, before, key, other)
                    || missing.hides_things() =>
                {
                    "the lines that say it cannot be read".to_owned()
                }
                _ => match lacks {
                    Some(why) => why.to_owned(),
                    None => continue,
                },
            };
            *self.unknown.entry((before, why)).or_default() += 1;
            self.unknown_things.insert(key.0.clone());
            return true;
        }
        false
    }

    /// Whether a figure that a side lacks may stand where that side cannot be read.
    fn in_doubt(
        &self,
        side: &Side<'_, '_, '_>,
        before: bool,
        (thing, _, detail): &Key,
        other: Option<&Figure>,
    ) -> bool {
        let doubt = &side.facts.doubt;
        let own = |words: &Words| {
            // By the name that this side uses.
            let found = other.map(|other| {
                let (thing, detail) = (&other.thing.name, &other.detail);
                [thing.names(), detail.names()].concat()
            });
            let both = [words.names(), found.unwrap_or_default()].concat();
            let mut older = self.names.iter().filter(|(_, new)| before && both.contains(new));
            both.iter().any(|name| doubt.mentions(name))
                || older.any(|((_, old), _)| doubt.mentions(old))
        };
        if doubt.missing_file() || own(&thing.name) || own(detail) {
            return true;
        }
        side.sheet.figures.iter().any(|figure| {
            let of = if before { figure.thing.mapped(self.names) } else { figure.thing.clone() };
            of == *thing && figure.at.is_some_and(|at| doubt.holds(at))
        })
    }

    /// Whether the side that lacks a figure of a part or a recording has no such thing at all.
    fn is_not_of_other(&self, thing: &Thing, old: bool) -> bool {
        let other = if old { self.new } else { self.old };
        let mut all = other.sheet.figures.iter();
        let of = |figure: &Figure| {
            if old { figure.thing == *thing } else { figure.thing.mapped(self.names) == *thing }
        };
        matches!(thing.kind, ThingKind::Part | ThingKind::Recorder) && !all.any(of)
    }

    /// Whether a zone, or a cause that is a zone, only commands.
    fn commands(&self, thing: &Thing) -> bool {
        let purposes = |side: &Side<'_, '_, '_>, mapped: bool| {
            let zones = side.facts.model.zones.iter();
            zones
                .filter(|zone| {
                    let name = Words::thing(zone.name.text);
                    let name = if mapped { name.mapped(self.names) } else { name };
                    name == thing.name
                })
                .any(|zone| {
                    zone.tree.purpose.is_some_and(|purpose| purpose.value == Purpose::Command)
                })
        };
        matches!(thing.kind, ThingKind::Zone | ThingKind::Cause)
            && (purposes(self.old, true) || purposes(self.new, false))
    }

    /// The changed lines on which a figure depends on either side: those of the thing itself first,
    /// then lines that were there and are there, then what came and went.
    fn causes(&self, old: Option<&Figure>, new: Option<&Figure>) -> Vec<usize> {
        let serves = |line: &LineChange| {
            let of = |figure: Option<&Figure>, before: bool| {
                let needs = figure.iter().flat_map(|figure| figure.needs.iter());
                needs.into_iter().any(|need| line.serves(need, before))
            };
            of(old, true) || of(new, false)
        };
        let all = self.lines.iter().enumerate().filter(|(_, line)| serves(line));
        let mut out: Vec<usize> = all.map(|(index, _)| index).collect();
        // The first line of an item that is new or gone stands for all of it.
        let heads: Vec<(String, String)> = out
            .iter()
            .filter_map(|index| self.lines.get(*index))
            .filter(|line| line.is_head())
            .map(|line| (line.item.clone(), line.name.clone()))
            .collect();
        out.retain(|index| {
            self.lines.get(*index).is_some_and(|line| {
                line.is_head()
                    || !line.is_one_sided()
                    || !heads.contains(&(line.item.clone(), line.name.clone()))
            })
        });
        let thing = new.or(old).map(|figure| &figure.thing);
        let own = thing.map(|thing| (thing.kind.item(), thing.name.bare()));
        out.sort_by_key(|index| {
            let line = self.lines.get(*index);
            let rank = line.map_or(3, |line| match &own {
                Some((item, name)) if line.item == *item && line.name == *name => 0,
                _ if line.before.is_some() && line.after.is_some() => 1,
                _ => 2,
            });
            (rank, *index)
        });
        out
    }

    /// Hours in which a zone is not armed are told once, as such.
    fn drop_explained(&mut self) {
        let mut armed: BTreeMap<Words, i64> = BTreeMap::new();
        for (_, change) in &self.out {
            if let (Aspect::Armed, Some(hours)) = (change.aspect, &change.hours) {
                let minutes = i64::from(hours.week_minutes) * if hours.gone { 1 } else { -1 };
                *armed.entry(change.thing.name.clone()).or_default() += minutes;
            }
        }
        let number = |told: &Option<Told>| match told.as_ref().map(|told| &told.value) {
            Some(Value::Number { value, .. }) => Some(*value),
            _ => None,
        };
        self.out.retain(|(_, change)| {
            let Some(minutes) = armed.get(&change.thing.name) else { return true };
            let (Some(was), Some(is)) = (number(&change.before), number(&change.after)) else {
                return true;
            };
            #[expect(clippy::cast_precision_loss, reason = "a week has 10,080 minutes")]
            let told = *minutes as f64 * 60_000.0;
            change.aspect != Aspect::Deaf || (is - was - told).abs() > 0.5
        });
    }
}

/// What a line says is told for itself where nothing else that is told comes from the line.
fn drop_told(changes: &mut Vec<Change>, findings: &[FindingChange], lines: &[LineChange]) {
    let at = |told: &Option<Told>| told.as_ref().and_then(|told| told.at.clone());
    let spot = |line: &Option<lines::Line>| line.as_ref().map(|line| line.spot.clone());
    let mut told: BTreeSet<usize> = BTreeSet::new();
    // A rehearsal may hang on any line, so it tells of none but its own.
    let tells =
        changes.iter().filter(|one| !matches!(one.aspect, Aspect::Said | Aspect::Rehearsal));
    told.extend(tells.flat_map(|change| &change.causes));
    told.extend(findings.iter().flat_map(|finding| &finding.causes));
    changes.retain_mut(|change| {
        // How the time of outputs is counted is seen in few figures, and has to be tried all the same.
        if change.aspect != Aspect::Said || change.detail.bare() == "on-time" {
            return true;
        }
        let of = |line: &LineChange| {
            let (before, after) = (at(&change.before), at(&change.after));
            before.is_some() && before == spot(&line.before)
                || after.is_some() && after == spot(&line.after)
        };
        let own = |index: &usize| lines.get(*index).is_some_and(of);
        let tells = !told.iter().any(own);
        if change.causes.iter().any(own) {
            change.causes = change.causes.iter().copied().filter(own).collect();
        }
        tells
    });
}

fn faulty(side: &Side<'_, '_, '_>) -> bool {
    let sources = side.facts.model.sources().iter();
    side.facts.doubt.missing_file()
        || sources.into_iter().any(|source| !source.parsed.faults.is_empty())
}

/// Whether the hours of a figure are not known on dates.
fn undated(figure: Option<&Figure>) -> bool {
    matches!(figure.map(|one| &one.value), Some(Value::Hours { covered, .. }) if covered.dates.is_none())
}

/// Whether two values say the same, as far as people read them.
fn same(old: &Value, new: &Value, names: &NewNames, bare: bool) -> bool {
    match (old, new) {
        (Value::Words { text: was, fine: old }, Value::Words { text: is, fine: new }) => {
            let unnamed = || was.names().len() != is.names().len() && was.bare() == is.bare();
            old == new && (was.mapped(names) == *is || bare && unnamed())
        }
        (Value::Hours { covered: was, .. }, Value::Hours { covered: is, .. }) => was == is,
        (Value::NotKnown(_), Value::NotKnown(_)) => true,
        (Value::Number { .. }, Value::Number { .. })
        | (Value::Window { .. }, Value::Window { .. }) => {
            old.shown() == new.shown() && old.limit() == new.limit()
        }
        _ => false,
    }
}

/// The hours that went and those that came.
fn hours(was: &Covered, is: &Covered) -> Vec<HoursChange> {
    let strip = Strip::of(was, is);
    let one = |gone: bool, from: &Covered, to: &Covered| {
        let left = from.minus(to);
        (!left.is_empty()).then(|| HoursChange {
            gone,
            week_minutes: left.week.minutes(),
            week: left.week.to_string(),
            dated_minutes: left.dates.minutes(),
            dates: left.dates.iter().map(|span| span.to_string()).collect(),
            strip: strip.clone().filter(|_| !left.week.is_empty()),
        })
    };
    [one(true, was, is), one(false, is, was)].into_iter().flatten().collect()
}
