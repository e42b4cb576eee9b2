//! `curtilage serve` as an editor starts it: the binary, over standard input and output and over a
//! socket.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::process::{Command, Stdio};

fn serve(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_curtilage"));
    command.arg("serve").args(arguments).env("XDG_CACHE_HOME", std::env::temp_dir());
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

fn send(to: &mut impl Write, message: &Value) {
    let body = message.to_string();
    write!(to, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
    to.flush().unwrap();
}

/// The next message that is wanted.
fn wait(from: &mut impl BufRead, wanted: impl Fn(&Value) -> bool) -> Value {
    loop {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(from.read_line(&mut line).unwrap() > 0, "the server has closed");
            match line.trim().strip_prefix("Content-Length: ") {
                Some(digits) => length = digits.parse().unwrap(),
                None if line.trim().is_empty() => break,
                None => {}
            }
        }
        let mut body = vec![0; length];
        from.read_exact(&mut body).unwrap();
        let message: Value = serde_json::from_slice(&body).unwrap();
        if wanted(&message) {
            return message;
        }
    }
}

/// A whole session: begin, open, be told, end.
fn session(mut to: impl Write, mut from: impl BufRead) {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().canonicalize().unwrap();
    let uri = |path: &str| format!("file://{}", root.join(path).display());
    let params = json!({ "processId": null, "rootUri": uri(""), "capabilities": {} });
    send(&mut to, &json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params }));
    let begun = wait(&mut from, |message| message["id"] == 1);
    assert_eq!(begun["result"]["serverInfo"]["name"], "curtilage");
    send(&mut to, &json!({ "jsonrpc": "2.0", "method": "initialized", "params": {} }));
    let document =
        json!({ "uri": uri("a.site"), "languageId": "curtilage", "version": 1, "text": "zone\n" });
    let params = json!({ "textDocument": document });
    send(&mut to, &json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": params }));
    let told = wait(&mut from, |message| message["method"] == "textDocument/publishDiagnostics");
    assert_eq!(told["params"]["diagnostics"][0]["code"], "syntax");
    send(&mut to, &json!({ "jsonrpc": "2.0", "id": 2, "method": "shutdown" }));
    wait(&mut from, |message| message["id"] == 2);
    send(&mut to, &json!({ "jsonrpc": "2.0", "method": "exit" }));
}

#[test]
fn an_editor_is_served_over_standard_input_and_output() {
    for arguments in [&[][..], &["--stdio"]] {
        let mut server = serve(arguments).spawn().unwrap();
        // The input is held open until the server has ended.
        let input = server.stdin.take().unwrap();
        session(&input, BufReader::new(server.stdout.take().unwrap()));
        assert_eq!(server.wait().unwrap().code(), Some(0));
        drop(input);
    }
}

#[test]
fn an_editor_that_leaves_without_shutdown_gets_1() {
    let mut server = serve(&[]).spawn().unwrap();
    let mut input = server.stdin.take().unwrap();
    send(&mut input, &json!({ "jsonrpc": "2.0", "method": "exit" }));
    assert_eq!(server.wait().unwrap().code(), Some(1));
}

#[test]
fn a_debugger_is_served_over_a_socket() {
    let mut server = serve(&["--socket", "0"]).spawn().unwrap();
    let mut told = String::new();
    let mut errors = BufReader::new(server.stderr.take().unwrap());
    errors.read_line(&mut told).unwrap();
    let address = told.trim().rsplit(' ').next().unwrap();
    let stream = TcpStream::connect(address).unwrap();
    session(&stream, BufReader::new(stream.try_clone().unwrap()));
    assert_eq!(server.wait().unwrap().code(), Some(0));
}

#[test]
fn two_ways_at_once_are_wrong_use() {
    let output = serve(&["--socket", "0", "--stdio"]).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
}
