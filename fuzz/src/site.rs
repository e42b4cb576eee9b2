//! A text as a site of a workspace in memory, beside the parts and policies of the examples.

use curtilage_facts::Options;
use curtilage_model::Scope;
use curtilage_project::{Loader, scope};
use curtilage_syntax::tree::Date;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// The day on which everything takes place.
pub(crate) const TODAY: Date = Date { year: 2026, month: 11, day: 25 };

/// What is worked out on that day.
pub(crate) const OPTIONS: Options = Options { today: TODAY };

/// The line between two texts of one input.
const RULER: &str = "\n====\n";

const SHARED: [(&str, &str); 4] = [
    ("parts/general.site", include_str!("../../examples/parts/general.site")),
    ("policy/house.site", include_str!("../../examples/policy/house.site")),
    ("policy/strict.site", include_str!("../../examples/policy/strict.site")),
    ("sites/days.ics", include_str!("../seeds/import/days.ics")),
];

/// Nothing is there, so nothing is read from a disk.
const ROOT: &str = "/nowhere";

static LOADER: LazyLock<Loader> = LazyLock::new(|| {
    let mut loader = Loader::new(PathBuf::from(ROOT));
    for (path, text) in SHARED {
        loader.overlay(Path::new(ROOT).join(path), text);
    }
    loader
});

/// The path of the site.
pub(crate) fn path() -> PathBuf {
    Path::new(ROOT).join("sites/a.site")
}

/// A workspace with these bytes as its site. What is shared is parsed once for all inputs.
pub(crate) fn loader(bytes: &[u8]) -> Loader {
    let mut loader = LOADER.clone();
    // What other inputs looked for in vain is not kept.
    loader.forget(&["/"]);
    loader.overlay(path(), bytes);
    loader
}

/// What the site sees.
pub(crate) fn scope_of(bytes: &[u8]) -> Option<Scope> {
    scope(&loader(bytes), &path()).ok()
}

/// The texts before and after a line of `====`.
pub(crate) fn two(bytes: &[u8]) -> (String, Option<String>) {
    let text = String::from_utf8_lossy(bytes);
    match text.split_once(RULER) {
        Some((first, second)) => (format!("{first}\n"), Some(second.to_owned())),
        None => (text.into_owned(), None),
    }
}

/// A number that hangs on every byte: a choice that an input makes.
pub(crate) fn choice(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}
