//! Writes many files into a folder, and never over a file that was not written from here.
//!
//! A list in the folder holds the SHA-256 of each file (`sha256sum -c papers.sha256` checks it). A
//! file that is there is ours when its hash stands in the list; any other, and a link of any kind,
//! is somebody else's. When one of those is in the way, nothing at all is written.
//!
//! Every text is whole on disk before the first takes its place, so a disk that is full changes
//! nothing. While they take their places, a note stands in the folder that some may be old and some
//! new; when a run is cut off just then, the note stays until the next run.

use crate::write::{Staged, stage};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::io;
use std::path::{Component, Path, PathBuf};

/// The list of the files that were written.
pub const LIST: &str = "papers.sha256";

/// The note that a folder is half written.
pub const NOTE: &str = "UNFINISHED.txt";

const NOTE_TEXT: &str =
    "These papers are being written, or a run was cut off: some may be old and some new.
Run `curtilage handover` again; this note goes away when all of them are written.
";

/// Why the folder is not as it should be.
#[derive(Debug)]
pub enum FolderProblem {
    /// Files that were not written from here, or were changed since, are in the way; nothing was
    /// written.
    InTheWay(Vec<String>),
    /// The folder or a file cannot be written; nothing was changed.
    Io(String, io::Error),
    /// A file could not take its place; some are old, some new, and the note in the folder says so.
    HalfWritten(String, io::Error),
}

/// What was done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Published {
    /// Files that are new or have new text.
    pub written: usize,
    /// Files that stood there already.
    pub unchanged: usize,
    /// Files of an earlier run that are not needed any more, and were as we wrote them.
    pub removed: usize,
    /// Files of an earlier run that are not needed any more but were changed since; they stay.
    pub kept: Vec<String>,
}

/// Puts files into a folder, which is made when it is not there.
///
/// # Errors
/// When a file is in the way, or something cannot be written; see [`FolderProblem`].
pub fn publish(folder: &Path, files: &[(String, String)]) -> Result<Published, FolderProblem> {
    let known = listed(folder);
    let mut in_the_way = Vec::new();
    let mut todo = Vec::new();
    let mut out = Published::default();
    for (name, text) in files {
        let path = below(folder, name)
            .ok_or_else(|| io_error(name, io::Error::other("it leads out of the folder")))?;
        match state(folder, name, &path, &known) {
            State::Missing | State::Ours if same(&path, text) => out.unchanged += 1,
            State::Missing | State::Ours => todo.push((path, name, text)),
            State::Foreign if same(&path, text) && is_plain(folder, name) => out.unchanged += 1,
            State::Foreign => in_the_way.push(name.clone()),
        }
    }
    // The list itself may be somebody else's too.
    let list = folder.join(LIST);
    if list.symlink_metadata().is_ok() && known.is_empty() {
        in_the_way.push(LIST.to_owned());
    }
    let note = folder.join(NOTE);
    let noted = note.symlink_metadata().is_ok();
    if noted && !(same(&note, NOTE_TEXT) && is_plain(folder, NOTE)) {
        in_the_way.push(NOTE.to_owned());
    }
    if !in_the_way.is_empty() {
        return Err(FolderProblem::InTheWay(in_the_way));
    }
    std::fs::create_dir_all(folder).map_err(|error| io_error(&folder.display(), error))?;
    let new: BTreeMap<&str, String> =
        files.iter().map(|(name, text)| (name.as_str(), hash(text.as_bytes()))).collect();
    let mut ready = Vec::new();
    for (path, name, text) in todo {
        let folder = path.parent().unwrap_or(folder);
        std::fs::create_dir_all(folder).map_err(|error| io_error(name, error))?;
        ready.push((name, staged(name, &path, text)?));
    }
    let mut gone = Vec::new();
    for name in known.keys().filter(|name| !new.contains_key(name.as_str())) {
        let Some(path) = below(folder, name) else { continue };
        match state(folder, name, &path, &known) {
            State::Missing => {}
            State::Ours => gone.push((name, path)),
            State::Foreign => out.kept.push(name.clone()),
        }
    }
    let lines = |hashes: BTreeSet<(&str, &str)>| -> String {
        hashes.iter().map(|(name, hash)| format!("{hash}  {name}\n")).collect()
    };
    let only = new.iter().map(|(name, hash)| (*name, hash.as_str()));
    // While files take their places the list names what was and what will be, so that a run that
    // is cut off leaves no file that the next one takes for somebody else's.
    let old =
        known.iter().flat_map(|(name, all)| all.iter().map(|hash| (name.as_str(), hash.as_str())));
    let both = lines(old.chain(only.clone()).collect());
    let only = lines(only.collect());
    if ready.is_empty() && gone.is_empty() && same(&list, &only) && !noted {
        return Ok(out);
    }
    let first = [(LIST, staged(LIST, &list, &both)?), (NOTE, staged(NOTE, &note, NOTE_TEXT)?)];
    let last = staged(LIST, &list, &only)?;
    for (name, text) in first {
        text.put().map_err(|error| io_error(&name, error))?;
    }
    (out.written, out.removed) = (ready.len(), gone.len());
    for (name, text) in ready {
        text.put().map_err(|error| half(name, error))?;
    }
    for (name, path) in gone {
        std::fs::remove_file(&path).map_err(|error| half(name, error))?;
    }
    last.put().map_err(|error| half(LIST, error))?;
    std::fs::remove_file(&note).map_err(|error| half(NOTE, error))?;
    Ok(out)
}

