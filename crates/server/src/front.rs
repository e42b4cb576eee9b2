//! Stands before the router, on the thread that reads the wire. Every change of a document is
//! applied here, one after the other, before anything waits; every request gets the snapshot of the
//! moment in which it was read. So no handler can ever see edits out of order.

use crate::address;
use crate::document::Document;
use crate::features::Features;
use crate::outlet::Outlet;
use crate::settings::Settings;
use crate::state::{self, News, Snapshot, State};
use lsp_types::{
    DidChangeConfigurationParams, DidChangeTextDocumentParams, DidChangeWatchedFilesParams,
    DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams,
    DidSaveTextDocumentParams, FileChangeType, InitializeParams, WorkspaceFolder,
};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_json::value::RawValue;
use std::borrow::Cow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::sync::mpsc::UnboundedSender;
use tower_lsp::jsonrpc::{Error, Id, Request, Response};

/// What goes on to the router.
pub(crate) enum Routed {
    /// A request or a notification, with what was known when it came.
    Request(Request, Arc<Snapshot>),
    /// The client's answer to a request of ours.
    Response(Response),
}

/// What to do after a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Then {
    GoOn,
    /// The client wants the server to end, with this code.
    End(u8),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Before,
    Running,
    ShutDown,
}

/// The front.
pub(crate) struct Front {
    state: Arc<State>,
    outlet: Outlet,
    router: UnboundedSender<Routed>,
    phase: Phase,
}

/// A message, as far as it has to be understood here.
#[derive(Deserialize)]
struct Message<'a> {
    #[serde(default, deserialize_with = "given")]
    id: Option<Id>,
    #[serde(borrow)]
    method: Option<Cow<'a, str>>,
    #[serde(borrow)]
    params: Option<&'a RawValue>,
}

/// An id that is there, though it be null.
fn given<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Option<Id>, D::Error> {
    Id::deserialize(from).map(Some)
}

impl Front {
    pub(crate) fn new(state: Arc<State>, outlet: Outlet, router: UnboundedSender<Routed>) -> Self {
        Self { state, outlet, router, phase: Phase::Before }
    }

    /// What to end with when the client just closes.
    pub(crate) fn code(&self) -> u8 {
        u8::from(self.phase != Phase::ShutDown)
    }

    /// Whether what is said here is heard no more.
    pub(crate) fn is_cut_off(&self) -> bool {
        self.outlet.is_closed()
    }

    /// Something came that is no message.
    pub(crate) fn refuse(&self, why: &'static str) {
        let mut error = Error::parse_error();
        error.message = Cow::Borrowed(why);
        self.outlet.send_json(&Response::from_error(Id::Null, error));
    }

