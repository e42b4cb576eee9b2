//! What the server knows at one moment. A [`Snapshot`] never changes: an edit makes a new one, and
//! a request goes on with the one that it began with.

use crate::address;
use crate::document::Document;
use crate::features::Features;
use crate::settings::Settings;
use curtilage_facts::Options;
use curtilage_project::{Analysis, Loader, Memo, ReadProblem, marked_root};
use lsp_types::Uri;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

/// Everything at one moment.
#[derive(Clone)]
pub(crate) struct Snapshot {
    /// Rises with every change.
    pub(crate) generation: u64,
    /// What the client holds, by path.
    pub(crate) documents: Arc<HashMap<PathBuf, Arc<Document>>>,
    /// A loader for each workspace root.
    pub(crate) spaces: Arc<BTreeMap<PathBuf, Loader>>,
    /// The folders that the client has open.
    pub(crate) folders: Arc<Vec<PathBuf>>,
    pub(crate) settings: Arc<Settings>,
    pub(crate) features: Arc<Features>,
    memo: Arc<Memo>,
}

impl Snapshot {
    /// The path of a document. One that is open keeps the path with which it was opened, wherever links
    /// lead to since, and is not looked for on disk with every letter.
    pub(crate) fn path(&self, uri: &Uri) -> Option<PathBuf> {
        let open = self.documents.iter().find(|(_, document)| document.uri == *uri);
        open.map_or_else(|| address::path(uri), |(path, _)| Some(path.clone()))
    }

    /// The loader of the workspace in which a path lies: the nearest root above it.
    pub(crate) fn loader(&self, path: &Path) -> Option<&Loader> {
        path.ancestors().find_map(|above| self.spaces.get(above))
    }

    /// The analysis of a file.
    pub(crate) fn analysis(&self, path: &Path) -> Option<Result<Arc<Analysis>, ReadProblem>> {
        Some(self.memo.analysis(self.loader(path)?, path, self.options()))
    }

    /// Analyses that are not needed any more.
    pub(crate) fn spent(&self) -> Vec<Arc<Analysis>> {
        self.memo.spent()
    }

    pub(crate) fn options(&self) -> Options {
        Options { today: self.settings.date.unwrap_or_else(curtilage_project::today) }
    }

    /// Whether a document is a site file, to be checked; an open calendar is only read by sites.
    pub(crate) fn is_site(path: &Path) -> bool {
        path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("ics"))
    }
}

/// The newest snapshot, and what has changed since the analyst looked.
pub(crate) struct State {
    inner: Mutex<Inner>,
    changed: Condvar,
}

struct Inner {
    current: Arc<Snapshot>,
    news: News,
    /// Whether the client has been answered that the server is there; before, it is told nothing.
    begun: bool,
    over: bool,
}

impl Inner {
    /// Whether there is anything to do about the news.
    fn has_news(&self) -> bool {
        self.begun && !self.news.is_empty()
    }
}

/// What has changed.
#[derive(Clone, Debug, Default)]
pub(crate) struct News {
    /// Documents that were typed in, opened or closed, the last one last.
    pub(crate) edited: Vec<PathBuf>,
    /// Files may have come or gone: the folders must be looked through again.
    pub(crate) files: bool,
    /// What counts for every file has changed: settings, folders, files on disk.
    pub(crate) everything: bool,
}

impl News {
    fn is_empty(&self) -> bool {
        self.edited.is_empty() && !self.files && !self.everything
    }
}

impl State {
    pub(crate) fn new() -> Self {
        let current = Arc::new(Snapshot {
            generation: 0,
            documents: Arc::default(),
            spaces: Arc::default(),
            folders: Arc::default(),
            settings: Arc::default(),
            features: Arc::default(),
            memo: Arc::default(),
        });
        Self {
            inner: Mutex::new(Inner { current, news: News::default(), begun: false, over: false }),
            changed: Condvar::new(),
        }
    }

    fn inner(&self) -> MutexGuard<'_, Inner> {
        // Each change is made on a copy and put in whole, so a panic leaves the state whole.
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The newest snapshot.
    pub(crate) fn current(&self) -> Arc<Snapshot> {
        Arc::clone(&self.inner().current)
    }

    /// Makes a change. What the client tells is changed by the thread that reads the wire alone, so it
    /// comes in its order.
    pub(crate) fn change(&self, change: impl FnOnce(&mut Snapshot, &mut News)) {
        let mut inner = self.inner();
        let (mut snapshot, mut news) = (Snapshot::clone(&inner.current), News::default());
        change(&mut snapshot, &mut news);
        snapshot.generation += 1;
        inner.current = Arc::new(snapshot);
        inner.news.edited.retain(|path| !news.edited.contains(path));
        inner.news.edited.append(&mut news.edited);
        inner.news.files |= news.files;
        inner.news.everything |= news.everything;
        drop(inner);
        self.changed.notify_all();
    }

    /// Adds the workspace root of a file that was found.
    pub(crate) fn add_space(&self, path: &Path) {
        let mut inner = self.inner();
        let mut snapshot = Snapshot::clone(&inner.current);
        if space_for(&mut snapshot, path) {
            inner.current = Arc::new(snapshot);
        }
    }

