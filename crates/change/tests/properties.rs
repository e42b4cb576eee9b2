//! What holds for every change: nothing changed is told as nothing, order and spacing mean nothing,
//! and a change turned round is the same change turned round.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "a test reads the examples"
)]

use curtilage_change::{SiteChange, Weight, compare};
use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_testkit::{TODAY, root, site_files};
use std::path::{Path, PathBuf};

/// A version of a site: the text of a file of the repository, as it is or with other words.
struct Version {
    path: PathBuf,
    text: String,
}

impl Version {
    fn of(path: &Path) -> Self {
        Self { path: path.canonicalize().unwrap(), text: std::fs::read_to_string(path).unwrap() }
    }

    fn with(&self, text: String) -> Self {
        Self { path: self.path.clone(), text }
    }
}

fn change(old: &Version, new: &Version) -> SiteChange {
    let scope_of = |version: &Version| {
        let mut loader = Loader::new(root());
        loader.overlay(version.path.clone(), version.text.clone());
        scope(&loader, &version.path).unwrap()
    };
    let (old, new) = (scope_of(old), scope_of(new));
    let (old, new) = (curtilage_model::build(&old), curtilage_model::build(&new));
    let options = Options { today: TODAY };
    let (old, new) = (Facts::new(&old, options), Facts::new(&new, options));
    let (was, is) = (curtilage_rules::check(&old), curtilage_rules::check(&new));
    compare((&old, &was), (&new, &is))
}

fn examples() -> Vec<Version> {
    let files: Vec<Version> =
        site_files("examples/sites").iter().map(|path| Version::of(path)).collect();
    assert!(files.len() >= 10);
    files
}

/// What is told, with the sides in order.
fn told(change: &SiteChange, turned: bool) -> Vec<(Weight, String, String)> {
    let turn = |weight: Weight| if turned { weight.turned() } else { weight };
    let sides = |before: String, after: String| {
        if turned { (after, before) } else { (before, after) }
    };
    let mut out = Vec::new();
    for change in &change.changes {
        let told = |told: &Option<curtilage_change::Told>| {
            told.as_ref().map_or_else(String::new, |told| {
                format!(
                    "{} {} {} {}",
                    told.thing,
                    change.aspect.word(),
                    told.detail,
                    told.value.shown()
                )
            })
        };
        let (before, after) = sides(told(&change.before), told(&change.after));
        out.push((turn(change.weight), before, after));
    }
    for finding in &change.findings {
        let side = |level: Option<curtilage_diagnostic::Level>| {
            level.map_or_else(String::new, |level| format!("{} {}", level.word(), finding.rule))
        };
        let (before, after) = sides(side(finding.before), side(finding.after));
        // Silencing mends nothing, and what is told again counts as new.
        let weight = if finding.note.is_some() { Weight::Changed } else { finding.weight };
        out.push((turn(weight), before, after));
    }
    for rename in &change.renames {
        let (before, after) = sides(rename.old.clone(), rename.new.clone());
        out.push((Weight::Changed, before, after));
    }
    out.sort();
    out
}

#[track_caller]
fn assert_nothing(change: &SiteChange, what: &str) {
    assert!(change.is_empty(), "{what}: {:#?} {:?}", told(change, false), change.unknown);
    assert!(change.tests.repeat.is_empty(), "{what}: {:?}", change.tests.repeat);
}

#[test]
fn a_site_is_what_it_is() {
    for site in examples() {
        let change = change(&site, &site);
        assert_nothing(&change, &site.path.display().to_string());
        assert_eq!(change.lines, []);
    }
}

/// The items of a file, each with the comment above it.
fn items(text: &str) -> Vec<String> {
    let mut out: Vec<String> = vec![String::new()];
    let mut depth = 0i32;
    for line in text.lines() {
        let current = out.last_mut().unwrap();
        current.push_str(line);
        current.push('\n');
        let code = line.split('#').next().unwrap();
        let goes_on = code.trim_end().ends_with(',');
        depth += i32::try_from(code.matches('{').count()).unwrap();
        depth -= i32::try_from(code.matches('}').count()).unwrap();
        if depth == 0 && !goes_on && !code.trim().is_empty() {
            out.push(String::new());
        }
    }
    out.retain(|item| !item.trim().is_empty());
    out
}

/// Numbers that look like chance and are the same on every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % below
    }
}

