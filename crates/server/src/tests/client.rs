//! A client for tests: it speaks over pipes in memory, answers what the server asks, and waits for
//! messages, never for time. What comes is read as the types of the protocol, so a message of a
//! wrong shape fails the test that sees it.

use crate::frame::{self, Frame, Frames};
use crate::{Options, serve};
use lsp_types::notification::{Notification, PublishDiagnostics};
use lsp_types::request::Request;
use lsp_types::{Diagnostic, PublishDiagnosticsParams, Uri};
use serde_json::{Value, json};
use std::collections::VecDeque;
use std::io::{BufReader, PipeWriter, Write};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;
use tempfile::TempDir;

/// A test that waits so long has failed.
const LONGEST: Duration = Duration::from_secs(60);

/// The day of tests.
pub(crate) const TODAY: &str = "2026-11-25";

/// What a client can do that can do everything.
pub(crate) fn able() -> Value {
    json!({
        "general": { "positionEncodings": ["utf-16"] },
        "window": { "workDoneProgress": true },
        "workspace": {
            "configuration": true,
            "workspaceFolders": true,
            "didChangeConfiguration": { "dynamicRegistration": true },
            "didChangeWatchedFiles": { "dynamicRegistration": true },
            "workspaceEdit": { "documentChanges": true },
            "inlayHint": { "refreshSupport": true },
            "codeLens": { "refreshSupport": true },
            "semanticTokens": { "refreshSupport": true },
        },
        "textDocument": {
            "publishDiagnostics": { "relatedInformation": true, "versionSupport": true },
            "hover": { "contentFormat": ["markdown", "plaintext"] },
            "completion": { "completionItem": { "snippetSupport": true } },
            "signatureHelp": { "signatureInformation": {
                "parameterInformation": { "labelOffsetSupport": true } } },
            "documentSymbol": { "hierarchicalDocumentSymbolSupport": true },
            "definition": { "linkSupport": true },
            "codeAction": { "codeActionLiteralSupport": {
                "codeActionKind": { "valueSet": ["quickfix", "source"] } } },
        },
    })
}

/// The same, for a client that asks for diagnostics.
pub(crate) fn able_to_pull() -> Value {
    let mut able = able();
    able["textDocument"]["diagnostic"] = json!({ "dynamicRegistration": false });
    able["workspace"]["diagnostics"] = json!({ "refreshSupport": true });
    able
}

/// The way to the server, shared with the thread that answers; none when the client has hung up.
type Wire = Arc<Mutex<Option<PipeWriter>>>;

/// A client with its server.
pub(crate) struct Client {
    pub(crate) folder: PathBuf,
    _folder: Option<TempDir>,
    _cache: TempDir,
    input: Wire,
    messages: Receiver<Value>,
    seen: VecDeque<Value>,
    settings: Arc<Mutex<Value>>,
    next: i64,
    server: Option<JoinHandle<u8>>,
}

impl Client {
    /// A server on a folder with these files, begun by an able client.
    #[track_caller]
    pub(crate) fn on(files: &[(&str, &str)]) -> Self {
        Self::with(files, able())
    }

    /// The same with other abilities.
    #[track_caller]
    pub(crate) fn with(files: &[(&str, &str)], able: Value) -> Self {
        let mut client = Self::unbegun(files, Options::default());
        client.begin(able);
        client
    }

