//! Loads and parses files, each once, for as many threads as ask. Text that an editor holds, or
//! that comes from standard input, stands before what is on disk.
//!
//! A loader is a value: a clone of it is a snapshot. What is told to one (`overlay`, `close`,
//! `forget`) is not seen by the other, and what both still share is parsed once. Every content of a
//! path has a stamp of its own, so that two looks at a file can be compared without its text.

use crate::read::{ReadProblem, read, within};
use curtilage_model::{HolidayFile, Source};
use curtilage_syntax::{Parsed, parse, parse_again};
use curtilage_text::{Decoded, FileId, LineIndex, decode};
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::SystemTime;

type Slot<T> = Arc<OnceLock<Result<Arc<T>, ReadProblem>>>;
type Calendar = Result<HolidayFile, String>;

/// Files by their resolved path.
#[derive(Clone, Debug)]
pub struct Loader {
    root: Arc<Path>,
    open: Arc<HashMap<PathBuf, Entry>>,
    disk: Arc<Disk>,
    numbers: Arc<Numbers>,
}

/// One content of one path.
#[derive(Clone, Debug)]
struct Entry {
    stamp: Stamp,
    /// What stands for the file; what is on disk when there is nothing.
    text: Option<Text>,
    /// When the file on disk was last written, and its size, when it was first asked for.
    written: Option<(SystemTime, u64)>,
    /// The last version that was parsed, from which this one was made by edits, until this one is.
    before: Arc<Mutex<Option<Arc<Source>>>>,
    source: Slot<Source>,
    calendar: Slot<Calendar>,
}

/// What stands for a file.
#[derive(Clone, Debug)]
enum Text {
    Bytes(Arc<Vec<u8>>),
    /// With its lines, counted already.
    Counted(Arc<String>, Arc<LineIndex>),
}

/// What was read from disk, and where paths lead. It is replaced, never emptied, when files change.
#[derive(Debug, Default)]
struct Disk {
    entries: Mutex<HashMap<PathBuf, Entry>>,
    resolved: Mutex<HashMap<PathBuf, Option<PathBuf>>>,
}

/// Which content of a path it is. Two equal stamps are the same text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Stamp(u64);

/// File numbers by path, the same for every version of a file and for all loaders that share them.
#[derive(Debug, Default)]
struct Numbers {
    files: Mutex<HashMap<PathBuf, FileId>>,
    stamps: AtomicU64,
}

impl Loader {
    /// A loader for the workspace at `root`, a resolved path.
    #[must_use]
    pub fn new(root: PathBuf) -> Self {
        Self {
            root: root.into(),
            open: Arc::default(),
            disk: Arc::default(),
            numbers: Arc::default(),
        }
    }

    /// A loader for another workspace, whose files have numbers of the same count.
    #[must_use]
    pub fn beside(&self, root: PathBuf) -> Self {
        Self { numbers: Arc::clone(&self.numbers), ..Self::new(root) }
    }

    /// The workspace root.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Lets some bytes stand for the file at a path, which need not exist.
    pub fn overlay(&mut self, path: PathBuf, bytes: impl Into<Vec<u8>>) {
        let entry = Entry::new(&self.numbers, Some(Text::Bytes(Arc::new(bytes.into()))));
        Arc::make_mut(&mut self.open).insert(path, entry);
    }

    /// The same with a text whose lines are counted already. When one stands there, the new one is
    /// taken for an edit of it: only the items that differ are parsed. A text that is just what was
    /// read from disk is the same content: whoever depends on it need not look again.
    pub fn overlay_text(&mut self, path: PathBuf, text: Arc<String>, lines: Arc<LineIndex>) {
        let open = Arc::make_mut(&mut self.open);
        let known = match open.contains_key(&path) {
            true => None,
            false => lock(&self.disk.entries).get(&path).filter(|disk| disk.reads(&text)).cloned(),
        };
        let text = Some(Text::Counted(text, lines));
        let entry = match known {
            Some(disk) => Entry { text, ..disk },
            None => Entry {
                before: Arc::new(Mutex::new(open.get(&path).and_then(Entry::newest))),
                ..Entry::new(&self.numbers, text)
            },
        };
        open.insert(path, entry);
    }

    /// The file on disk counts again; when it reads as what stood for it, as the same content.
    pub fn close(&mut self, path: &Path) {
        let Some(closed) = Arc::make_mut(&mut self.open).remove(path) else { return };
        self.forget(&[path]);
        let written = written(path);
        if let Some(Text::Counted(text, _)) = closed.text
            && read(path).is_ok_and(|bytes| bytes == text.as_bytes())
        {
            let entry = Entry { stamp: closed.stamp, written, ..Entry::new(&self.numbers, None) };
            lock(&self.disk.entries).insert(path.to_path_buf(), entry);
        }
    }

