//! Reads a file from disk, within the limit.

use curtilage_text::MAX_FILE_BYTES;
use std::io::Read;
use std::path::Path;

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadProblem {
    /// There is no such file.
    NotFound,
    /// It is there and cannot be read, or is too large.
    Unreadable(String),
}

impl std::fmt::Display for ReadProblem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotFound => f.write_str("there is no such file"),
            Self::Unreadable(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for ReadProblem {}

/// The bytes of a file. What is no file is not even opened: a pipe could make the run wait for ever.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>, ReadProblem> {
    let metadata = path.metadata().map_err(told)?;
    if metadata.is_dir() {
        return Err(ReadProblem::Unreadable("it is a folder".to_owned()));
    }
    if !metadata.is_file() {
        return Err(ReadProblem::Unreadable("it is no file".to_owned()));
    }
    within(usize::try_from(metadata.len()).unwrap_or(usize::MAX))?;
    let room = usize::try_from(metadata.len()).unwrap_or(0);
    take_all(std::fs::File::open(path).map_err(told)?, room)
}

/// All bytes that come, unless they are more than a file may have.
///
/// # Errors
/// [`ReadProblem::Unreadable`].
pub fn read_all(input: impl Read) -> Result<Vec<u8>, ReadProblem> {
    take_all(input, 0)
}

/// `room` is how many bytes are expected, so that they are asked for at once; the limit holds while
/// reading.
fn take_all(input: impl Read, room: usize) -> Result<Vec<u8>, ReadProblem> {
    let limit = u64::try_from(MAX_FILE_BYTES).unwrap_or(u64::MAX);
    let mut input = input.take(limit + 1);
    let (mut bytes, mut filled) = (vec![0; room], 0);
    while let Some(rest) = bytes.get_mut(filled..).filter(|rest| !rest.is_empty()) {
        match input.read(rest) {
            Ok(0) => break,
            Ok(more) => filled += more,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => return Err(told(error)),
        }
    }
    bytes.truncate(filled);
    input.read_to_end(&mut bytes).map_err(told)?;
    within(bytes.len())?;
    Ok(bytes)
}

/// Whether so many bytes are taken.
pub(crate) fn within(bytes: usize) -> Result<(), ReadProblem> {
    if bytes > MAX_FILE_BYTES {
        let most = MAX_FILE_BYTES / 1024 / 1024;
        return Err(ReadProblem::Unreadable(format!("it is larger than {most} MiB")));
    }
    Ok(())
}

fn told(error: std::io::Error) -> ReadProblem {
    match error.kind() {
        std::io::ErrorKind::NotFound => ReadProblem::NotFound,
        _ => ReadProblem::Unreadable(error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::{MAX_FILE_BYTES, ReadProblem, read, read_all};
    use std::io::Read;

    #[test]
    fn what_never_ends_is_refused() {
        assert_eq!(read_all(std::io::repeat(b'x').take(10)).unwrap().len(), 10);
        let most = std::io::repeat(b'x').take(MAX_FILE_BYTES as u64);
        assert_eq!(read_all(most).unwrap().len(), MAX_FILE_BYTES);
        let error = read_all(std::io::repeat(b'x')).unwrap_err();
        assert_eq!(error, ReadProblem::Unreadable("it is larger than 16 MiB".to_owned()));
    }

    #[cfg(unix)]
    #[test]
    fn what_is_no_file_is_not_opened() {
        let error = |path: &std::path::Path| read(path).unwrap_err().to_string();
        assert_eq!(error(&std::env::temp_dir()), "it is a folder");
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(error(&folder.path().join("none")), "there is no such file");
        let pipe = folder.path().join("pipe.site");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status().unwrap();
        assert!(made.success());
        assert_eq!(error(&pipe), "it is no file");
    }
}