    /// The client has been answered: it can be told.
    pub(crate) fn begin(&self) {
        self.inner().begun = true;
        self.changed.notify_all();
    }

    /// Waits for news; false when all is over.
    pub(crate) fn wait_for_news(&self) -> bool {
        let mut inner = self.inner();
        while !inner.over && !inner.has_news() {
            inner = self.changed.wait(inner).unwrap_or_else(PoisonError::into_inner);
        }
        !inner.over
    }

    /// Takes the news, with the snapshot that they led to.
    pub(crate) fn take_news(&self) -> Option<(Arc<Snapshot>, News)> {
        let mut inner = self.inner();
        if inner.over || !inner.has_news() {
            return None;
        }
        let news = std::mem::take(&mut inner.news);
        Some((Arc::clone(&inner.current), news))
    }

    /// Whether there are news, so that what is going on for an old version can be left.
    pub(crate) fn has_news(&self) -> bool {
        let inner = self.inner();
        inner.over || inner.has_news()
    }

    /// Puts news back that were not dealt with.
    pub(crate) fn put_back(&self, news: News) {
        let mut inner = self.inner();
        let later = std::mem::replace(&mut inner.news, news);
        inner.news.edited.retain(|path| !later.edited.contains(path));
        inner.news.edited.extend(later.edited);
        inner.news.files |= later.files;
        inner.news.everything |= later.everything;
    }

    /// Ends everything that waits.
    pub(crate) fn end(&self) {
        self.inner().over = true;
        self.changed.notify_all();
    }
}

/// Makes sure that the workspace of a path has a loader; whether it is new.
pub(crate) fn space_for(snapshot: &mut Snapshot, path: &Path) -> bool {
    let root = root_of(path, &snapshot.folders);
    if snapshot.spaces.contains_key(&root) {
        return false;
    }
    let mut loader = match snapshot.spaces.values().next() {
        Some(other) => other.beside(root.clone()),
        None => Loader::new(root.clone()),
    };
    // What is open below the new root stands for its files as well.
    for (path, document) in snapshot.documents.iter().filter(|(path, _)| path.starts_with(&root)) {
        let (text, lines) = (Arc::clone(&document.text), Arc::clone(&document.lines));
        loader.overlay_text(path.clone(), text, lines);
    }
    Arc::make_mut(&mut snapshot.spaces).insert(root, loader);
    true
}

/// The root of the workspace of a path: a folder that is marked as one, otherwise the folder that
/// the client has open, otherwise the folder of the file.
fn root_of(path: &Path, folders: &[PathBuf]) -> PathBuf {
    let here = if path.is_dir() { path } else { path.parent().unwrap_or(path) };
    marked_root(here)
        .or_else(|| folders.iter().filter(|folder| path.starts_with(folder)).max().cloned())
        .unwrap_or_else(|| here.to_path_buf())
}

/// Looks for the roots of workspaces again, since marks have come or gone: what is open belongs to the
/// nearest one, and a root that is none any more is let go of.
pub(crate) fn look_for_roots(snapshot: &mut Snapshot) {
    let folders = Arc::clone(&snapshot.folders);
    let asked = snapshot.documents.keys().chain(folders.iter());
    let asked: Vec<PathBuf> = asked.cloned().collect();
    // The new ones first: they count their contents on where the old ones do.
    for path in &asked {
        space_for(snapshot, path);
    }
    let needed: BTreeSet<PathBuf> = asked.iter().map(|path| root_of(path, &folders)).collect();
    let stays = |root: &PathBuf| needed.contains(root) || root_of(root, &folders) == *root;
    if !snapshot.spaces.keys().all(stays) {
        Arc::make_mut(&mut snapshot.spaces).retain(|root, _| stays(root));
    }
}

/// Lets the text of a document stand for the file, in every workspace in which it lies.
pub(crate) fn overlay(snapshot: &mut Snapshot, path: &Path, document: &Document) {
    for (root, loader) in Arc::make_mut(&mut snapshot.spaces) {
        if path.starts_with(root) {
            let (text, lines) = (Arc::clone(&document.text), Arc::clone(&document.lines));
            loader.overlay_text(path.to_path_buf(), text, lines);
        }
    }
}

/// The client has let go of a document.
pub(crate) fn close(snapshot: &mut Snapshot, path: &Path) {
    Arc::make_mut(&mut snapshot.documents).remove(path);
    for loader in Arc::make_mut(&mut snapshot.spaces).values_mut() {
        loader.close(path);
    }
    snapshot.memo.forget(path);
}

/// Files on disk have changed.
pub(crate) fn forget(snapshot: &mut Snapshot, paths: &[PathBuf]) {
    for (root, loader) in Arc::make_mut(&mut snapshot.spaces) {
        let here = |path: &&PathBuf| path.starts_with(root) || root.starts_with(path);
        let paths: Vec<&PathBuf> = paths.iter().filter(here).collect();
        loader.forget(&paths);
    }
}

/// Looks whether files on disk have changed, for a client that does not tell. Whether any has.
pub(crate) fn look_again(snapshot: &mut Snapshot) -> bool {
    let mut any = false;
    for loader in Arc::make_mut(&mut snapshot.spaces).values_mut() {
        any |= loader.look_again();
    }
    any
}
