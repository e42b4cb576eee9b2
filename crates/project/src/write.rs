//! Writes a file whole or not at all.

use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// Puts `text` in the place of the file at `path`. The new text is written beside it, flushed to
/// disk and renamed over it, so that at every moment the old or the new file is there. A link is
/// followed, and the file's permissions are kept.
///
/// # Errors
/// When the file cannot be resolved, or the folder cannot be written to; the old file is then as it
/// was.
pub fn replace(path: &Path, text: &str) -> io::Result<()> {
    let path = path.canonicalize()?;
    let folder = path.parent().ok_or_else(|| io::Error::other("the file has no folder"))?;
    let permissions = std::fs::metadata(&path)?.permissions();
    if permissions.readonly() {
        return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the file is read-only"));
    }
    let mut new = NamedTempFile::new_in(folder)?;
    new.write_all(text.as_bytes())?;
    new.as_file().set_permissions(permissions)?;
    new.as_file().sync_all()?;
    new.persist(&path).map_err(|error| error.error)?;
    Ok(())
}

/// Puts `text` into the file at `path`, which need not be there yet. As with [`replace`], at every
/// moment there is the old file, or none, or the whole new one.
///
/// # Errors
/// When the folder is not there or cannot be written to.
pub fn create(path: &Path, text: &str) -> io::Result<()> {
    if path.exists() {
        return replace(path, text);
    }
    beside(path, text)?.persist(path).map_err(|error| error.error)?;
    Ok(())
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

/// The text in a file beside the one that it is for, flushed to disk.
fn beside(path: &Path, text: &str) -> io::Result<NamedTempFile> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        // As any other new file: what the user's mask leaves of it.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut new = builder.tempfile_in(folder.unwrap_or(Path::new(".")))?;
    new.write_all(text.as_bytes())?;
    new.as_file().sync_all()?;
    Ok(new)
}

#[cfg(test)]
mod tests {
    use super::{create, create_new, replace};

    #[test]
    fn a_new_file_is_made_whole_and_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.svg");
        create(&path, "one").unwrap();
        create(&path, "two").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        assert!(create(&folder.path().join("none/a.svg"), "one").is_err());
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
    fn a_missing_file_is_not_made() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        assert!(replace(&path, "new").is_err());
        assert!(!path.exists());
    }
}
