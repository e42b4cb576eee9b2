//! Examples with mistakes in them: a model is always built, what it names stands where it says, and
//! the order of the files that are used changes nothing.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    reason = "a test reads the examples"
)]

use curtilage_model::{Model, Named, Scope, Source, build};
use curtilage_syntax::parse;
use curtilage_testkit::{root, site_files};
use curtilage_text::FileId;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Numbers that look like chance and are the same on every run.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        usize::try_from(self.0 >> 33).unwrap() % below
    }
}

fn source(file: u32, text: &str) -> Arc<Source> {
    let path = format!("{file}.site");
    Arc::new(Source::new(FileId(file), path, text.to_owned(), parse(text, &[]), None))
}

/// A line lost, said twice or in another's place; a word of another line in the place of one.
fn mistake(text: &str, dice: &mut Dice) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let (at, from) = (dice.roll(lines.len()), dice.roll(lines.len()));
    match dice.roll(4) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, lines[from].clone()),
        2 => lines.swap(at, from),
        _ => {
            let words: Vec<&str> = lines[from].split_whitespace().collect();
            let Some(word) = words.get(dice.roll(words.len().max(1))) else { return text.into() };
            let mut changed: Vec<&str> = lines[at].split(' ').collect();
            let place = dice.roll(changed.len());
            changed[place] = word;
            lines[at] = changed.join(" ");
        }
    }
    lines.join("\n") + "\n"
}

/// The names of everything that the model has.
fn named<'a>(model: &Model<'a>) -> Vec<Named<'a>> {
    let mut out: Vec<Named<'a>> = model.site.iter().map(|site| site.name).collect();
    out.extend(model.parts.iter().map(|one| one.name));
    out.extend(model.schedules.iter().map(|one| one.name));
    out.extend(model.supplies.iter().map(|one| one.name));
    out.extend(model.controllers.iter().map(|one| one.name));
    out.extend(model.relays.iter().map(|one| one.name));
    out.extend(model.cables.iter().map(|one| one.name));
    out.extend(model.zones.iter().map(|one| one.name));
    out.extend(model.outputs.iter().map(|one| one.name));
    out.extend(model.cameras.iter().map(|one| one.name));
    out
}

/// The faults, in the order of their places.
fn faults(model: &Model<'_>) -> BTreeSet<String> {
    model.faults.iter().map(|fault| format!("{:?} {:?}", fault.at, fault.kind)).collect()
}

#[test]
fn a_model_of_any_site_says_where_its_names_stand() {
    let read = |path: &str| std::fs::read_to_string(root().join("examples").join(path)).unwrap();
    let used = [source(1, &read("parts/general.site")), source(2, &read("policy/house.site"))];
    let mut dice = Dice(5);
    let (mut names, mut wrong) = (0, 0);
    let sites = [site_files("examples/sites"), site_files("examples/faulty")].concat();
    for path in sites {
        let whole = std::fs::read_to_string(&path).unwrap();
        for _ in 0..8 {
            let mut text = whole.clone();
            for _ in 0..dice.roll(6) {
                text = mistake(&text, &mut dice);
            }
            let first = source(0, &text);
            let [parts, policy] = used.clone();
            let files = vec![Arc::clone(&first), Arc::clone(&parts), Arc::clone(&policy)];
            let scope = Scope { files, ..Scope::default() };
            let model = build(&scope);
            for name in named(&model) {
                assert_eq!(model.text(name.at), name.text, "{}\n{text}", path.display());
                names += 1;
            }
            for fault in &model.faults {
                assert_eq!(fault.at.file, FileId(0), "only what is wrong in the root is told");
                let range = fault.at.span.start as usize..fault.at.span.end as usize;
                assert!(text.get(range).is_some(), "{fault:?}");
                wrong += 1;
            }
            let files = vec![first, policy, parts];
            let other = Scope { files, ..Scope::default() };
            assert_eq!(faults(&model), faults(&build(&other)), "{}\n{text}", path.display());
        }
    }
    assert!(names > 10_000 && wrong > 1000, "{names} names, {wrong} faults");
}
