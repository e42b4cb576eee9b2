//! Edits come in the order of the wire, whatever else goes on.

use super::client::{Client, able};
use super::fixtures::{PARTS, SITE, rules};
use crate::Options;
use serde_json::{Value, json};

/// Thousands of one-letter edits, with slow requests between them, that only give the right text
/// when each one finds what the one before it left.
#[test]
fn edits_are_applied_in_the_order_of_the_wire() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.open("a.site", 1, "");
    let text = format!("{SITE}# {}\n", "the quick brown fox ".repeat(50));
    let mut ids = Vec::new();
    let (mut line, mut column) = (0, 0);
    for (version, letter) in (2..).zip(text.chars()) {
        let at = Some([line, column, line, column]);
        client.change("a.site", version, &[(at, letter.encode_utf8(&mut [0; 4]))]);
        (line, column) = if letter == '\n' { (line + 1, 0) } else { (line, column + 1) };
        if version % 50 == 0 {
            let document = client.document("a.site");
            ids.push(
                client.ask("textDocument/documentSymbol", json!({ "textDocument": document })),
            );
        }
    }
    let last = i32::try_from(text.chars().count()).unwrap() + 1;
    let typed = client.diagnostics("a.site", last);
    assert_eq!(rules(&typed), ["unused-name"]);
    for id in ids {
        assert!(client.answer(id)["error"].is_null());
    }
    client.open("b.site", 1, &text);
    assert_eq!(client.diagnostics("b.site", 1), typed);
    assert_eq!(client.end(), 0);
}

/// A request sees the text of the moment in which it was sent, not what is typed behind it.
#[test]
fn a_request_sees_the_text_before_it_and_not_the_text_behind_it() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.open("a.site", 1, SITE);
    let mut ids = Vec::new();
    for version in 2..100 {
        let text = format!("{SITE}schedule n{version} is not day\n");
        client.change("a.site", version, &[(None, &text)]);
        let document = client.document("a.site");
        ids.push((
            version,
            client.ask("textDocument/documentSymbol", json!({ "textDocument": document })),
        ));
    }
    for (version, id) in ids {
        let answer = client.answer(id);
        let names: Vec<&Value> =
            answer["result"].as_array().unwrap().iter().map(|symbol| &symbol["name"]).collect();
        assert_eq!(names.last().unwrap(), &&json!(format!("n{version}")));
    }
    assert_eq!(client.end(), 0);
}

/// The newest version is told, and none is told after a newer one.
#[test]
fn versions_are_told_in_rising_order_and_the_last_one_is() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.open("a.site", 1, SITE);
    for version in 2..=300 {
        client.change("a.site", version, &[(Some([0, 0, 0, 0]), "#\n")]);
    }
    let mut told = 0;
    while told < 300 {
        let message = client.wait(|message| {
            message["method"] == "textDocument/publishDiagnostics"
                && !message["params"]["version"].is_null()
        });
        let version = message["params"]["version"].as_i64().unwrap();
        assert!(version > told, "{version} was told after {told}");
        told = version;
    }
    assert_eq!(client.end(), 0);
}

/// A client may send everything before it has read the answer to `initialize`.
#[test]
fn what_comes_behind_initialize_need_not_wait_for_its_answer() {
    let mut client = Client::unbegun(&[("parts.site", PARTS)], crate::Options::default());
    let uri = client.uri("");
    let params = json!({ "processId": null, "rootUri": uri, "capabilities": able() });
    let begun = client.ask("initialize", params);
    client.notify("initialized", json!({}));
    client.open("a.site", 1, SITE);
    let document = client.document("a.site");
    let symbols = client.ask("textDocument/documentSymbol", json!({ "textDocument": document }));
    assert!(client.answer(begun)["error"].is_null());
    assert_eq!(client.answer(symbols)["result"].as_array().unwrap().len(), 3);
    assert_eq!(client.end(), 0);
}

/// Handlers that wait for an answer of the client do not keep it from coming in, however many there
/// are: each change of settings asks the client for them.
#[test]
fn many_questions_to_the_client_at_once_do_not_lock() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    for _ in 0..100 {
        client.notify("workspace/didChangeConfiguration", json!({ "settings": null }));
    }
    for _ in 0..100 {
        client.asked("workspace/configuration");
    }
    client.open("a.site", 1, SITE);
    assert_eq!(client.diagnostics("a.site", 1).len(), 1);
    assert_eq!(client.end(), 0);
}

/// LSP 3.17, "Initialize Request": a server tells nothing before it has answered it. A client that
/// is told of findings before lets go of them, and they are not told again. This client says so much
/// that its answer takes a while.
#[test]
fn nothing_is_told_before_the_client_is_answered() {
    let files = [("parts.site", PARTS), ("a.site", SITE)];
    let mut client = Client::unbegun(&files, Options::default());
    let mut talkative = able();
    talkative["experimental"] = vec![0; 200_000].into();
    client.begin(talkative);
    assert_eq!(client.seen("textDocument/publishDiagnostics"), [] as [Value; 0]);
    assert_eq!(rules(&client.diagnostics_closed("a.site")), ["unused-name"]);
    assert_eq!(client.end(), 0);
}
