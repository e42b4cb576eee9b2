//! Texts and addresses as few clients send them.

use super::client::{Client, able};
use super::fixtures::{PARTS, SITE};
use crate::Options;
use serde_json::{Value, json};

/// A site with a mark at its start, as a client has it that keeps the mark in its text.
const MARKED: &str = "\u{feff}schedule day {\n    Mon  08:00 to 12:00\n}\n\nsite yard {\n    timezone  Europe/Lisbon\n    ambient   0 to 35 degC\n}\n";

/// LSP 3.17, "Position": a column counts the units of the text, and the mark is one of its characters.
#[test]
fn a_mark_that_the_client_keeps_is_one_character_of_the_first_line() {
    for (encoding, mark) in [("utf-8", 3), ("utf-16", 1), ("utf-32", 1)] {
        let mut able = able();
        able["general"] = json!({ "positionEncodings": [encoding] });
        let mut client = Client::with(&[("yard.site", MARKED)], able);
        client.open("yard.site", 1, MARKED);
        let told = client.diagnostics("yard.site", 1);
        let starts: Vec<u32> = told.iter().map(|one| one.range.start.character).collect();
        assert_eq!(starts, [mark + 9], "{encoding}: nothing uses the schedule");
        let document = client.document("yard.site");
        let symbols = client
            .request("textDocument/documentSymbol", json!({ "textDocument": document.clone() }));
        let name = &symbols[0]["selectionRange"]["start"]["character"];
        assert_eq!(*name, json!(mark + 9), "{encoding}");
        let at = json!({ "line": 0, "character": mark + 10 });
        let params =
            json!({ "textDocument": document.clone(), "position": at, "newName": "opening-hours" });
        let renamed = client.request("textDocument/rename", params);
        let edit = &renamed["documentChanges"][0]["edits"][0]["range"]["start"]["character"];
        assert_eq!(*edit, json!(mark + 9), "{encoding}: {renamed}");
        let options = json!({ "tabSize": 4, "insertSpaces": true });
        let params = json!({ "textDocument": document, "options": options });
        let edits = client.request("textDocument/formatting", params);
        assert_eq!(edits[0]["range"]["end"], json!({ "line": 0, "character": mark }), "{encoding}");
        client.end();
    }
}

/// On disk the mark is of the file and of no line.
#[test]
fn a_mark_that_the_client_takes_away_is_no_character() {
    let mut client = Client::on(&[("parts.site", PARTS), ("barn.site", SITE)]);
    client.open("barn.site", 1, MARKED.trim_start_matches('\u{feff}'));
    let told = client.diagnostics("barn.site", 1);
    assert_eq!(told[0].range.start.character, 9);
    client.end();
}

/// RFC 3986 has no bracket in a path; some clients write it as it is.
#[test]
fn an_address_with_a_bracket_is_a_file() {
    let mut client = Client::unbegun(&[("kiosk [2026]/parts.site", PARTS)], Options::default());
    let written = |uri: String| uri.replace("%5B", "[").replace("%5D", "]");
    let root = written(client.uri("kiosk [2026]"));
    assert!(root.contains("[2026]"), "{root}");
    let params = json!({ "processId": null, "rootUri": root, "capabilities": able() });
    let answer = client.request("initialize", params);
    assert!(answer["capabilities"].is_object(), "{answer}");
    client.notify("initialized", json!({}));
    let uri = written(client.uri("kiosk [2026]/barn.site"));
    let document = json!({ "uri": uri, "languageId": "site", "version": 1, "text": SITE });
    client.notify("textDocument/didOpen", json!({ "textDocument": document }));
    let params = json!({ "textDocument": { "uri": uri } });
    let symbols: Value = client.request("textDocument/documentSymbol", params);
    assert_eq!(symbols[1]["name"], "barn", "{symbols}");
    client.end();
}