fn half(name: &str, error: io::Error) -> FolderProblem {
    FolderProblem::HalfWritten(name.to_owned(), error)
}

/// A text that is ready to take its place.
fn staged(name: &str, path: &Path, text: &str) -> Result<Staged, FolderProblem> {
    stage(path, text).map_err(|error| io_error(&name, error))
}

fn io_error(name: &impl std::fmt::Display, error: io::Error) -> FolderProblem {
    FolderProblem::Io(name.to_string(), error)
}

enum State {
    Missing,
    Ours,
    Foreign,
}

fn state(
    folder: &Path,
    name: &str,
    path: &Path,
    known: &BTreeMap<String, BTreeSet<String>>,
) -> State {
    if path.symlink_metadata().is_err() {
        // A link further up would still lead elsewhere.
        return if is_plain(folder, name) { State::Missing } else { State::Foreign };
    }
    let bytes = if is_plain(folder, name) { std::fs::read(path).ok() } else { None };
    let ours = bytes
        .is_some_and(|bytes| known.get(name).is_some_and(|hashes| hashes.contains(&hash(&bytes))));
    if ours { State::Ours } else { State::Foreign }
}

/// Whether no piece of the way from the folder to a file is a link, and the file, if it is there,
/// is a file.
fn is_plain(folder: &Path, name: &str) -> bool {
    let mut path = folder.to_path_buf();
    let pieces: Vec<&str> = name.split('/').collect();
    pieces.iter().enumerate().all(|(at, piece)| {
        path.push(piece);
        let last = at + 1 == pieces.len();
        match path.symlink_metadata() {
            Ok(found) if last => found.is_file(),
            Ok(found) => found.is_dir(),
            Err(_) => true,
        }
    })
}

fn same(path: &Path, text: &str) -> bool {
    std::fs::read(path).is_ok_and(|bytes| bytes == text.as_bytes())
}

/// The path of a file below a folder; none when its name leads anywhere else.
fn below(folder: &Path, name: &str) -> Option<PathBuf> {
    let relative = Path::new(name);
    let plain = relative.components().all(|piece| matches!(piece, Component::Normal(_)));
    (plain && !name.is_empty()).then(|| folder.join(relative))
}

/// The hashes by file that the list in a folder holds; a line that is none is passed over.
fn listed(folder: &Path) -> BTreeMap<String, BTreeSet<String>> {
    let mut out: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    if !is_plain(folder, LIST) {
        return out;
    }
    let text = std::fs::read_to_string(folder.join(LIST)).unwrap_or_default();
    for line in text.lines() {
        let Some((hash, name)) = line.split_once("  ") else { continue };
        let is_hash = hash.len() == 64 && hash.bytes().all(|byte| byte.is_ascii_hexdigit());
        if is_hash && below(folder, name).is_some() {
            out.entry(name.to_owned()).or_default().insert(hash.to_owned());
        }
    }
    out
}

