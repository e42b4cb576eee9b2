//! Writes a file whole or not at all.
//!
//! The new text is written beside the file, flushed to disk and renamed over it, so that at every
//! moment the old or the new file is there. A run that is killed in between leaves a hidden file
//! `.curtilage-XXXXXX`, which nothing reads.

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::{NamedTempFile, TempPath};

/// How the names of files begin that are not in their place yet.
const PREFIX: &str = ".curtilage-";

/// Puts `text` in the place of the file at `path`. A link is followed, and the file's permissions
/// are kept.
///
/// # Errors
/// When the file cannot be resolved, or the folder cannot be written to; the old file is then as it
/// was.
pub fn replace(path: &Path, text: &str) -> io::Result<()> {
    over(path, text)?.put()
}

/// Puts `text` into the file at `path`, which need not be there yet. As with [`replace`], at every
/// moment there is the old file, or none, or the whole new one.
///
/// # Errors
/// When the folder is not there or cannot be written to.
pub fn create(path: &Path, text: &str) -> io::Result<()> {
    stage(path, text)?.put()
}

/// Puts `text` into a new file at `path`, whole or not at all, and never over another: not even over
/// one that comes to be there at the same moment.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] when there is something at `path`; otherwise as [`create`].
pub fn create_new(path: &Path, text: &str) -> io::Result<()> {
    beside(path, text)?.persist_noclobber(path).map_err(|error| error.error)?;
    Ok(())
}

/// A text that is whole on disk, and takes its place by a rename alone. It is removed when it is let
/// go of before.
pub(crate) struct Staged {
    new: TempPath,
    path: PathBuf,
}

impl Staged {
    pub(crate) fn put(self) -> io::Result<()> {
        self.new.persist(&self.path).map_err(|error| error.error)
    }
}

/// A text for the file at `path`, which need not be there yet.
pub(crate) fn stage(path: &Path, text: &str) -> io::Result<Staged> {
    if path.exists() {
        return over(path, text);
    }
    Ok(Staged { new: beside(path, text)?.into_temp_path(), path: path.to_path_buf() })
}

/// A text for a file that is there.
fn over(path: &Path, text: &str) -> io::Result<Staged> {
    let path = path.canonicalize()?;
    let folder = path.parent().ok_or_else(|| io::Error::other("the file has no folder"))?;
    let permissions = std::fs::metadata(&path)?.permissions();
    if permissions.readonly() {
        return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the file is read-only"));
    }
    let mut new =
        tempfile::Builder::new().prefix(PREFIX).tempfile_in(folder).map_err(without_its_place)?;
    new.write_all(text.as_bytes())?;
    new.as_file().set_permissions(permissions)?;
    new.as_file().sync_all()?;
    Ok(Staged { new: new.into_temp_path(), path })
}

/// The text in a file beside the one that it is for, flushed to disk.
fn beside(path: &Path, text: &str) -> io::Result<NamedTempFile> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Some(none) = folder.filter(|folder| !folder.exists()) {
        let why = format!("there is no folder `{}`", none.display());
        return Err(io::Error::new(io::ErrorKind::NotFound, why));
    }
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX);
    #[cfg(unix)]
    {
        // As any other new file: what the user's mask leaves of it.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut new =
        builder.tempfile_in(folder.unwrap_or(Path::new("."))).map_err(without_its_place)?;
    new.write_all(text.as_bytes())?;
    new.as_file().sync_all()?;
    Ok(new)
}

/// What the system says of a file that could not be made, without the name that it was to have for a
/// moment: nobody asked for that one.
fn without_its_place(error: io::Error) -> io::Error {
    let told = error.to_string();
    match told.split_once(" at path ") {
        Some((why, _)) => io::Error::new(error.kind(), why),
        None => error,
    }
}

#[cfg(test)]
mod tests {
    use super::{PREFIX, create, create_new, replace};

    #[test]
    fn a_new_file_is_made_whole_and_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.svg");
        create(&path, "one").unwrap();
        create(&path, "two").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        let error = create(&folder.path().join("none/a.svg"), "one").unwrap_err();
        assert!(error.to_string().starts_with("there is no folder `"), "{error}");
        let error = create(&path.join("b.svg"), "one").unwrap_err().to_string();
        assert!(error.starts_with("Not a directory") && !error.contains(PREFIX), "{error}");
        let error = create_new(&path, "three").unwrap_err();
        assert_eq!(error.kind(), std::io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        create_new(&folder.path().join("b.svg"), "one").unwrap();
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[test]
    fn a_replaced_file_has_the_new_text_and_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        std::fs::write(&path, "old").unwrap();
        replace(&path, "new").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "new");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_text_that_never_takes_its_place_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        std::fs::write(&path, "old").unwrap();
        for name in ["a.site", "b.site"] {
            drop(super::stage(&folder.path().join(name), "new").unwrap());
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_missing_file_is_not_made() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        assert!(replace(&path, "new").is_err());
        assert!(!path.exists());
    }
}
