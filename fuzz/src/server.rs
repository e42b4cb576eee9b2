//! The server takes any bytes, answers every request once, and ends when it is told to.
//!
//! The input is a script: the text of a site, a line of `====`, and a step a line. A step is a
//! method, two places, and a text: `hover 12:4`, `change 3:0 4:0 zone x is y`. A step that begins
//! with `!` is put on the wire as it stands, with a header in front of it; one that begins with `~`
//! without. Addresses are made here, so that nothing outside of one folder is ever looked at.

use crate::site::two;
use curtilage_server::{Options, serve};
use serde_json::{Value, json};
use std::collections::{BTreeSet, VecDeque};
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::{Arc, Condvar, LazyLock, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// So long may the server take to answer everything.
const LONGEST: Duration = Duration::from_secs(20);

/// The most steps of one script.
const MOST_STEPS: usize = 40;

static FOLDER: LazyLock<TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a folder");
    let put = |path: &str, text: &str| {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().expect("it is below the folder")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    };
    put("workspace.site", "");
    put("parts/general.site", include_str!("../../examples/parts/general.site"));
    put("policy/house.site", include_str!("../../examples/policy/house.site"));
    put("sites/b.site", include_str!("../../examples/sites/farm-shop.site"));
    folder
});

/// Plays the script to a server.
pub fn holds(data: &[u8]) {
    let (site, steps) = two(data);
    let folder = FOLDER.path().canonicalize().expect("it is there");
    let script = Script::new(&folder, &site, steps.as_deref().unwrap_or(DEFAULT));
    let wire = Arc::new(Wire::default());
    let options = Options { cache: Some(folder.join(".cache")), patience: Duration::from_secs(1) };
    let (input, output) = (Input::new(&wire, script.bytes, script.asked), Output::new(&wire));
    let code = serve(input, output, &options).expect("threads can be made");
    assert_eq!(code, script.code, "the exit code");
}

/// What is asked of a text that comes alone.
const DEFAULT: &str = "symbols\ntokens\nhints\nlenses\nfold\nlinks\nformat\nhover 9:9\n\
    complete 12:8\nactions 0:0 40:0\nchange 3:0 4:0 \nhover 3:3\nreferences 5:6\nrename 5:6 new\n\
    diagnostic\n";

/// What a script puts on the wire.
struct Script {
    bytes: Vec<u8>,
    /// The ids of the requests.
    asked: BTreeSet<i64>,
    code: u8,
}

impl Script {
    fn new(folder: &Path, site: &str, steps: &str) -> Self {
        let root = address(folder, "");
        let mut script = Self { bytes: Vec::new(), asked: BTreeSet::new(), code: 0 };
        script.ask("initialize", json!({
            "processId": null,
            "rootUri": root,
            "capabilities": {
                "general": { "positionEncodings": ["utf-16"] },
                "workspace": { "workspaceEdit": { "documentChanges": true } },
                "textDocument": {
                    "publishDiagnostics": { "relatedInformation": true, "versionSupport": true },
                    "completion": { "completionItem": { "snippetSupport": true } },
                    "diagnostic": { "dynamicRegistration": false },
                },
            },
            "initializationOptions": { "date": "2026-11-25" },
            "workspaceFolders": [{ "uri": root, "name": "fuzz" }],
        }));
        script.tell("initialized", json!({}));
        let document = json!({ "uri": address(folder, "sites/a.site"), "languageId": "curtilage",
            "version": 1, "text": site });
        script.tell("textDocument/didOpen", json!({ "textDocument": document }));
        for (version, step) in (2..).zip(steps.lines().take(MOST_STEPS)) {
            script.step(folder, version, step);
        }
        // A header of its own line, should garbage have been left in front.
        script.bytes.extend(b"\r\n");
        script.ask("shutdown", Value::Null);
        script.tell("exit", Value::Null);
        script
    }

    fn ask(&mut self, method: &str, params: Value) {
        let id = i64::try_from(self.asked.len()).expect("few") + 1;
        self.asked.insert(id);
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
    }

    fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    fn send(&mut self, message: &Value) {
        self.frame(message.to_string().as_bytes());
    }

    fn frame(&mut self, body: &[u8]) {
        self.bytes.extend(format!("Content-Length: {}\r\n\r\n", body.len()).bytes());
        self.bytes.extend(body);
    }