fn hash(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(64);
    for byte in Sha256::digest(bytes) {
        let _ = write!(out, "{byte:02x}");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{FolderProblem, LIST, Published, publish};
    use std::fs;

    fn files(list: &[(&str, &str)]) -> Vec<(String, String)> {
        list.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn written_again_it_replaces_its_own_and_removes_what_is_gone() {
        let folder = tempfile::tempdir().unwrap();
        let first = files(&[("a.html", "one"), ("tables/b.csv", "two")]);
        assert_eq!(publish(folder.path(), &first).unwrap().written, 2);
        assert_eq!(publish(folder.path(), &first).unwrap().unchanged, 2);
        let second = files(&[("a.html", "new")]);
        let told = publish(folder.path(), &second).unwrap();
        assert_eq!((told.written, told.removed), (1, 1));
        assert!(!folder.path().join("tables/b.csv").exists());
        let list = fs::read_to_string(folder.path().join(LIST)).unwrap();
        // The published hash of "new" (echo -n new | sha256sum).
        assert_eq!(
            list,
            "11507a0e2f5e69d5dfa40a62a1bd7b6ee57e6bcd85c67c9b8431b36fff21c437  a.html\n"
        );
    }

    #[track_caller]
    fn refused(folder: &std::path::Path, list: &[(&str, &str)], wanted: &[&str]) {
        match publish(folder, &files(list)) {
            Err(FolderProblem::InTheWay(names)) => assert_eq!(names, wanted),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_file_of_somebody_else_stops_everything() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("b.html"), "mine").unwrap();
        refused(folder.path(), &[("a.html", "one"), ("b.html", "two")], &["b.html"]);
        assert!(!folder.path().join("a.html").exists());
        assert!(!folder.path().join(LIST).exists());
        assert_eq!(fs::read_to_string(folder.path().join("b.html")).unwrap(), "mine");
    }

    #[test]
    fn a_file_that_was_changed_since_is_not_written_over_nor_removed() {
        let folder = tempfile::tempdir().unwrap();
        publish(folder.path(), &files(&[("a.csv", "empty"), ("b.csv", "x")])).unwrap();
        fs::write(folder.path().join("a.csv"), "filled").unwrap();
        refused(folder.path(), &[("a.csv", "new")], &["a.csv"]);
        let told = publish(folder.path(), &files(&[("b.csv", "x")])).unwrap();
        let kept = vec!["a.csv".to_owned()];
        assert_eq!(told, Published { unchanged: 1, kept, ..Published::default() });
        assert_eq!(fs::read_to_string(folder.path().join("a.csv")).unwrap(), "filled");
    }

    #[test]
    fn a_list_of_somebody_else_is_in_the_way_and_leads_nowhere() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(LIST), "my notes\n").unwrap();
        refused(folder.path(), &[("a.html", "one")], &[LIST]);
        let outside = folder.path().join("outside");
        fs::write(&outside, "x").unwrap();
        let inner = folder.path().join("inner");
        fs::create_dir(&inner).unwrap();
        let hash = super::hash(b"x");
        fs::write(inner.join(LIST), format!("{hash}  ../outside\n{hash}  a\n")).unwrap();
        publish(&inner, &files(&[("b", "y")])).unwrap();
        assert!(outside.exists());
    }

    #[test]
    fn the_note_of_a_run_that_was_cut_off_goes_and_another_of_its_name_stays() {
        let folder = tempfile::tempdir().unwrap();
        let note = folder.path().join(super::NOTE);
        let papers = files(&[("a.html", "one")]);
        publish(folder.path(), &papers).unwrap();
        assert!(!note.exists());
        fs::write(&note, super::NOTE_TEXT).unwrap();
        assert_eq!(publish(folder.path(), &papers).unwrap().unchanged, 1);
        assert!(!note.exists());
        fs::write(&note, "mine").unwrap();
        refused(folder.path(), &[("a.html", "two")], &[super::NOTE]);
        assert_eq!(fs::read_to_string(note).unwrap(), "mine");
    }

    #[test]
    fn a_folder_in_which_one_file_cannot_be_written_is_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        publish(folder.path(), &files(&[("a.html", "one")])).unwrap();
        let list = fs::read_to_string(folder.path().join(LIST)).unwrap();
        // No file system takes so long a name, so there is no place to get it ready in.
        let long = "x".repeat(300) + "/b.html";
        let wanted = files(&[("a.html", "two"), (&long, "three")]);
        let problem = publish(folder.path(), &wanted).unwrap_err();
        assert!(matches!(&problem, FolderProblem::Io(name, _) if *name == long), "{problem:?}");
        assert_eq!(fs::read_to_string(folder.path().join("a.html")).unwrap(), "one");
        assert_eq!(fs::read_to_string(folder.path().join(LIST)).unwrap(), list);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn a_folder_that_is_half_written_says_so() {
        let folder = tempfile::tempdir().unwrap();
        publish(folder.path(), &files(&[("a.html", "one")])).unwrap();
        // It can be got ready, and not take its place.
        let long = "x".repeat(300);
        let wanted = files(&[("a.html", "two"), (&long, "three")]);
        let problem = publish(folder.path(), &wanted).unwrap_err();
        assert!(matches!(&problem, FolderProblem::HalfWritten(name, _) if *name == long));
        assert_eq!(fs::read_to_string(folder.path().join("a.html")).unwrap(), "two");
        assert!(folder.path().join(super::NOTE).exists());
        publish(folder.path(), &files(&[("a.html", "two")])).unwrap();
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_never_followed() {
        let folder = tempfile::tempdir().unwrap();
        let target = tempfile::tempdir().unwrap();
        std::os::unix::fs::symlink(target.path(), folder.path().join("tables")).unwrap();
        refused(folder.path(), &[("tables/a.csv", "one")], &["tables/a.csv"]);
        assert_eq!(fs::read_dir(target.path()).unwrap().count(), 0);
    }
}
