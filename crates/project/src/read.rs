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

pub(crate) fn read(path: &Path) -> Result<Vec<u8>, ReadProblem> {
    let told = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => ReadProblem::NotFound,
        _ => ReadProblem::Unreadable(error.to_string()),
    };
    let file = std::fs::File::open(path).map_err(told)?;
    let metadata = file.metadata().map_err(told)?;
    if metadata.is_dir() {
        return Err(ReadProblem::Unreadable("it is a folder".to_owned()));
    }
    let limit = u64::try_from(MAX_FILE_BYTES).unwrap_or(u64::MAX);
    let too_large =
        || ReadProblem::Unreadable(format!("it is larger than {} MiB", limit / 1024 / 1024));
    if metadata.len() > limit {
        return Err(too_large());
    }
    let mut bytes = Vec::with_capacity(usize::try_from(metadata.len()).unwrap_or(0));
    // A pipe or a device has no length: the limit holds while reading.
    file.take(limit + 1).read_to_end(&mut bytes).map_err(told)?;
    if bytes.len() > MAX_FILE_BYTES { Err(too_large()) } else { Ok(bytes) }
}