    /// What is on disk at some paths, or below them, has changed, come or gone; and so has what the folders
    /// hold in which they lie.
    pub fn forget(&mut self, paths: &[impl AsRef<Path>]) {
        if paths.is_empty() {
            return;
        }
        let paths: HashSet<&Path> = paths.iter().map(AsRef::as_ref).collect();
        let folders: HashSet<&Path> = paths.iter().filter_map(|path| path.parent()).collect();
        let mut entries = lock(&self.disk.entries).clone();
        entries.retain(|known, _| {
            let below = known.ancestors().any(|above| paths.contains(above));
            !below && !folders.contains(&**known)
        });
        self.keep(entries);
    }

    /// Forgets what has changed on disk since it was first asked for, for whoever is not told of
    /// changes. Whether there is any.
    pub fn look_again(&mut self) -> bool {
        let mut entries = lock(&self.disk.entries).clone();
        let known = entries.len();
        // A folder has changed with what it holds; the files below it have not, for that.
        entries.retain(|path, entry| written(path) == entry.written);
        let changed = entries.len() < known;
        if changed {
            self.keep(entries);
        }
        changed
    }

    /// Leaves these files alone known. Where paths lead is asked again: a link may have changed with them.
    fn keep(&mut self, entries: HashMap<PathBuf, Entry>) {
        self.disk = Arc::new(Disk { entries: Mutex::new(entries), resolved: Mutex::default() });
    }

    /// Lets go of the parsed text of a file that nothing else needs; it is read again when asked
    /// for, and counts as the same content.
    pub fn release(&self, path: &Path) {
        if let Some(entry) = lock(&self.disk.entries).get_mut(path) {
            (entry.source, entry.calendar) = Default::default();
        }
    }

    /// Which content a path has at present, without reading it.
    #[must_use]
    pub fn stamp(&self, path: &Path) -> Stamp {
        match self.open.get(path) {
            Some(entry) => entry.stamp,
            None => self.on_disk(path).stamp,
        }
    }

    /// The file at a path, parsed.
    ///
    /// # Errors
    /// [`ReadProblem`]; it is remembered like a success.
    pub fn source(&self, path: &Path) -> Result<Arc<Source>, ReadProblem> {
        let entry = self.entry(path);
        let read = || {
            let before = lock(&entry.before).take();
            let (text, parsed, mark) = match before.and_then(|before| entry.again(&before)) {
                Some((text, parsed)) => (text, parsed, false),
                None => {
                    let Decoded { text, faults, mark } = decode(entry.bytes(path)?);
                    let parsed = parse(&text, &faults);
                    (Arc::new(text), parsed, mark)
                }
            };
            let lines = match &entry.text {
                // Decoding a text moves no byte.
                Some(Text::Counted(_, lines)) => Some(Arc::clone(lines)),
                _ if mark => Some(Arc::new(LineIndex::behind_mark(&text))),
                _ => None,
            };
            let (file, path) = (self.numbers.file(path), self.shown(path));
            Ok(Arc::new(Source::new(file, path, text, parsed, lines)))
        };
        entry.source.get_or_init(read).clone()
    }

    /// The holidays in the file at a path; the inner error says what is wrong with the calendar.
    ///
    /// # Errors
    /// [`ReadProblem`].
    pub fn holidays(&self, path: &Path) -> Result<Arc<Calendar>, ReadProblem> {
        let entry = self.entry(path);
        let read = || Ok(Arc::new(crate::holidays::read(&decode(entry.bytes(path)?).text)));
        entry.calendar.get_or_init(read).clone()
    }

    /// The path that a path leads to, links followed; none when there is nothing on disk.
    pub(crate) fn resolved(&self, path: &Path) -> Option<PathBuf> {
        if let Some(known) = lock(&self.disk.resolved).get(path) {
            return known.clone();
        }
        let resolved = path.canonicalize().ok();
        lock(&self.disk.resolved).insert(path.to_path_buf(), resolved.clone());
        resolved
    }

    /// A path as people read it: relative to the workspace root, with `/`.
    #[must_use]
    pub fn shown(&self, path: &Path) -> String {
        let inside = path.strip_prefix(&self.root).unwrap_or(path);
        let parts: Vec<_> =
            inside.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        parts.join("/").replacen("//", "/", 1)
    }

    fn entry(&self, path: &Path) -> Entry {
        self.open.get(path).cloned().unwrap_or_else(|| self.on_disk(path))
    }

    fn on_disk(&self, path: &Path) -> Entry {
        if let Some(entry) = lock(&self.disk.entries).get(path) {
            return entry.clone();
        }
        // Others are not kept waiting while the disk is asked.
        let mut entry = Entry::new(&self.numbers, None);
        entry.written = written(path);
        lock(&self.disk.entries).entry(path.to_path_buf()).or_insert(entry).clone()
    }
}