    /// A server that was told nothing yet.
    pub(crate) fn unbegun(files: &[(&str, &str)], options: Options) -> Self {
        let temporary = tempfile::tempdir().unwrap();
        let folder = temporary.path().canonicalize().unwrap();
        std::fs::write(folder.join("workspace.site"), "").unwrap();
        for (path, text) in files {
            let path = folder.join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        let mut client = Self::at(folder, options);
        client._folder = Some(temporary);
        client
    }

    /// A server on a folder that is there, begun by an able client.
    #[track_caller]
    pub(crate) fn at_folder(folder: PathBuf) -> Self {
        let mut client = Self::at(folder, Options::default());
        client.begin(able());
        client
    }

    /// Ends without a word, as a client that is killed, and gives its folder away.
    pub(crate) fn give_folder(mut self) -> (PathBuf, Option<TempDir>) {
        let (folder, keep) = (self.folder.clone(), self._folder.take());
        self.hang_up();
        (folder, keep)
    }

    fn at(folder: PathBuf, options: Options) -> Self {
        // Pages of rules never land in a folder that is kept.
        let cache = tempfile::tempdir().unwrap();
        let options = Options { cache: Some(cache.path().join(".cache")), ..options };
        let (from_client, input) = std::io::pipe().unwrap();
        let (from_server, output) = std::io::pipe().unwrap();
        let server = std::thread::spawn(move || serve(from_client, output, &options).unwrap());
        let (sender, messages) = channel();
        let settings = Arc::new(Mutex::new(json!({ "date": TODAY })));
        let input: Wire = Arc::new(Mutex::new(Some(input)));
        let answers = Arc::clone(&input);
        let settings_too = Arc::clone(&settings);
        std::thread::spawn(move || {
            listen(Frames::new(BufReader::new(from_server)), &answers, &sender, &settings_too);
        });
        Self {
            folder,
            _folder: None,
            _cache: cache,
            input,
            messages,
            seen: VecDeque::new(),
            settings,
            next: 0,
            server: Some(server),
        }
    }

    /// Sends `initialize` and `initialized`; gives the server's capabilities.
    #[track_caller]
    pub(crate) fn begin(&mut self, able: Value) -> Value {
        let uri = self.uri("");
        let params = json!({
            "processId": null,
            "rootUri": uri,
            "capabilities": able,
            "initializationOptions": { "date": TODAY },
            "workspaceFolders": [{ "uri": uri, "name": "test" }],
        });
        let answer = self.request("initialize", params);
        self.notify("initialized", json!({}));
        answer["capabilities"].clone()
    }

    pub(crate) fn set(&self, settings: Value) {
        *self.settings.lock().unwrap() = settings;
    }

    /// The address of a file below the folder.
    pub(crate) fn uri(&self, path: &str) -> String {
        let path = if path.is_empty() { self.folder.clone() } else { self.folder.join(path) };
        crate::address::uri(&path).unwrap().as_str().to_owned()
    }

    pub(crate) fn path(&self, path: &str) -> PathBuf {
        self.folder.join(path)
    }

    pub(crate) fn document(&self, path: &str) -> Value {
        json!({ "uri": self.uri(path) })
    }

    /// Sends bytes as they are.
    pub(crate) fn raw(&mut self, bytes: &[u8]) {
        self.input.lock().unwrap().as_mut().unwrap().write_all(bytes).unwrap();
    }

    pub(crate) fn send(&mut self, message: &Value) {
        put(&self.input, message.to_string().as_bytes());
    }

    pub(crate) fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// Asks, without waiting for the answer; gives the id.
    pub(crate) fn ask(&mut self, method: &str, params: Value) -> i64 {
        self.next += 1;
        let id = self.next;
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        id
    }

    /// The whole answer to a question.
    #[track_caller]
    pub(crate) fn answer(&mut self, id: i64) -> Value {
        self.wait(|message| message["id"] == json!(id) && message["method"].is_null())
    }

    /// Asks and waits for the result.
    #[track_caller]
    pub(crate) fn request(&mut self, method: &str, params: Value) -> Value {
        let id = self.ask(method, params);
        let mut answer = self.answer(id);
        assert!(answer["error"].is_null(), "{method}: {answer}");
        answer["result"].take()
    }

    /// Asks with the types of the protocol.
    #[track_caller]
    pub(crate) fn typed<R: Request>(&mut self, params: Value) -> R::Result {
        let params: R::Params = serde_json::from_value(params).expect("params of the protocol");
        let result = self.request(R::METHOD, serde_json::to_value(params).unwrap());
        serde_json::from_value(result.clone())
            .unwrap_or_else(|error| panic!("{}: {error}: {result}", R::METHOD))
    }

    /// The first message, from those not yet looked at, that is wanted; the others wait on.
    #[track_caller]
    pub(crate) fn wait(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        if let Some(at) = self.seen.iter().position(&wanted) {
            return self.seen.remove(at).unwrap();
        }
        loop {
            match self.messages.recv_timeout(LONGEST) {
                Ok(message) if wanted(&message) => return message,
                Ok(message) => self.seen.push_back(message),
                Err(error) => panic!("{error}; what came instead: {:#?}", self.seen),
            }
        }
    }

    pub(crate) fn open(&mut self, path: &str, version: i32, text: &str) {
        let document = json!({
            "uri": self.uri(path), "languageId": "curtilage", "version": version, "text": text,
        });
        self.notify("textDocument/didOpen", json!({ "textDocument": document }));
    }

    /// Changes ranges, given as four numbers, or the whole text.
    pub(crate) fn change(
        &mut self,
        path: &str,
        version: i32,
        changes: &[(Option<[u32; 4]>, &str)],
    ) {
        let changes: Vec<Value> = changes
            .iter()
            .map(|(range, text)| match range {
                Some([line, column, to_line, to_column]) => json!({
                    "range": {
                        "start": { "line": line, "character": column },
                        "end": { "line": to_line, "character": to_column },
                    },
                    "text": text,
                }),
                None => json!({ "text": text }),
            })
            .collect();
        let document = json!({ "uri": self.uri(path), "version": version });
        let params = json!({ "textDocument": document, "contentChanges": changes });
        self.notify("textDocument/didChange", params);
    }

    pub(crate) fn close(&mut self, path: &str) {
        let document = self.document(path);
        self.notify("textDocument/didClose", json!({ "textDocument": document }));
    }

    /// Writes a file and tells of it. 1: created, 2: changed, 3: deleted.
    pub(crate) fn watched(&mut self, path: &str, kind: u8) {
        let changes = json!([{ "uri": self.uri(path), "type": kind }]);
        self.notify("workspace/didChangeWatchedFiles", json!({ "changes": changes }));
    }

    /// What is published about a file, from this version on.
    #[track_caller]
    pub(crate) fn diagnostics(&mut self, path: &str, version: i32) -> Vec<Diagnostic> {
        let uri = Uri::from_str(&self.uri(path)).unwrap();
        let message = self.wait(|message| {
            published(message).is_some_and(|told| {
                told.uri == uri && told.version.is_some_and(|told| told >= version)
            })
        });
        published(&message).unwrap().diagnostics
    }

    /// What is published about a file that is not open.
    #[track_caller]
    pub(crate) fn diagnostics_closed(&mut self, path: &str) -> Vec<Diagnostic> {
        let uri = Uri::from_str(&self.uri(path)).unwrap();
        let message = self.wait(|message| {
            published(message).is_some_and(|told| told.uri == uri && told.version.is_none())
        });
        published(&message).unwrap().diagnostics
    }

    /// What is published about a file anywhere that is not open.
    #[track_caller]
    pub(crate) fn diagnostics_at(&mut self, path: &Path) -> Vec<Diagnostic> {
        let uri = crate::address::uri(path).unwrap();
        let message = self.wait(|message| published(message).is_some_and(|told| told.uri == uri));
        published(&message).unwrap().diagnostics
    }

    /// What has come so far and was not looked at, of one method.
    pub(crate) fn seen(&self, method: &str) -> Vec<Value> {
        self.seen.iter().filter(|message| message["method"] == method).cloned().collect()
    }

    /// Lets go of what was not looked at.
    pub(crate) fn forget_seen(&mut self) {
        self.seen.clear();
    }

    /// Waits until the server has asked the client something; gives what.
    #[track_caller]
    pub(crate) fn asked(&mut self, method: &str) -> Value {
        let message = self.wait(|message| message["method"] == method && !message["id"].is_null());
        message["params"].clone()
    }

    /// Ends as the protocol wants it; gives the exit code.
    #[track_caller]
    pub(crate) fn end(mut self) -> u8 {
        self.request("shutdown", Value::Null);
        self.exit()
    }

    /// Ends without `shutdown`; the input stays open until the server has ended.
    #[track_caller]
    pub(crate) fn exit(mut self) -> u8 {
        self.notify("exit", Value::Null);
        self.server.take().unwrap().join().unwrap()
    }

    /// Closes the input; gives the exit code.
    pub(crate) fn hang_up(mut self) -> u8 {
        *self.input.lock().unwrap() = None;
        drop(self.messages);
        self.server.take().unwrap().join().unwrap()
    }
}

/// Writes a message in one piece. A server that has ended hears nothing any more.
fn put(wire: &Wire, body: &[u8]) {
    let mut bytes = Vec::new();
    frame::write(&mut bytes, body).unwrap();
    if let Some(wire) = wire.lock().unwrap().as_mut() {
        let _ = wire.write_all(&bytes);
    }
}

fn published(message: &Value) -> Option<PublishDiagnosticsParams> {
    (message["method"] == PublishDiagnostics::METHOD)
        .then(|| serde_json::from_value(message["params"].clone()).expect("as the protocol has it"))
}

/// Reads what the server says, and answers what it asks.
fn listen(
    mut frames: Frames<BufReader<std::io::PipeReader>>,
    answers: &Wire,
    sender: &Sender<Value>,
    settings: &Mutex<Value>,
) {
    while let Ok(Frame::Body(body)) = frames.next() {
        let message: Value = serde_json::from_slice(&body).expect("JSON");
        assert_eq!(message["jsonrpc"], "2.0");
        if let (Some(method), false) = (message["method"].as_str(), message["id"].is_null()) {
            let result = match method {
                "workspace/configuration" => json!([settings.lock().unwrap().clone()]),
                _ => Value::Null,
            };
            let answer = json!({ "jsonrpc": "2.0", "id": message["id"], "result": result });
            put(answers, answer.to_string().as_bytes());
        }
        if sender.send(message).is_err() {
            return;
        }
    }
}

/// A file of the examples.
pub(crate) fn example(path: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    std::fs::read_to_string(root.join(path)).unwrap()
}