    fn step(&mut self, folder: &Path, version: i32, step: &str) {
        if let Some(raw) = step.strip_prefix('!') {
            return if is_harmless(raw) {
                self.frame(raw.as_bytes())
            };
        }
        if let Some(raw) = step.strip_prefix('~') {
            // A length would swallow what comes behind.
            let swallows = raw.to_ascii_lowercase().contains("content-length");
            if is_harmless(raw) && !swallows {
                self.bytes.extend(raw.bytes());
                self.bytes.extend(b"\r\n");
            }
            return;
        }
        let mut words = step.splitn(4, ' ');
        let method = words.next().unwrap_or_default();
        let (from, to) = (place(words.next()), place(words.next()));
        let rest = words.next().unwrap_or_default();
        let uri =
            address(folder, if method.ends_with('2') { "sites/b.site" } else { "sites/a.site" });
        let range = json!({ "start": from, "end": to });
        let options = json!({ "tabSize": 4, "insertSpaces": true });
        let mut params = json!({ "textDocument": { "uri": uri } });
        let mut with = |name: &str, value: Value| params[name] = value;
        let method = match method.trim_end_matches('2') {
            "change" | "whole" => {
                with("textDocument", json!({ "uri": uri, "version": version }));
                let text = rest.replace("\\n", "\n");
                with(
                    "contentChanges",
                    match method {
                        "change" => json!([{ "range": range, "text": text }]),
                        _ => json!([{ "text": text }]),
                    },
                );
                return self.tell("textDocument/didChange", params);
            }
            "open" => {
                with(
                    "textDocument",
                    json!({ "uri": uri, "languageId": "curtilage",
                    "version": version, "text": rest.replace("\\n", "\n") }),
                );
                return self.tell("textDocument/didOpen", params);
            }
            "close" => return self.tell("textDocument/didClose", params),
            "save" => return self.tell("textDocument/didSave", params),
            "cancel" => {
                let id = from["line"].clone();
                return self.tell("$/cancelRequest", json!({ "id": id }));
            }
            "watched" => {
                let changes = json!([{ "uri": uri, "type": from["line"] }]);
                return self.tell("workspace/didChangeWatchedFiles", json!({ "changes": changes }));
            }
            "settings" => {
                let settings: Value = serde_json::from_str(rest).unwrap_or(json!(rest));
                return self
                    .tell("workspace/didChangeConfiguration", json!({ "settings": settings }));
            }
            "symbols" => "textDocument/documentSymbol",
            "tokens" => "textDocument/semanticTokens/full",
            "lenses" => "textDocument/codeLens",
            "fold" => "textDocument/foldingRange",
            "links" => "textDocument/documentLink",
            "diagnostic" => "textDocument/diagnostic",
            "workspace" => {
                params = json!({ "query": rest });
                "workspace/symbol"
            }
            "pull" => {
                params = json!({ "previousResultIds": [] });
                "workspace/diagnostic"
            }
            "format" => {
                with("options", options);
                "textDocument/formatting"
            }
            "hints" => {
                with("range", json!({ "start": from, "end": { "line": 9999, "character": 0 } }));
                "textDocument/inlayHint"
            }
            "actions" => {
                with("range", range);
                with("context", json!({ "diagnostics": [] }));
                "textDocument/codeAction"
            }
            "format-range" => {
                with("range", range);
                with("options", options);
                "textDocument/rangeFormatting"
            }
            "tokens-range" => {
                with("range", range);
                "textDocument/semanticTokens/range"
            }
            "select" => {
                with("positions", json!([from, to]));
                "textDocument/selectionRange"
            }
            "rename" => {
                with("position", from);
                with("newName", json!(rest));
                "textDocument/rename"
            }
            "references" => {
                with("position", from);
                with("context", json!({ "includeDeclaration": true }));
                "textDocument/references"
            }
            "type" => {
                with("position", from);
                with("ch", json!(rest));
                with("options", options);
                "textDocument/onTypeFormatting"
            }
            at => {
                with("position", from);
                match at {
                    "hover" => "textDocument/hover",
                    "complete" => "textDocument/completion",
                    "help" => "textDocument/signatureHelp",
                    "definition" => "textDocument/definition",
                    "declaration" => "textDocument/declaration",
                    "highlight" => "textDocument/documentHighlight",
                    "prepare" => "textDocument/prepareRename",
                    "calls" => "textDocument/prepareCallHierarchy",
                    other => other,
                }
            }
        };
        // What ends the server before its time is not asked.
        if !["shutdown", "exit", "initialize"].contains(&method) {
            self.ask(method, params);
        }
    }
}

