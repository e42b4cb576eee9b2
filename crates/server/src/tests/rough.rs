//! Clients that do what they should not.

use super::client::{Client, able};
use super::fixtures::{PARTS, SITE, rules};
use crate::frame::{self, Frame, Frames};
use crate::{Options, serve};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};

fn position(line: u32, character: u32) -> Value {
    json!({ "line": line, "character": character })
}

#[test]
fn a_request_before_initialize_is_refused_and_an_edit_is_passed_over() {
    let mut client = Client::unbegun(&[("parts.site", PARTS)], Options::default());
    client.open("a.site", 1, SITE);
    let document = client.document("a.site");
    let id = client
        .ask("textDocument/hover", json!({ "textDocument": document, "position": position(0, 0) }));
    // ServerNotInitialized of LSP 3.17.
    assert_eq!(client.answer(id)["error"]["code"], -32002);
    client.begin(able());
    client.open("b.site", 1, SITE);
    assert_eq!(client.diagnostics("b.site", 1).len(), 1);
    assert_eq!(client.end(), 0);
}

#[test]
fn messages_that_make_no_sense_are_refused_and_the_next_one_is_taken() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    let framed = |body: &[u8]| {
        let mut bytes = Vec::new();
        frame::write(&mut bytes, body).unwrap();
        bytes
    };
    for body in [
        &b"{"[..],
        b"\xff\xfe\x00",
        b"[]",
        b"17",
        b"null",
        b"{}",
        b"{\"jsonrpc\":\"2.0\",\"id\":{},\"method\":\"shutdown\"}",
        b"{\"jsonrpc\":\"2.0\",\"method\":17}",
    ] {
        client.raw(&framed(body));
        let answer = client.wait(|message| message["id"].is_null() && !message["error"].is_null());
        let code = answer["error"]["code"].as_i64().unwrap();
        assert!([-32700, -32600].contains(&code), "{answer}");
    }
    client.raw(b"GET / HTTP/1.1\r\n\r\n");
    client.wait(|message| message["error"]["code"] == -32700);
    client.open("a.site", 1, SITE);
    assert_eq!(client.diagnostics("a.site", 1).len(), 1);
    assert_eq!(client.end(), 0);
}

#[test]
fn requests_of_a_wrong_shape_are_answered_with_an_error() {
    let mut client = Client::on(&[]);
    for (method, params, code) in [
        ("textDocument/hover", json!({ "textDocument": 3 }), -32602),
        ("textDocument/hover", Value::Null, -32602),
        ("textDocument/fly", json!({}), -32601),
        // A notification like these may be passed over; a request is an error (LSP 3.17, `$` messages).
        ("$/fly", json!({}), -32601),
        ("$/cancelRequest", json!({ "id": 1 }), -32600),
        ("initialize", json!({ "capabilities": {} }), -32600),
    ] {
        let id = client.ask(method, params);
        assert_eq!(client.answer(id)["error"]["code"], code, "{method}");
    }
    assert_eq!(client.end(), 0);
}

#[test]
fn edits_of_nowhere_are_brought_inside_or_passed_over() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.change("a.site", 3, &[(None, "never opened")]);
    client.close("a.site");
    client.open("a.site", 1, "site barn {");
    let far = u32::MAX;
    client.change("a.site", 2, &[(Some([far, far, far, far]), "\n}\n")]);
    client.change("a.site", 3, &[(Some([1, 0, 0, 999]), "\n    timezone Europe/Lisbon\n")]);
    client.notify("textDocument/didChange", json!({ "textDocument": 1 }));
    client.notify("textDocument/didOpen", json!({ "textDocument": { "uri": "not an address" } }));
    client.open("a.site", 4, SITE);
    assert_eq!(rules(&client.diagnostics("a.site", 4)), ["unused-name"]);
    assert_eq!(client.end(), 0);
}