impl Entry {
    fn new(numbers: &Numbers, text: Option<Text>) -> Self {
        let stamp = Stamp(numbers.stamps.fetch_add(1, Ordering::Relaxed));
        Self {
            stamp,
            text,
            written: None,
            before: Arc::default(),
            source: Slot::default(),
            calendar: Slot::default(),
        }
    }

    /// The newest version that is parsed: this one, or one before.
    fn newest(&self) -> Option<Arc<Source>> {
        let this = self.source.get().and_then(|read| read.as_ref().ok().cloned());
        this.or_else(|| lock(&self.before).clone())
    }

    /// Whether what was read and parsed is this text, with no byte order mark before it, and nothing
    /// was wrong with its bytes.
    fn reads(&self, text: &str) -> bool {
        let Some(Ok(source)) = self.source.get() else { return false };
        *source.text == text && source.lines().start(0) == Some(0) && !text.contains('\u{1a}')
    }

    /// The text, parsed with the help of an earlier version, where that is possible.
    fn again(&self, before: &Source) -> Option<(Arc<String>, Parsed)> {
        let Some(Text::Counted(text, _)) = &self.text else { return None };
        // A byte order mark is not text; decoding takes it away.
        if text.starts_with('\u{feff}') {
            return None;
        }
        let parsed = parse_again(&before.text, &before.parsed, text)?;
        Some((Arc::clone(text), parsed))
    }

    fn bytes(&self, path: &Path) -> Result<Vec<u8>, ReadProblem> {
        match &self.text {
            Some(Text::Bytes(bytes)) => {
                within(bytes.len())?;
                Ok(bytes.to_vec())
            }
            Some(Text::Counted(text, _)) => Ok(text.as_bytes().to_vec()),
            None => read(path),
        }
    }
}

fn written(path: &Path) -> Option<(SystemTime, u64)> {
    let metadata = path.metadata().ok()?;
    Some((metadata.modified().ok()?, metadata.len()))
}

impl Numbers {
    fn file(&self, path: &Path) -> FileId {
        let mut files = lock(&self.files);
        let next = FileId(u32::try_from(files.len()).unwrap_or(u32::MAX));
        match files.get(path) {
            Some(file) => *file,
            None => *files.entry(path.to_path_buf()).or_insert(next),
        }
    }
}

