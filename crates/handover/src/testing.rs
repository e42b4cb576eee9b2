//! Sites for the tests of this crate: the examples, and texts that stand beside them.

use curtilage_facts::{Facts, Options};
use curtilage_project::{Loader, scope};
use curtilage_syntax::tree::Date;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

pub(crate) const DAY: Date = Date { year: 2026, month: 11, day: 25 };

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// The example sites, by path from the root.
pub(crate) fn examples(folder: &str) -> Vec<String> {
    let found = walk(&root().join("examples").join(folder));
    let root = root();
    let shown = |path: PathBuf| path.strip_prefix(&root).unwrap().display().to_string();
    let mut out: Vec<String> = found.into_iter().map(shown).collect();
    out.sort();
    out
}

#[expect(clippy::disallowed_methods, reason = "a test reads the examples")]
fn walk(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(walk(&path));
        } else if path.extension().is_some_and(|end| end == "site") {
            out.push(path);
        }
    }
    out
}

/// Does something with the facts of a file of the repository.
pub(crate) fn with_file<R>(path: &str, job: impl FnOnce(&Facts<'_, '_>) -> R) -> R {
    let root = root();
    run(&Loader::new(root.clone()), &root.join(path), job)
}

/// Does something with the facts of a text that stands in the folder of the example sites.
pub(crate) fn with_text<R>(text: &str, job: impl FnOnce(&Facts<'_, '_>) -> R) -> R {
    let path = root().join("examples/sites/of-a-test.site");
    let mut loader = Loader::new(root());
    loader.overlay(path.clone(), text.as_bytes().to_vec());
    run(&loader, &path, job)
}

fn run<R>(loader: &Loader, path: &Path, job: impl FnOnce(&Facts<'_, '_>) -> R) -> R {
    let scope = scope(loader, path).unwrap();
    let model = curtilage_model::build(&scope);
    job(&Facts::new(&model, Options { today: DAY }))
}

/// A site with a supply and a controller, and what a test adds to it.
pub(crate) fn site(more: &str) -> String {
    format!(
        "use \"../parts/general.site\"\nsite a \"A\" {{\n    timezone Europe/Lisbon\n    ambient 0 to 30 degC\n    people owner\n    people guard\n}}\nschedule selling {{\n    Mon to Sat 09:00 to 19:00\n}}\nschedule shut is not selling\nsupply main is boxed-supply-12v-5a {{\n    battery sealed-17ah\n}}\ncontroller panel is panel-16-in-6-out {{\n    fed from main over 2 m of pair-1.0\n}}\n{more}"
    )
}

/// A site with so many zones on panels of sixteen, a siren on each, a response for every four.
pub(crate) fn large(zones: usize) -> String {
    let mut text = String::from(
        "use \"../parts/general.site\"\nuse \"../policy/house.site\"\nsite large \"A large site\" {\n    timezone Europe/Lisbon\n    ambient 0 to 35 degC\n    area hall\n    area yard\n    people guard\n}\nschedule night {\n    Mon to Sun 20:00 to 06:00\n}\n",
    );
    for panel in 0..zones.div_ceil(16) {
        if panel % 8 == 0 {
            let _ = writeln!(
                text,
                "supply main-{} is boxed-supply-12v-10a {{\n    battery 2 of sealed-65ah\n}}",
                panel / 8
            );
        }
        let supply = format!("main-{}", panel / 8);
        let _ = writeln!(
            text,
            "controller p{panel} is panel-16-in-6-out {{\n    fed from {supply} over 10 m of pair-2.5\n}}\noutput siren-{panel} drives sounder-12v {{\n    through p{panel}.relay1 closing\n    fed from {supply} over 20 m of pair-1.5\n    fuse 1 A\n    area yard\n    runs at most 10 min\n}}"
        );
    }
    for zone in 0..zones {
        let (panel, input) = (zone / 16, zone % 16 + 1);
        let area = if zone % 2 == 0 { "hall" } else { "yard" };
        let _ = writeln!(
            text,
            "zone z{zone} \"Window number {zone}\" is window-reed {{\n    purpose intrusion\n    area {area}\n    wired to p{panel}.in{input} over 30 m of six-core-0.22\n    ends across 2.2 kohm +-1 %, in (tamper across 4.7 kohm +-1 %), in 2.2 kohm +-1 %\n    armed night\n    registers once an activation\n    lockout 5 s\n}}"
        );
    }
    for group in 0..zones.div_ceil(4) {
        let last = (group * 4 + 4).min(zones);
        let names: Vec<String> = (group * 4..last).map(|zone| format!("z{zone}")).collect();
        let siren = group / 4;
        let _ = writeln!(
            text,
            "response to {} {{\n    close siren-{siren} for 3 min\n    tell guard\n}}",
            names.join(", ")
        );
    }
    text
}

/// A site in which every text tries to be something else, and a good deal is missing.
pub(crate) const ODD: &str = include_str!("../../../tests/papers/odd.site");