    /// Takes a message.
    pub(crate) fn take(&mut self, body: &[u8]) -> Then {
        let message: Message<'_> = match serde_json::from_slice(body) {
            Ok(message) => message,
            Err(error) => {
                let error =
                    if error.is_data() { Error::invalid_request() } else { Error::parse_error() };
                self.outlet.send_json(&Response::from_error(Id::Null, error));
                return Then::GoOn;
            }
        };
        let Some(method) = message.method else {
            match serde_json::from_slice::<Response>(body) {
                Ok(response) => {
                    let _ = self.router.send(Routed::Response(response));
                }
                Err(_) => self.outlet.send_json(&Response::from_error(
                    message.id.unwrap_or(Id::Null),
                    Error::invalid_request(),
                )),
            }
            return Then::GoOn;
        };
        if method == "exit" {
            return Then::End(self.code());
        }
        let mended = message.params.and_then(|params| address::mended(params.get()));
        let mended = mended.and_then(|params| RawValue::from_string(params).ok());
        let params = mended.as_deref().or(message.params);
        let is_ours = message.id.is_none() && method.starts_with("textDocument/did");
        match (self.phase, &*method) {
            (Phase::Before, "initialize") => self.initialize(params),
            (Phase::Running, _) if message.id.is_none() => self.notice(&method, params),
            (Phase::Running, "shutdown") => self.phase = Phase::ShutDown,
            _ => {}
        }
        if !is_ours {
            self.route(method.into_owned(), message.id, params);
        }
        Then::GoOn
    }

    fn route(&self, method: String, id: Option<Id>, params: Option<&RawValue>) {
        let mut request = Request::build(method);
        if let Some(id) = id {
            request = request.id(id);
        }
        if let Some(params) = params.and_then(|raw| serde_json::from_str(raw.get()).ok()) {
            let params: Value = params;
            request = request.params(params);
        }
        let _ = self.router.send(Routed::Request(request.finish(), self.state.current()));
    }

    fn initialize(&mut self, params: Option<&RawValue>) {
        let raw =
            params.and_then(|raw| serde_json::from_str(raw.get()).ok()).unwrap_or(Value::Null);
        let Some(params) = read::<InitializeParams>("initialize", params) else { return };
        self.phase = Phase::Running;
        let given = params.initialization_options.unwrap_or_default();
        let (settings, wrong) = Settings::read(&given);
        wrong.iter().for_each(|line| crate::log(line));
        let features =
            Features::of(&params.capabilities, raw.get("capabilities").unwrap_or(&raw), &settings);
        #[expect(deprecated, reason = "clients of older versions say no more")]
        let root = params.root_uri.as_ref().and_then(address::path);
        let folders = match params.workspace_folders {
            Some(folders) => paths(&folders),
            None => root.into_iter().collect(),
        };
        self.state.change(|snapshot, news| {
            snapshot.settings = Arc::new(settings);
            snapshot.features = Arc::new(features);
            snapshot.folders = Arc::new(folders);
            for folder in &*Arc::clone(&snapshot.folders) {
                state::space_for(snapshot, folder);
            }
            news.files = true;
        });
    }

    /// A notification that changes what is known.
    fn notice(&self, method: &str, params: Option<&RawValue>) {
        match method {
            "textDocument/didOpen" => {
                let Some(params) = read::<DidOpenTextDocumentParams>(method, params) else {
                    return;
                };
                let document = params.text_document;
                self.edit(address::path(&document.uri), |snapshot, path| {
                    state::space_for(snapshot, path);
                    Some(Document::new(document.uri.clone(), document.version, document.text))
                });
            }
            "textDocument/didChange" => {
                let Some(params) = read::<DidChangeTextDocumentParams>(method, params) else {
                    return;
                };
                let document = params.text_document;
                self.edit(self.state.current().path(&document.uri), |snapshot, path| {
                    let open = Arc::make_mut(&mut snapshot.documents).remove(path);
                    let Some(mut open) = open.map(Arc::unwrap_or_clone) else {
                        crate::log("a document was changed that is not open");
                        return None;
                    };
                    let encoding = snapshot.features.encoding;
                    open.change(document.version, params.content_changes, encoding);
                    Some(open)
                });
            }
            "textDocument/didClose" => {
                let Some(params) = read::<DidCloseTextDocumentParams>(method, params) else {
                    return;
                };
                let path = self.state.current().path(&params.text_document.uri);
                let Some(path) = path else { return };
                self.state.change(|snapshot, news| {
                    if snapshot.documents.contains_key(&path) {
                        state::close(snapshot, &path);
                        news.edited.push(path);
                    }
                });
            }
            "textDocument/didSave" => {
                let Some(params) = read::<DidSaveTextDocumentParams>(method, params) else {
                    return;
                };
                let path = self.state.current().path(&params.text_document.uri);
                let Some(path) = path else { return };
                self.state.change(|snapshot, news| {
                    // A client that does not watch files tells of its own saves at least. Then is a
                    // good moment to look for what other programs did.
                    if !snapshot.features.watch_files {
                        state::forget(snapshot, &[path]);
                        state::look_again(snapshot);
                        state::look_for_roots(snapshot);
                        (news.files, news.everything) = (true, true);
                    }
                });
            }
            "workspace/didChangeWatchedFiles" => {
                let Some(params) = read::<DidChangeWatchedFilesParams>(method, params) else {
                    return;
                };
                self.state.change(|snapshot, news| {
                    let changes = params.changes.iter();
                    let known = changes
                        .filter_map(|change| Some((address::path(&change.uri)?, change.typ)));
                    let (paths, kinds): (Vec<PathBuf>, Vec<FileChangeType>) = known.unzip();
                    state::forget(snapshot, &paths);
                    if kinds.iter().any(|kind| *kind != FileChangeType::CHANGED) {
                        state::look_for_roots(snapshot);
                        news.files = true;
                    }
                    news.everything |= !paths.is_empty();
                });
            }
            "workspace/didChangeWorkspaceFolders" => {
                let Some(params) = read::<DidChangeWorkspaceFoldersParams>(method, params) else {
                    return;
                };
                let (added, removed) = (paths(&params.event.added), paths(&params.event.removed));
                self.state.change(|snapshot, news| {
                    let mut folders = snapshot.folders.to_vec();
                    folders.retain(|folder| !removed.contains(folder) && !added.contains(folder));
                    folders.extend(added);
                    snapshot.folders = Arc::new(folders);
                    for folder in &*Arc::clone(&snapshot.folders) {
                        state::space_for(snapshot, folder);
                    }
                    news.files = true;
                });
            }
            "workspace/didChangeConfiguration" => {
                let Some(params) = read::<DidChangeConfigurationParams>(method, params) else {
                    return;
                };
                // A client that can be asked is asked, by the router.
                if !params.settings.is_null() && !self.state.current().features.configuration {
                    let (_, wrong) = set(&self.state, &params.settings);
                    wrong.iter().for_each(|line| crate::log(line));
                }
            }
            _ => {}
        }
    }

    /// Puts a new text of a document in the place of the old one.
    fn edit(
        &self,
        path: Option<PathBuf>,
        new: impl FnOnce(&mut Snapshot, &Path) -> Option<Document>,
    ) {
        let Some(path) = path else { return };
        self.state.change(|snapshot, news| {
            let Some(document) = new(snapshot, &path) else { return };
            state::overlay(snapshot, &path, &document);
            Arc::make_mut(&mut snapshot.documents).insert(path.clone(), Arc::new(document));
            news.edited.push(path);
        });
    }
}

/// Takes new settings. Whether they differ, and what is wrong with them.
pub(crate) fn set(state: &State, value: &Value) -> (bool, Vec<String>) {
    let (settings, wrong) = Settings::read(value);
    let mut differ = false;
    state.change(|snapshot: &mut Snapshot, news: &mut News| {
        differ = *snapshot.settings != settings;
        news.everything = differ;
        snapshot.settings = Arc::new(settings);
    });
    (differ, wrong)
}

fn paths(folders: &[WorkspaceFolder]) -> Vec<PathBuf> {
    folders.iter().filter_map(|folder| address::path(&folder.uri)).collect()
}

fn read<T: DeserializeOwned>(method: &str, params: Option<&RawValue>) -> Option<T> {
    match serde_json::from_str(params.map_or("null", RawValue::get)) {
        Ok(params) => Some(params),
        Err(error) => {
            crate::log(&format!("`{method}` is not as it should be: {error}"));
            None
        }
    }
}