#[test]
fn the_order_of_items_and_the_spacing_mean_nothing() {
    let mut dice = Dice(7);
    for site in examples() {
        let mut items = items(&site.text);
        for last in (1..items.len()).rev() {
            items.swap(last, dice.roll(last + 1));
        }
        let shuffled = items.concat();
        assert_ne!(shuffled, site.text);
        let loose = shuffled.replace("    ", "\t  ").replace(" {", "   {");
        let other = site.with(loose);
        assert_nothing(&change(&site, &other), &site.path.display().to_string());
        assert_nothing(&change(&other, &site), &site.path.display().to_string());
    }
}

#[test]
fn a_change_turned_round_is_the_same_change() {
    let mut dice = Dice(11);
    let mut weights = std::collections::BTreeSet::new();
    // The largest site takes as long as all others together.
    let sites = examples().into_iter().filter(|site| site.text.len() < 20_000);
    for site in sites {
        for _ in 0..3 {
            let mut items = items(&site.text);
            match dice.roll(4) {
                0 => drop(items.remove(dice.roll(items.len()))),
                1 => {
                    let index = dice.roll(items.len());
                    let lines: Vec<&str> = items[index].lines().collect();
                    let gone = dice.roll(lines.len());
                    let kept = lines.iter().enumerate().filter(|(line, _)| *line != gone);
                    items[index] = kept.map(|(_, line)| format!("{line}\n")).collect();
                }
                2 => {
                    // The rest of the file is lost in the middle of a line.
                    let whole = items.concat();
                    let cut = (dice.roll(whole.len())..).find(|at| whole.is_char_boundary(*at));
                    items = vec![whole[..cut.unwrap()].to_owned()];
                }
                _ => {
                    let index = dice.roll(items.len());
                    let digit = char::from(b'1' + u8::try_from(dice.roll(8)).unwrap());
                    items[index] = items[index].replace(digit, "9");
                }
            }
            let other = site.with(items.concat());
            let (there, back) = (change(&site, &other), change(&other, &site));
            assert_eq!(
                told(&there, false),
                told(&back, true),
                "{}\n{}",
                site.path.display(),
                other.text
            );
            weights.extend(there.weights());
        }
    }
    assert!(weights.len() >= 4, "the edits reach too little: {weights:?}");
}

/// Where the older side cannot be read, its figures go by its own names.
#[test]
fn a_rename_in_a_line_that_cannot_be_read_is_the_same_both_ways() {
    let site = Version::of(&root().join("examples/faulty/feedback.site"));
    let other = site.with(site.text.replace("people    keyholders", "people    keyholder min"));
    let (there, back) = (change(&site, &other), change(&other, &site));
    assert_eq!(there.renames.len(), 1);
    assert!(!there.unknown.is_empty(), "who is told is not known");
    assert_eq!(told(&there, false), told(&back, true));
}

/// Every name of two sites is changed where it is given, and nowhere else.
#[test]
fn an_old_name_that_is_still_said_is_told_both_ways() {
    let mut tried = 0;
    for path in ["examples/faulty/feedback.site", "examples/sites/farm-shop.site"] {
        let site = Version::of(&root().join(path));
        for line in site.text.lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            let [first, name, ..] = words[..] else { continue };
            let named = ["area", "people", "tap"].contains(&first) && line.starts_with("    ")
                || line.ends_with('{') && !line.starts_with("response") && !name.starts_with('"')
                || first == "schedule";
            let renamed = line.replacen(name, &format!("{name}-anew"), 1);
            if !named || site.text.matches(&format!("{line}\n")).count() != 1 {
                continue;
            }
            tried += 1;
            let other = site.with(site.text.replace(line, &renamed));
            let (there, back) = (change(&site, &other), change(&other, &site));
            assert_eq!(told(&there, false), told(&back, true), "{path}: {line}");
        }
    }
    assert!(tried > 20, "{tried}");
}

#[test]
fn every_change_has_a_cause_in_the_text() {
    for name in ["growth", "regression"] {
        let folder = root().join("examples/changes").join(name);
        let (old, new) =
            (Version::of(&folder.join("before.site")), Version::of(&folder.join("after.site")));
        let change = change(&old, &new);
        assert!(!change.changes.is_empty());
        for one in &change.changes {
            assert!(!one.causes.is_empty(), "{name}: {}", one.sentence());
        }
    }
}
