//! The workspace root, and the site files below a path.

use crate::ENDING;
use std::io;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// A file of this name marks the root of a workspace; it may be empty.
pub(crate) const MARKER: &str = "workspace.site";

/// The site files below some paths.
#[derive(Debug, Default)]
pub struct Discovered {
    /// Files, in order of path, each once.
    pub files: Vec<PathBuf>,
    /// Calendars (`*.ics`) beside them, in order of path.
    pub calendars: Vec<PathBuf>,
    /// Paths that could not be looked into, and why.
    pub problems: Vec<(PathBuf, String)>,
}

/// The root of the workspace in which a path lies: the nearest folder above that has a
/// `workspace.site`, otherwise the nearest that has a version-control folder (`.git`), otherwise
/// the folder of the path itself.
///
/// # Errors
/// When the path does not exist or cannot be resolved.
pub fn workspace_root(path: &Path) -> io::Result<PathBuf> {
    let path = path.canonicalize()?;
    let folder = if path.is_dir() { path.as_path() } else { path.parent().unwrap_or(&path) };
    Ok(marked_root(folder).unwrap_or_else(|| folder.to_path_buf()))
}

/// The nearest folder, from this one up, that is marked as a workspace root, or else the nearest
/// that has a version-control folder.
#[must_use]
pub fn marked_root(folder: &Path) -> Option<PathBuf> {
    let marked = |mark: &str| {
        folder.ancestors().find(|above| above.join(mark).exists()).map(Path::to_path_buf)
    };
    marked(MARKER).or_else(|| marked(".git"))
}

/// Finds the site files below each path: a file stands for itself, whatever its ending; a folder
/// for all `*.site` files in it, hidden folders and links to folders apart.
#[must_use]
pub fn discover(paths: &[PathBuf]) -> Discovered {
    let mut out = Discovered::default();
    for path in paths {
        if path.is_file() {
            out.files.push(path.clone());
            continue;
        }
        let walk = WalkDir::new(path).sort_by_file_name().into_iter().filter_entry(|entry| {
            let hidden = entry.file_name().to_str().is_some_and(|name| name.starts_with('.'));
            entry.depth() == 0 || !(hidden && entry.file_type().is_dir())
        });
        for entry in walk {
            match entry {
                Ok(entry) => {
                    let ends = |with: &str| entry.path().extension().is_some_and(|end| end == with);
                    let (is_site, is_calendar) = (ends(ENDING), ends("ics"));
                    if (is_site || is_calendar) && entry.path().is_file() {
                        let list = if is_site { &mut out.files } else { &mut out.calendars };
                        list.push(entry.into_path());
                    }
                }
                Err(error) => {
                    let at = error.path().unwrap_or(path).to_path_buf();
                    let why =
                        error.io_error().map_or_else(|| error.to_string(), ToString::to_string);
                    out.problems.push((at, why));
                }
            }
        }
    }
    let mut seen = std::collections::HashSet::new();
    out.files.retain(|file| seen.insert(file.canonicalize().unwrap_or_else(|_| file.clone())));
    out
}
