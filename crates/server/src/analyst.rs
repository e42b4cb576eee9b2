//! The one thread that works out and tells what is wrong. It takes the newest version: the document
//! that was typed in last first, then the other open ones, then the files that are not open; and it
//! leaves old work when something new comes.

use crate::address;
use crate::document::Document;
use crate::helper::Helper;
use crate::listed::Listed;
use crate::outlet::Outlet;
use crate::progress::Progress;
use crate::refresh::Refresh;
use crate::shelf::{Checked, Shelf};
use crate::state::{News, Snapshot, State};
use curtilage_project::{Discovered, discover};
use lsp_types::Uri;
use serde::Serialize;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, mpsc};

/// The analyst.
pub(crate) struct Analyst {
    state: Arc<State>,
    outlet: Outlet,
    shelf: Arc<Shelf>,
    progress: Arc<Progress>,
    refresh: Refresh,
    /// What the client was last told of a file that it has open.
    told: HashMap<PathBuf, Told>,
    /// Files that are not open, of which the client was told something, and which list it was.
    told_closed: HashMap<PathBuf, u64>,
    /// The site files below the folders of the client.
    files: BTreeSet<PathBuf>,
    /// Files that files which are not open depend on. A name stays here when it is no longer used;
    /// that costs one useless pass.
    used: HashSet<PathBuf>,
    helper: Helper,
}

/// For so many files the helper is asked.
const WORTH_HELP: usize = 8;

/// The number of no list.
const NO_LIST: u64 = 0;

/// What was told of an open file.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Told {
    version: i32,
    /// The list, and the result that it came with; see [`Checked`].
    list: u64,
    work: u64,
}

/// `textDocument/publishDiagnostics`.
#[derive(Serialize)]
struct Notification<'a> {
    jsonrpc: &'static str,
    method: &'static str,
    params: Findings<'a>,
}

#[derive(Serialize)]
struct Findings<'a> {
    uri: &'a Uri,
    diagnostics: &'a Listed,
    #[serde(skip_serializing_if = "Option::is_none")]
    version: Option<i32>,
}

impl Analyst {
    pub(crate) fn new(
        state: Arc<State>,
        outlet: Outlet,
        shelf: Arc<Shelf>,
        progress: Progress,
        refresh: Refresh,
        helper: Helper,
    ) -> Self {
        Self {
            state,
            outlet,
            shelf,
            progress: Arc::new(progress),
            refresh,
            told: HashMap::new(),
            told_closed: HashMap::new(),
            files: BTreeSet::new(),
            used: HashSet::new(),
            helper,
        }
    }

    /// Works until all is over.
    pub(crate) fn run(mut self) {
        while self.state.wait_for_news() {
            // A client that does not read is not sent more; later it gets the newest.
            if !self.outlet.wait_for_room() {
                return;
            }
            let Some((snapshot, news)) = self.state.take_news() else { continue };
            let work = std::panic::AssertUnwindSafe(|| self.one(&snapshot, &news));
            if std::panic::catch_unwind(work).is_err() {
                crate::log("the analysis of a version failed; the next one is tried");
            }
            // To take an analysis apart takes as long as a good part of making it: now that all is
            // told nobody waits. Another thread would wait for the lock on the memory, and so would
            // this one.
            drop(snapshot.spent());
        }
    }

    fn one(&mut self, snapshot: &Arc<Snapshot>, news: &News) {
        let mut open: Vec<&PathBuf> = news.edited.iter().rev().collect();
        let mut others: Vec<&PathBuf> =
            snapshot.documents.keys().filter(|path| !news.edited.contains(path)).collect();
        others.sort();
        open.append(&mut others);
        let mut shown_is_old = false;
        for (place, path) in open.into_iter().enumerate() {
            // What was typed in last is told in any case, so that one who never stops typing sees
            // something too.
            if place > 0 && self.state.has_news() {
                self.state.put_back(news.clone());
                return self.ask_again(shown_is_old);
            }
            match snapshot.documents.get(path) {
                Some(document) => {
                    let new = self.open(snapshot, path, document);
                    shown_is_old |= new && place > 0;
                }
                None => self.left(snapshot, path),
            }
        }
        self.ask_again(shown_is_old);
        self.closed(snapshot, news);
    }

    /// A client asks by itself about what is typed in, and not about another open file that uses it:
    /// its findings, figures and colours are asked for again when they are other than they were.
    fn ask_again(&self, shown_is_old: bool) {
        if shown_is_old {
            self.refresh.all();
        }
    }

    /// Tells what is wrong with an open document, unless that was told. Whether there was anything
    /// new to tell.
    fn open(&mut self, snapshot: &Snapshot, path: &Path, document: &Document) -> bool {
        if !Snapshot::is_site(path) {
            return false;
        }
        let Some(checked) = self.shelf.checked(snapshot, path) else { return false };
        let now = Told { version: document.version, list: checked.id, work: checked.work };
        let before = self.told.insert(path.to_path_buf(), now);
        let same = before.is_some_and(|told| (told.version, told.list) == (now.version, now.list));
        if !same && !snapshot.features.pull {
            // Somebody waits for this one.
            let version = Some(document.version);
            self.outlet.write_json(&told(&document.uri, &checked.items, version));
        }
        before != Some(now)
    }