/// A panic while a lock is held leaves these maps whole: only whole entries are put in.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::Loader;
    use curtilage_text::LineIndex;
    use std::path::PathBuf;

    const CALENDAR: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nSUMMARY:Works holiday\r\nDTSTART;VALUE=DATE:20270809\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";

    #[test]
    fn a_snapshot_does_not_see_what_comes_later() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        std::fs::write(&path, "on disk").unwrap();
        let mut loader = Loader::new(folder.path().to_path_buf());
        let text = |loader: &Loader| loader.source(&path).unwrap().text.to_string();
        assert_eq!(text(&loader), "on disk");
        let first = loader.clone();
        loader.overlay(path.clone(), "unsaved");
        let second = loader.clone();
        std::fs::write(&path, "saved").unwrap();
        loader.close(&path);
        let texts = [&first, &second, &loader].map(text);
        assert_eq!(texts, ["on disk", "unsaved", "saved"]);
        let file = |loader: &Loader| loader.source(&path).unwrap().file;
        assert_eq!(file(&first), file(&loader), "a file keeps its number");
    }

    #[test]
    fn what_stands_for_a_file_may_not_be_larger_than_a_file() {
        let path = PathBuf::from("/nowhere/a.site");
        let mut loader = Loader::new(PathBuf::from("/nowhere"));
        loader.overlay(path.clone(), vec![b'#'; curtilage_text::MAX_FILE_BYTES + 1]);
        let Err(problem) = loader.source(&path) else { panic!("it was read") };
        assert_eq!(problem.to_string(), "it is larger than 16 MiB");
    }

    #[test]
    fn unsaved_holidays_stand_before_those_on_disk() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("days.ics");
        std::fs::write(&path, "nonsense").unwrap();
        let mut loader = Loader::new(folder.path().to_path_buf());
        assert!(loader.holidays(&path).unwrap().is_err());
        loader.overlay(path.clone(), CALENDAR);
        assert_eq!(loader.holidays(&path).unwrap().as_ref().as_ref().unwrap().dates.len(), 1);
    }

    #[test]
    fn what_has_changed_is_seen_when_looked_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        let mut loader = Loader::new(folder.path().to_path_buf());
        assert!(loader.source(&path).is_err());
        assert!(!loader.look_again());
        std::fs::write(&path, "there").unwrap();
        assert!(loader.look_again());
        assert_eq!(*loader.source(&path).unwrap().text, "there");
        std::fs::write(&path, "longer than before").unwrap();
        assert!(loader.look_again());
        assert!(!loader.look_again());
        assert_eq!(*loader.source(&path).unwrap().text, "longer than before");
    }

    // Only there is a folder a file that can be opened.
    #[cfg(unix)]
    #[test]
    fn a_folder_changes_with_what_it_holds_and_the_files_in_it_do_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        std::fs::write(path("a.site"), "zone a").unwrap();
        let long_ago = std::time::SystemTime::UNIX_EPOCH;
        std::fs::File::open(folder.path()).unwrap().set_modified(long_ago).unwrap();
        let mut loader = Loader::new(folder.path().to_path_buf());
        let stamps = |loader: &Loader| [loader.stamp(folder.path()), loader.stamp(&path("a.site"))];
        let first = stamps(&loader);
        assert!(!loader.look_again());
        std::fs::write(path("b.site"), "zone b").unwrap();
        assert!(loader.look_again());
        let second = stamps(&loader);
        assert_eq!(first.map(|one| second.contains(&one)), [false, true]);
        loader.forget(&[path("b.site")]);
        let third = stamps(&loader);
        assert_eq!(second.map(|one| third.contains(&one)), [false, true]);
    }

    #[test]
    fn opening_and_closing_what_is_on_disk_is_no_other_content() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        let open = |loader: &mut Loader, text: &str| {
            let lines = LineIndex::new(text).into();
            loader.overlay_text(path.clone(), text.to_owned().into(), lines);
        };
        for text in ["zone a", "", "\u{feff}zone a", "\u{1a}"] {
            std::fs::write(&path, text).unwrap();
            let mut loader = Loader::new(folder.path().to_path_buf());
            loader.source(&path).unwrap();
            let first = loader.stamp(&path);
            open(&mut loader, text);
            let opened = loader.stamp(&path);
            // The mark is no text and the byte may stand for a bad one: these are looked at again.
            assert_eq!(opened == first, !text.contains(['\u{feff}', '\u{1a}']), "{text:?}");
            loader.close(&path);
            assert_eq!(loader.stamp(&path), opened, "{text:?}");
            assert!(!loader.look_again());

            open(&mut loader, "zone b");
            assert_ne!(loader.stamp(&path), opened, "another text");
            loader.close(&path);
            assert_ne!(loader.stamp(&path), opened, "the text before, after another one");
            open(&mut loader, "zone c");
            let unsaved = loader.stamp(&path);
            std::fs::write(&path, "zone d").unwrap();
            loader.close(&path);
            assert_ne!(loader.stamp(&path), unsaved, "something else was saved");
            assert_eq!(*loader.source(&path).unwrap().text, "zone d");
        }
    }

    #[test]
    fn a_file_that_is_written_to_while_it_is_open_counts_as_written_when_it_is_closed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.site");
        std::fs::write(&path, "zone a").unwrap();
        let mut loader = Loader::new(folder.path().to_path_buf());
        loader.source(&path).unwrap();
        loader.overlay_text(
            path.clone(),
            "zone a".to_owned().into(),
            LineIndex::new("zone a").into(),
        );
        std::fs::write(&path, "zone b").unwrap();
        assert_eq!(*loader.source(&path).unwrap().text, "zone a");
        loader.close(&path);
        assert_eq!(*loader.source(&path).unwrap().text, "zone b");
    }

    #[test]
    fn what_lies_below_a_path_is_forgotten_with_it() {
        let path = |name: &str| PathBuf::from("/nowhere").join(name);
        let mut loader = Loader::new(path(""));
        let names = ["east/a.site", "east/deep/b.site", "easter.site", "c.site", "d.site"];
        let stamps = |loader: &Loader| names.map(|name| loader.stamp(&path(name)));
        let before = stamps(&loader);
        loader.forget(&[path("east"), path("d.site"), path("never-seen.site")]);
        let after = stamps(&loader);
        let kept: Vec<_> =
            (0..names.len()).filter(|at| before[*at] == after[*at]).map(|at| names[at]).collect();
        assert_eq!(kept, ["easter.site", "c.site"]);
    }

    #[test]
    fn a_stamp_changes_with_the_content_alone() {
        let path = PathBuf::from("/nowhere/a.site");
        let mut loader = Loader::new(PathBuf::from("/nowhere"));
        let first = loader.stamp(&path);
        assert!(loader.source(&path).is_err());
        assert_eq!(loader.stamp(&path), first);
        loader.forget(&["/nowhere/b.site"]);
        assert_eq!(loader.stamp(&path), first, "another file changed");
        loader.release(&path);
        assert_eq!(loader.stamp(&path), first, "it is only let go of");
        loader.forget(&[&path]);
        let second = loader.stamp(&path);
        assert_ne!(second, first);
        loader.overlay(path.clone(), "zone");
        assert_ne!(loader.stamp(&path), second);
    }
}
