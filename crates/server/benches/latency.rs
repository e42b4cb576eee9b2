//! How long an editor waits: from a keystroke to the findings, for completion, for hover, and for
//! the first scan of a workspace. The server runs in this process, over pipes, as it does over
//! standard input; there is no debounce. `cargo bench -p curtilage-server --bench latency`

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a benchmark")]

use curtilage_server::{Options, serve};
use curtilage_testkit::{TODAY, large_site, root};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, PipeReader, PipeWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

const EDITS: usize = 400;
const FILES: usize = 1000;

struct Client {
    input: PipeWriter,
    output: BufReader<PipeReader>,
    folder: PathBuf,
    next: i64,
}

impl Client {
    /// A server on a folder, begun; the clock of the first scan starts here.
    fn on(folder: &Path) -> Self {
        let (from_client, input) = std::io::pipe().unwrap();
        let (from_server, output) = std::io::pipe().unwrap();
        let options = Options { cache: None, ..Options::default() };
        std::thread::spawn(move || serve(from_client, output, &options).unwrap());
        let output = BufReader::new(from_server);
        let mut client = Self { input, output, folder: folder.to_path_buf(), next: 0 };
        let uri = client.uri("");
        let date = format!("{}-{:02}-{:02}", TODAY.year, TODAY.month, TODAY.day);
        let params = json!({
            "processId": null, "rootUri": uri, "initializationOptions": { "date": date },
            "capabilities": { "general": { "positionEncodings": ["utf-16"] } },
        });
        client.request("initialize", params);
        client.notify("initialized", json!({}));
        client
    }

    fn uri(&self, path: &str) -> String {
        format!("file://{}", self.folder.join(path).display()).trim_end_matches('/').to_owned()
    }

    fn send(&mut self, message: &Value) {
        let body = message.to_string();
        let bytes = format!("Content-Length: {}\r\n\r\n{body}", body.len());
        self.input.write_all(bytes.as_bytes()).unwrap();
    }

    fn notify(&mut self, method: &str, params: Value) {
        self.send(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    fn request(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        self.send(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        self.wait(|message| message["id"] == json!(id))
    }

    fn wait(&mut self, wanted: impl Fn(&Value) -> bool) -> Value {
        loop {
            let mut length = 0;
            let mut line = String::new();
            while self.output.read_line(&mut line).unwrap() > 2 {
                if let Some(digits) = line.trim().strip_prefix("Content-Length: ") {
                    length = digits.parse().unwrap();
                }
                line.clear();
            }
            let mut body = vec![0; length];
            self.output.read_exact(&mut body).unwrap();
            let message: Value = serde_json::from_slice(&body).unwrap();
            if wanted(&message) {
                return message;
            }
        }
    }

    fn open(&mut self, path: &str, text: &str) {
        let uri = self.uri(path);
        let document = json!({ "uri": uri, "languageId": "curtilage", "version": 1, "text": text });
        self.notify("textDocument/didOpen", json!({ "textDocument": document }));
        self.told(1);
    }

    /// Waits for the findings of a version.
    fn told(&mut self, version: usize) -> Value {
        self.wait(|message| message["params"]["version"] == json!(version))
    }

    fn change(&mut self, path: &str, version: usize, at: [usize; 4], text: &str) {
        let document = json!({ "uri": self.uri(path), "version": version });
        let range = json!({
            "start": { "line": at[0], "character": at[1] },
            "end": { "line": at[2], "character": at[3] },
        });
        let changes = json!([{ "range": range, "text": text }]);
        self.notify(
            "textDocument/didChange",
            json!({ "textDocument": document, "contentChanges": changes }),
        );
    }

    fn end(mut self) {
        self.request("shutdown", Value::Null);
        self.notify("exit", Value::Null);
    }
}

fn show(name: &str, mut times: Vec<Duration>) {
    times.sort();
    let at = |part: usize| times[(times.len() - 1) * part / 100].as_secs_f64() * 1e3;
    println!(
        "  {name:44} p10 {:7.3} ms   p50 {:7.3} ms   p90 {:7.3} ms   p99 {:7.3} ms",
        at(10),
        at(50),
        at(90),
        at(99)
    );
}

/// Each edit is one letter that makes a finding, or takes it away again, at places all over the
/// file.
fn edits(
    client: &mut Client,
    path: &str,
    text: &str,
) -> (Vec<Duration>, Vec<Duration>, Vec<Duration>) {
    let lines: Vec<(usize, usize)> = text
        .lines()
        .enumerate()
        .filter_map(|(line, words)| Some((line, words.find("lockout")? + 7)))
        .collect();
    let (mut version, mut keys, mut completions, mut hovers) = (1, vec![], vec![], vec![]);
    for step in 0..EDITS {
        let (line, column) = lines[step * lines.len() / EDITS];
        for (at, letter) in
            [([line, column, line, column], "x"), ([line, column, line, column + 1], "")]
        {
            version += 1;
            let start = Instant::now();
            client.change(path, version, at, letter);
            let told = client.told(version);
            keys.push(start.elapsed());
            let found = told["params"]["diagnostics"].as_array().unwrap().len();
            assert_eq!(found > 0, letter == "x", "{told}");
        }
        let document = json!({ "uri": client.uri(path) });
        let position = json!({ "line": line, "character": column - 2 });
        let start = Instant::now();
        client.request(
            "textDocument/hover",
            json!({ "textDocument": document, "position": position }),
        );
        hovers.push(start.elapsed());
        // As one types: the letter, and the question right behind it.
        version += 1;
        let start = Instant::now();
        client.change(path, version, [line, column, line, column], "x");
        client.request(
            "textDocument/completion",
            json!({ "textDocument": document, "position": position }),
        );
        completions.push(start.elapsed());
        version += 1;
        client.change(path, version, [line, column, line, column + 1], "");
        client.told(version);
    }
    (keys, completions, hovers)
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let one = folder.path().join("one");
    let copy = |to: &Path| {
        std::fs::create_dir_all(to.join("parts")).unwrap();
        std::fs::write(to.join("workspace.site"), "").unwrap();
        let parts = root().join("examples/parts/general.site");
        std::fs::copy(parts, to.join("parts/general.site")).unwrap();
    };
    copy(&one);
    for lines in [200, 1000, 5000] {
        let text = large_site("large", "parts/general.site", lines);
        println!("one file of {} lines", text.lines().count());
        let mut client = Client::on(&one);
        client.open("large.site", &text);
        let (keys, completions, hovers) = edits(&mut client, "large.site", &text);
        show("keystroke to findings", keys);
        show("keystroke and completion", completions);
        show("hover", hovers);
        client.end();
    }
    let many = folder.path().join("many");
    copy(&many);
    let text = large_site("small", "parts/general.site", 100);
    println!("{FILES} files of {} lines", text.lines().count());
    for file in 0..FILES {
        // One word that is wrong, so that each file is told of.
        let text = text.replacen("lockout ", "lokcout ", 1);
        std::fs::write(many.join(format!("s{file}.site")), text).unwrap();
    }
    let start = Instant::now();
    let mut client = Client::on(&many);
    for _ in 0..FILES {
        client.wait(|message| message["method"] == "textDocument/publishDiagnostics");
    }
    println!("  {:44} {:.0} ms", "first scan", start.elapsed().as_secs_f64() * 1e3);
    client.open("large.site", &large_site("large", "parts/general.site", 1000));
    let text = large_site("large", "parts/general.site", 1000);
    let (keys, ..) = edits(&mut client, "large.site", &text);
    show("keystroke to findings, 1,000 lines, in there", keys);
    client.end();
}
