//! Loads and parses files, each once, for as many threads as ask. Text that an editor holds, or
//! that comes from standard input, stands before what is on disk.

use curtilage_model::{HolidayFile, Source};
use curtilage_syntax::parse;
use curtilage_text::{Decoded, FileId, LineIndex, MAX_FILE_BYTES, decode};
use std::collections::HashMap;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadProblem {
    /// There is no such file.
    NotFound,
    /// It is there and cannot be read, or is too large.
    Unreadable(String),
}

type Slot<T> = Arc<OnceLock<Result<Arc<T>, ReadProblem>>>;

/// Files by their resolved path.
#[derive(Debug)]
pub struct Loader {
    root: PathBuf,
    overlay: HashMap<PathBuf, Vec<u8>>,
    sources: Mutex<HashMap<PathBuf, Slot<Source>>>,
    calendars: Mutex<HashMap<PathBuf, Slot<Result<HolidayFile, String>>>>,
    next: AtomicU32,
}

impl Loader {
    /// A loader for the workspace at `root`, a resolved path.
    #[must_use]
    pub fn new(root: PathBuf) -> Self {
        Self {
            root,
            overlay: HashMap::new(),
            sources: Mutex::default(),
            calendars: Mutex::default(),
            next: AtomicU32::new(0),
        }
    }

    /// The workspace root.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Lets some bytes stand for the file at a path, which need not exist.
    pub fn overlay(&mut self, path: PathBuf, bytes: impl Into<Vec<u8>>) {
        self.overlay.insert(path, bytes.into());
    }

    /// The file at a path, parsed.
    ///
    /// # Errors
    /// [`ReadProblem`]; it is remembered like a success.
    pub fn source(&self, path: &Path) -> Result<Arc<Source>, ReadProblem> {
        let slot = slot(&self.sources, path);
        slot.get_or_init(|| {
            let bytes = match self.overlay.get(path) {
                Some(bytes) => bytes.clone(),
                None => read(path)?,
            };
            let Decoded { text, faults } = decode(bytes);
            let parsed = parse(&text, &faults);
            Ok(Arc::new(Source {
                file: FileId(self.next.fetch_add(1, Ordering::Relaxed)),
                path: self.shown(path),
                lines: LineIndex::new(&text),
                text,
                parsed,
            }))
        })
        .clone()
    }

    /// The holidays in the file at a path; the inner error says what is wrong with the calendar.
    ///
    /// # Errors
    /// [`ReadProblem`].
    pub fn holidays(&self, path: &Path) -> Result<Arc<Result<HolidayFile, String>>, ReadProblem> {
        let slot = slot(&self.calendars, path);
        slot.get_or_init(|| {
            let bytes = match self.overlay.get(path) {
                Some(bytes) => bytes.clone(),
                None => read(path)?,
            };
            Ok(Arc::new(crate::holidays::read(&decode(bytes).text)))
        })
        .clone()
    }

    /// A path as people read it: relative to the workspace root, with `/`.
    #[must_use]
    pub fn shown(&self, path: &Path) -> String {
        let inside = path.strip_prefix(&self.root).unwrap_or(path);
        let parts: Vec<_> =
            inside.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        parts.join("/").replacen("//", "/", 1)
    }
}

fn slot<T>(map: &Mutex<HashMap<PathBuf, Slot<T>>>, path: &Path) -> Slot<T> {
    // A panic while the lock is held leaves the map whole: only whole slots are inserted.
    let mut map = map.lock().unwrap_or_else(PoisonError::into_inner);
    match map.get(path) {
        Some(slot) => Arc::clone(slot),
        None => Arc::clone(map.entry(path.to_path_buf()).or_default()),
    }
}

fn read(path: &Path) -> Result<Vec<u8>, ReadProblem> {
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