    /// The client has closed a document: what is on disk counts again, if it is one of its files.
    fn left(&mut self, snapshot: &Snapshot, path: &Path) {
        if self.told.remove(path).is_some() {
            // It is told again in any case: a client may have let go of what it was told.
            self.told_closed.insert(path.to_path_buf(), NO_LIST);
        }
        match self.shelf.checked(snapshot, path) {
            Some(checked) if self.files.contains(path) => {
                self.tell_closed(snapshot, path, &checked)
            }
            _ => {
                self.shelf.forget(path);
                self.clear(snapshot, path);
            }
        }
    }

    /// Works out the files that are not open, as far as the news concern them.
    fn closed(&mut self, snapshot: &Arc<Snapshot>, news: &News) {
        let mut snapshot = Arc::clone(snapshot);
        let mut fewer = false;
        if news.files {
            fewer = self.look_through(&snapshot);
            snapshot = self.state.current();
        } else if !news.everything && !news.edited.iter().any(|path| self.used.contains(path)) {
            return;
        }
        let wanted = |path: &&PathBuf| {
            !snapshot.documents.contains_key(*path) && self.shelf.known(&snapshot, path).is_none()
        };
        let wanted: Vec<PathBuf> = self.files.iter().filter(wanted).cloned().collect();
        if wanted.is_empty() {
            // What was told of a file that is gone is taken back by asking again.
            if fewer && snapshot.features.pull {
                self.refresh.diagnostics();
            }
            return;
        }
        let complete = self.each(&snapshot, wanted);
        if snapshot.features.pull {
            self.refresh.diagnostics();
        }
        if !complete {
            self.state.put_back(News { everything: true, ..news.clone() });
        }
    }

    /// Checks files, with the helper when they are many, and tells of each at once, until there is something
    /// new. Whether it came to the end.
    fn each(&mut self, snapshot: &Arc<Snapshot>, paths: Vec<PathBuf>) -> bool {
        let progress = Arc::clone(&self.progress);
        let count = paths.len();
        let scan = progress.scan("checking sites", count);
        let next = Arc::new(AtomicUsize::new(0));
        let (state, shelf) = (Arc::clone(&self.state), Arc::clone(&self.shelf));
        let (of, taken) = (Arc::clone(snapshot), Arc::clone(&next));
        let one = Arc::new(move || {
            if state.has_news() {
                return None;
            }
            let path = paths.get(taken.fetch_add(1, Ordering::Relaxed))?;
            let one = std::panic::AssertUnwindSafe(|| shelf.checked(&of, path));
            Some((path.clone(), std::panic::catch_unwind(one).ok().flatten()))
        });
        let (sender, done) = mpsc::channel();
        if count >= WORTH_HELP {
            let one = Arc::clone(&one);
            self.helper.take(move || {
                while let Some(done) = one() {
                    let _ = sender.send(done);
                }
                // Whoever sees the end may rely on it that nothing is held here any more.
                drop(one);
                drop(sender);
            });
        } else {
            drop(sender);
        }
        let mut steps = 0;
        let mut tell = |(path, checked): (PathBuf, Option<Arc<Checked>>)| {
            let Some(checked) = checked else { return };
            self.used.extend(checked.needs.iter().skip(1).map(|need| need.path.clone()));
            self.tell_closed(snapshot, &path, &checked);
            steps += 1;
            scan.step(steps);
        };
        while let Some(own) = one() {
            tell(own);
            done.try_iter().for_each(&mut tell);
        }
        // It ends when the helper has let go of the job.
        done.iter().for_each(tell);
        next.load(Ordering::Relaxed) >= count
    }

    /// Finds the site files below the folders of the client; what is gone is told as clean. Whether
    /// anything is gone.
    fn look_through(&mut self, snapshot: &Snapshot) -> bool {
        let Discovered { files, calendars, .. } = discover(&snapshot.folders);
        let found: BTreeSet<PathBuf> = files.into_iter().collect();
        let mut folder = None;
        for path in &found {
            // The files of a folder are in one workspace.
            if path.parent() != folder {
                folder = path.parent();
                self.state.add_space(path);
            }
        }
        let gone: Vec<PathBuf> = self.files.difference(&found).cloned().collect();
        for gone in &gone {
            if !snapshot.documents.contains_key(gone) {
                self.shelf.forget(gone);
                self.clear(snapshot, gone);
            }
        }
        self.shelf.set_files(found.iter().cloned().collect(), calendars);
        self.files = found;
        !gone.is_empty()
    }

    fn tell_closed(&mut self, snapshot: &Snapshot, path: &Path, checked: &Checked) {
        if checked.items.is_empty() {
            self.clear(snapshot, path);
        } else if !snapshot.features.pull {
            let before = self.told_closed.insert(path.to_path_buf(), checked.id);
            if before != Some(checked.id)
                && let Some(uri) = address::uri(path)
            {
                self.publish(&uri, &checked.items);
            }
        }
    }

    /// Takes back what the client was told of a file that is not open.
    fn clear(&mut self, snapshot: &Snapshot, path: &Path) {
        if self.told_closed.remove(path).is_some()
            && !snapshot.features.pull
            && let Some(uri) = address::uri(path)
        {
            self.publish(&uri, &Listed::default());
        }
    }

    fn publish(&self, uri: &Uri, diagnostics: &Listed) {
        self.outlet.send_json(&told(uri, diagnostics, None));
    }
}

fn told<'a>(uri: &'a Uri, diagnostics: &'a Listed, version: Option<i32>) -> Notification<'a> {
    let method = "textDocument/publishDiagnostics";
    let params = Findings { uri, diagnostics, version };
    Notification { jsonrpc: "2.0", method, params }
}
