//! Where the pages of the rules can be read. Without a setting they are put, when one is first
//! linked to, into the user's cache folder, so that every editor can open them without a network.

use crate::address;
use lsp_types::Uri;
use std::collections::HashMap;
use std::path::PathBuf;
use std::str::FromStr;
use std::sync::{Mutex, PoisonError};

/// The pages.
#[derive(Default)]
pub(crate) struct Pages {
    known: Mutex<HashMap<&'static str, Option<Uri>>>,
    folder: Option<PathBuf>,
}

impl Pages {
    /// Pages that are put below a folder.
    pub(crate) fn below(cache: Option<PathBuf>) -> Self {
        let below = ["curtilage", env!("CARGO_PKG_VERSION"), "rules"].iter().collect::<PathBuf>();
        Self { known: Mutex::default(), folder: cache.map(|cache| cache.join(below)) }
    }

    /// The address of a rule's page; `pattern` is an address with `{rule}` in it, if it is set.
    pub(crate) fn address(&self, rule: &'static str, pattern: Option<&str>) -> Option<Uri> {
        if let Some(pattern) = pattern {
            return Uri::from_str(&pattern.replace("{rule}", rule)).ok();
        }
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known.entry(rule).or_insert_with(|| self.written(rule)).clone()
    }

    /// Writes the page, unless it is there as it should be.
    fn written(&self, rule: &'static str) -> Option<Uri> {
        let page = curtilage_rules::rule(rule)?.page;
        let path = self.folder.as_ref()?.join(format!("{rule}.md"));
        if std::fs::read_to_string(&path).ok().as_deref() != Some(page) {
            std::fs::create_dir_all(path.parent()?).ok()?;
            curtilage_project::create(&path, page).ok()?;
        }
        address::uri(&path)
    }
}

/// The folder for what can be made again (XDG Base Directory Specification; on Windows and macOS
/// the places that those name).
pub(crate) fn cache_folder() -> Option<PathBuf> {
    let set =
        |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let home = || set("HOME");
    if cfg!(windows) {
        return set("LOCALAPPDATA");
    }
    if cfg!(target_os = "macos") {
        return home().map(|home| home.join("Library").join("Caches"));
    }
    set("XDG_CACHE_HOME").or_else(|| home().map(|home| home.join(".cache")))
}

#[cfg(test)]
mod tests {
    use super::Pages;

    #[test]
    fn a_page_is_written_once_and_linked() {
        let folder = tempfile::tempdir().unwrap();
        let pages = Pages::below(Some(folder.path().to_path_buf()));
        let there = pages.address("contact-overload", None).unwrap();
        let written = std::fs::read_to_string(there.path().as_str()).unwrap();
        assert_eq!(written, curtilage_rules::rule("contact-overload").unwrap().page);
    }

    #[test]
    fn the_pages_may_be_elsewhere() {
        let pattern = Some("https://intranet.example/rules/{rule}.html");
        let address = Pages::default().address("feedback", pattern).unwrap();
        assert_eq!(address.as_str(), "https://intranet.example/rules/feedback.html");
    }
}
