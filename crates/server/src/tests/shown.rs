//! What is shown at the cursor, to clients that can show more and less.

use super::client::{Client, able};
use super::fixtures::{PARTS, SITE};
use serde_json::{Value, json};

#[track_caller]
fn barn(able: Value) -> Client {
    let holidays = "BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n";
    let files = [("parts.site", PARTS), ("barn.site", SITE), ("days/off.ics", holidays)];
    let mut client = Client::with(&files, able);
    client.open("barn.site", 1, SITE);
    client
}

fn at(client: &Client, line: u32, character: u32) -> Value {
    let position = json!({ "line": line, "character": character });
    json!({ "textDocument": client.document("barn.site"), "position": position })
}

/// LSP 3.17, `MarkupKind`: a client that lists plain text alone shows stars and bars as they are.
#[test]
fn a_client_that_shows_plain_text_alone_gets_no_markdown() {
    let plain = json!(["plaintext"]);
    let mut able = able();
    able["textDocument"]["hover"]["contentFormat"] = plain.clone();
    able["textDocument"]["completion"]["completionItem"]["documentationFormat"] = plain.clone();
    able["textDocument"]["signatureHelp"]["signatureInformation"]["documentationFormat"] = plain;
    let mut client = barn(able);
    let schedule = at(&client, 7, 10);
    let hover = client.request("textDocument/hover", schedule);
    let text = hover["contents"]["value"].as_str().unwrap();
    assert_eq!(hover["contents"]["kind"], "plaintext");
    assert!(text.starts_with("schedule `day`\n"), "{text}");
    assert!(!text.contains("**") && !text.contains("```") && text.contains("Mon  "), "{text}");
    let rule = at(&client, 0, 0);
    let form = client.request("textDocument/signatureHelp", rule);
    assert_eq!(form["signatures"][0]["documentation"]["kind"], "plaintext");
    let file = at(&client, 6, 0);
    let list = client.request("textDocument/completion", file);
    let zone = list.as_array().unwrap().iter().find(|item| item["label"] == "zone ...").unwrap();
    assert_eq!(zone["documentation"]["kind"], "plaintext");
    let text = zone["documentation"]["value"].as_str().unwrap();
    assert!(text.starts_with("zone name is "), "{text}");
    client.end();
}

/// LSP 3.17, `ParameterInformation`: offsets are for clients that say so.
#[test]
fn the_slots_of_a_form_are_texts_for_a_client_that_knows_no_offsets() {
    let mut with_texts = able();
    with_texts["textDocument"]["signatureHelp"] = json!({});
    for (able, label) in [(able(), json!([9, 18])), (with_texts, json!("TIME-ZONE"))] {
        let mut client = barn(able);
        let timezone = at(&client, 3, 18);
        let help = client.request("textDocument/signatureHelp", timezone);
        assert_eq!(help["signatures"][0]["parameters"][0]["label"], label, "{help}");
        client.end();
    }
}

#[test]
fn a_file_of_holidays_is_where_its_name_leads() {
    let mut client = barn(able());
    let line = "    holidays  from \"days/off.ics\"\n";
    client.change("barn.site", 2, &[(Some([5, 0, 5, 0]), line)]);
    let name = at(&client, 5, 24);
    let found = client.request("textDocument/definition", name);
    assert_eq!(found[0]["targetUri"], client.uri("days/off.ics"), "{found}");
    client.change("barn.site", 3, &[(Some([5, 20, 5, 24]), "gone")]);
    let name = at(&client, 5, 24);
    assert_eq!(client.request("textDocument/definition", name), Value::Null);
    client.end();
}

#[test]
fn files_that_can_be_used_stand_where_one_is_named() {
    let mut client = barn(able());
    client.change("barn.site", 2, &[(Some([0, 0, 1, 0]), "use \n")]);
    let paths = |client: &mut Client, character: u32| {
        let place = at(client, 0, character);
        let list = client.request("textDocument/completion", place);
        let texts = list.as_array().unwrap().iter().map(|item| item["textEdit"]["newText"].clone());
        texts.collect::<Vec<Value>>()
    };
    assert_eq!(paths(&mut client, 4), [json!("\"parts.site\"")], "an empty `workspace.site`");
    client.change("barn.site", 3, &[(Some([0, 4, 0, 4]), "\"pa")]);
    assert_eq!(paths(&mut client, 7), [json!("parts.site\"")], "the quote is closed");
    client.change("barn.site", 4, &[(Some([0, 7, 0, 7]), "\"\nuse \"parts.site\"")]);
    assert_eq!(paths(&mut client, 7), [] as [Value; 0], "it is used already");
    client.end();
}