/// Whether a raw message names no address, has no id that is counted, and does not end the server.
fn is_harmless(raw: &str) -> bool {
    !["file", "\\u", "\"id\"", "exit", "shutdown"].iter().any(|word| raw.contains(word))
}

fn address(folder: &Path, path: &str) -> String {
    format!("file://{}", folder.join(path).display())
}

fn place(word: Option<&str>) -> Value {
    let (line, column) = word.and_then(|word| word.split_once(':')).unwrap_or_default();
    let number = |text: &str| text.parse::<u32>().unwrap_or(0);
    json!({ "line": number(line), "character": number(column) })
}

/// What both ends know.
#[derive(Default)]
struct Wire {
    told: Mutex<Told>,
    news: Condvar,
}

#[derive(Default)]
struct Told {
    /// The ids of the answers.
    answered: BTreeSet<i64>,
    /// Answers to what the server asks.
    replies: VecDeque<Vec<u8>>,
}

impl Wire {
    fn lock(&self) -> MutexGuard<'_, Told> {
        self.told.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The script; then what the server asks is answered until everything asked of it is; then the end.
struct Input {
    wire: Arc<Wire>,
    bytes: VecDeque<u8>,
    /// The last message, which ends the server: it comes when all is answered.
    last: Vec<u8>,
    asked: BTreeSet<i64>,
}

impl Input {
    fn new(wire: &Arc<Wire>, mut bytes: Vec<u8>, asked: BTreeSet<i64>) -> Self {
        let exit = b"Content-Length: ";
        let start = bytes.windows(exit.len()).rposition(|window| window == exit).unwrap_or(0);
        let last = bytes.split_off(start);
        Self { wire: Arc::clone(wire), bytes: bytes.into(), last, asked }
    }
}

impl Read for Input {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.bytes.is_empty() && !self.last.is_empty() {
            let begun = Instant::now();
            let mut told = self.wire.lock();
            while !self.asked.is_subset(&told.answered) {
                if let Some(reply) = told.replies.pop_front() {
                    self.bytes = reply.into();
                    break;
                }
                let left = LONGEST.saturating_sub(begun.elapsed());
                assert!(
                    !left.is_zero(),
                    "no answer to {:?}",
                    self.asked.difference(&told.answered)
                );
                let waited = self.wire.news.wait_timeout(told, left);
                told = waited.unwrap_or_else(PoisonError::into_inner).0;
            }
            drop(told);
            if self.bytes.is_empty() {
                self.bytes = std::mem::take(&mut self.last).into();
            }
        }
        self.bytes.read(into)
    }
}

/// Reads what the server says. Every message is well framed JSON; every answer is to a question.
struct Output {
    wire: Arc<Wire>,
    bytes: Vec<u8>,
}

impl Output {
    fn new(wire: &Arc<Wire>) -> Self {
        Self { wire: Arc::clone(wire), bytes: Vec::new() }
    }

    fn message(&self, body: &[u8]) {
        let message: Value = serde_json::from_slice(body).expect("the server says JSON");
        assert_eq!(message["jsonrpc"], "2.0");
        let mut told = self.wire.lock();
        match (message["id"].as_i64(), message["method"].as_str()) {
            (Some(id), None) => assert!(told.answered.insert(id), "{id} is answered twice"),
            (Some(id), Some(_)) => {
                let reply = json!({ "jsonrpc": "2.0", "id": id, "result": null }).to_string();
                let reply = format!("Content-Length: {}\r\n\r\n{reply}", reply.len());
                told.replies.push_back(reply.into_bytes());
            }
            (None, _) => {}
        }
        self.wire.news.notify_all();
    }
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bytes.extend(bytes);
        let end = b"\r\n\r\n";
        while let Some(head) = self.bytes.windows(end.len()).position(|window| window == end) {
            let text = std::str::from_utf8(&self.bytes[..head]).expect("a header is text");
            let length = text.strip_prefix("Content-Length: ").expect("a header");
            let length: usize = length.parse().expect("a length");
            let start = head + end.len();
            if self.bytes.len() < start + length {
                break;
            }
            let body: Vec<u8> = self.bytes[start..start + length].to_vec();
            self.bytes.drain(..start + length);
            self.message(&body);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
