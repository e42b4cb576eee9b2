//! The workspace root, and the site files below a path.

use crate::ENDING;
use std::collections::{HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// A file of this name marks the root of a workspace; it may be empty.
pub(crate) const MARKER: &str = "workspace.site";

/// The site files below some paths.
#[derive(Debug, Default)]
pub struct Discovered {
    /// Files, in order of path, each once, with links followed.
    pub files: Vec<PathBuf>,
    /// Calendars (`*.ics`) beside them, in order of path, with links followed.
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
/// for all `*.site` files in it, hidden folders and links to folders apart. A link in a folder that
/// leads out of its workspace is told and not followed: whoever made the folder must not choose what
/// else is read, or written.
#[must_use]
pub fn discover(paths: &[PathBuf]) -> Discovered {
    let mut out = Discovered::default();
    let mut folders = Folders::default();
    for path in paths {
        if path.is_file() {
            out.files.push(resolved(path));
            continue;
        }
        let root = workspace_root(path);
        let leads_out = |link: &Path| match (&root, link.canonicalize()) {
            (Ok(root), Ok(target)) => !target.starts_with(root),
            _ => true,
        };
        let walk = WalkDir::new(path).sort_by_file_name().into_iter().filter_entry(|entry| {
            let hidden = entry.file_name().to_str().is_some_and(|name| name.starts_with('.'));
            entry.depth() == 0 || !(hidden && entry.file_type().is_dir())
        });
        for entry in walk {
            match entry {
                Ok(entry) => {
                    let ends = |with: &str| entry.path().extension().is_some_and(|end| end == with);
                    let (is_site, is_calendar) = (ends(ENDING), ends("ics"));
                    if !(is_site || is_calendar) {
                        continue;
                    }
                    let file = if entry.file_type().is_file() {
                        folders.resolved(entry.path())
                    } else if !entry.path().is_file() {
                        continue;
                    } else if entry.path_is_symlink() && leads_out(entry.path()) {
                        let why = "it is a link that leads out of the workspace";
                        out.problems.push((entry.into_path(), why.to_owned()));
                        continue;
                    } else {
                        resolved(entry.path())
                    };
                    let list = if is_site { &mut out.files } else { &mut out.calendars };
                    list.push(file);
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
    let mut seen = HashSet::new();
    out.files.retain(|file| seen.insert(file.clone()));
    out
}

/// The path with links followed, where that can be.
fn resolved(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}

/// Folders with links followed. The system is asked once for each: it looks at every part of a path.
#[derive(Default)]
struct Folders(HashMap<PathBuf, PathBuf>);

impl Folders {
    /// The path of a file that is no link itself.
    fn resolved(&mut self, file: &Path) -> PathBuf {
        let (Some(folder), Some(name)) = (file.parent(), file.file_name()) else {
            return resolved(file);
        };
        self.0.entry(folder.to_path_buf()).or_insert_with(|| resolved(folder)).join(name)
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::discover;
    use std::fs;
    use std::os::unix::fs::symlink;

    #[test]
    fn a_link_that_leads_out_is_told_and_not_followed() {
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let (here, out) = (folder.path().canonicalize().unwrap(), other.path());
        fs::write(here.join("a.site"), "").unwrap();
        fs::write(out.join("secret"), "").unwrap();
        fs::write(out.join("b.site"), "").unwrap();
        symlink(out.join("secret"), here.join("link.site")).unwrap();
        symlink(out, here.join("folder")).unwrap();
        symlink("a.site", here.join("same.site")).unwrap();
        symlink("nowhere", here.join("broken.site")).unwrap();
        let found = discover(std::slice::from_ref(&here));
        assert_eq!(found.files, [here.join("a.site")]);
        let told: Vec<_> = found.problems.iter().map(|(path, _)| path.clone()).collect();
        assert_eq!(told, [here.join("link.site")]);
        // Two ways to one file are one file.
        let twice = discover(&[
            here.clone(),
            here.join("same.site"),
            here.join("../").join(here.file_name().unwrap()),
        ]);
        assert_eq!(twice.files, found.files);
        // What is named is meant.
        let named = discover(&[here.join("link.site")]);
        assert_eq!(named.files, [out.canonicalize().unwrap().join("secret")]);
    }
}