/// The handler of the probe waits for ever; taking it back answers RequestCancelled of LSP 3.17, and
/// nothing panics.
#[test]
fn a_request_that_is_taken_back_is_answered_so() {
    let mut client = Client::on(&[]);
    let id = client.ask("test/wait", Value::Null);
    client.notify("$/cancelRequest", json!({ "id": id }));
    assert_eq!(client.answer(id)["error"]["code"], -32800);
    client.notify("$/cancelRequest", json!({ "id": id }));
    client.notify("$/cancelRequest", json!({ "id": "never asked" }));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_handler_that_panics_is_answered_with_an_error_and_the_server_goes_on() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    for method in ["test/panic", "test/panic-at-work"] {
        let id = client.ask(method, Value::Null);
        // InternalError of JSON-RPC 2.0.
        assert_eq!(client.answer(id)["error"]["code"], -32603, "{method}");
    }
    client.open("a.site", 1, SITE);
    assert_eq!(client.diagnostics("a.site", 1).len(), 1);
    assert_eq!(client.end(), 0);
}

/// Many more requests than any small limit of handlers, all of which wait: the edit behind them is
/// still told of.
#[test]
fn waiting_requests_do_not_stop_an_edit() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    let ids: Vec<i64> = (0..1000).map(|_| client.ask("test/wait", Value::Null)).collect();
    client.open("a.site", 1, SITE);
    assert_eq!(client.diagnostics("a.site", 1).len(), 1);
    for id in &ids {
        client.notify("$/cancelRequest", json!({ "id": id }));
    }
    assert_eq!(client.answer(*ids.last().unwrap())["error"]["code"], -32800);
    assert_eq!(client.end(), 0);
}

/// The client stops reading in the middle of an answer. The server goes on taking edits, far more
/// than any pipe holds; and when the client reads again, it is told of the newest version and of few
/// others.
#[test]
fn a_client_that_does_not_read_blocks_no_edit() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().canonicalize().unwrap();
    std::fs::write(root.join("parts.site"), PARTS).unwrap();
    let (from_client, mut input) = std::io::pipe().unwrap();
    let (from_server, output) = std::io::pipe().unwrap();
    let server = std::thread::spawn(|| {
        let options = Options { cache: None, ..Options::default() };
        serve(from_client, output, &options).unwrap()
    });
    let mut send = |message: Value| {
        frame::write(&mut input, message.to_string().as_bytes()).unwrap();
    };
    let uri = |path: &str| crate::address::uri(&root.join(path)).unwrap().as_str().to_owned();
    let capabilities = able();
    send(json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {
        "processId": null, "rootUri": uri(""), "capabilities": capabilities,
        "initializationOptions": { "date": super::client::TODAY } } }));
    send(json!({ "jsonrpc": "2.0", "id": 2, "method": "test/flood" }));
    // Reads up to the head of the long answer: what is behind it waits from now on.
    let mut from_server = BufReader::with_capacity(16, from_server);
    let mut line = String::new();
    // A body has no line end: the next head stands behind it.
    while !line.contains("Content-Length: 10486") {
        line.clear();
        from_server.read_line(&mut line).unwrap();
    }
    let document =
        json!({ "uri": uri("a.site"), "languageId": "curtilage", "version": 1, "text": SITE });
    let params = json!({ "textDocument": document });
    send(json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": params }));
    // Each message is half as long as the pipe: when the last one is sent, all but it are taken.
    let last = 300;
    let text = format!("{SITE}# {}\n", "x".repeat(32 * 1024));
    for version in 2..=last {
        send(json!({ "jsonrpc": "2.0", "method": "textDocument/didChange", "params": {
            "textDocument": { "uri": uri("a.site"), "version": version },
            "contentChanges": [{ "text": text }] } }));
    }
    let mut frames = Frames::new(from_server);
    frames.skip(line.trim().rsplit(' ').next().unwrap().parse().unwrap());
    let (mut newest, mut published) = (0, 0);
    while newest != last {
        let Frame::Body(body) = frames.next().unwrap() else { panic!("a message was expected") };
        let message: Value = serde_json::from_slice(&body).unwrap();
        if let Some(version) = message["params"]["version"].as_i64() {
            (newest, published) = (version, published + 1);
        }
    }
    assert!(published <= 5, "old versions are left out: {published}");
    std::thread::spawn(move || while frames.next().unwrap() != Frame::End {});
    send(json!({ "jsonrpc": "2.0", "id": 0, "method": "shutdown" }));
    send(json!({ "jsonrpc": "2.0", "method": "exit" }));
    assert_eq!(server.join().unwrap(), 0);
}
