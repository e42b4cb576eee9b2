//! Replaces a file whole or not at all.

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

#[cfg(test)]
mod tests {
    use super::replace;

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
