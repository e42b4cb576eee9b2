//! Files that come, change and go; files that share parts; several folders; settings; progress.

use super::client::{Client, able, able_to_pull};
use super::fixtures::{PARTS, SITE, rules};
use crate::Options;
use serde_json::{Value, json};
#[cfg(unix)]
use std::path::PathBuf;
use std::time::Duration;

const USER: &str = "\
use \"parts.site\"

site shed {
    timezone  Europe/Lisbon
    people    owner
}

zone door is reed {
    purpose  intrusion
}
";

fn has(items: &[lsp_types::Diagnostic], rule: &str) -> bool {
    rules(items).iter().any(|found| found == rule)
}

/// What a missing file is likely to be follows what lies there.
#[test]
fn what_may_be_meant_by_a_missing_file_follows_the_folder() {
    let text = USER.replace("parts.site", "part.site");
    let mut client = Client::on(&[("closed.site", &text)]);
    client.open("open.site", 1, &text);
    let meant = |items: Vec<lsp_types::Diagnostic>| {
        let help = |item: &lsp_types::Diagnostic| item.message.lines().last().map(str::to_owned);
        items.iter().find(|item| item.message.contains("no file")).and_then(help)
    };
    let nothing = Some("do: a path is relative to this file".to_owned());
    assert_eq!(meant(client.diagnostics("open.site", 1)), nothing);
    assert_eq!(meant(client.diagnostics_closed("closed.site")), nothing);
    std::fs::write(client.path("parts.site"), PARTS).unwrap();
    client.watched("parts.site", 1);
    let parts = Some("do: did you mean \"parts.site\"?".to_owned());
    assert_eq!(meant(client.diagnostics("open.site", 1)), parts);
    assert_eq!(meant(client.diagnostics_closed("closed.site")), parts);
    std::fs::remove_file(client.path("parts.site")).unwrap();
    client.watched("parts.site", 3);
    assert_eq!(meant(client.diagnostics("open.site", 1)), nothing);
    assert_eq!(meant(client.diagnostics_closed("closed.site")), nothing);
    assert_eq!(client.end(), 0);
}

/// The part file is open and not saved: the open site that uses it is told first, then the one
/// that is not open.
#[test]
fn an_unsaved_part_is_seen_by_every_site_that_uses_it_open_ones_first() {
    let mut client =
        Client::on(&[("parts.site", PARTS), ("closed.site", USER), ("other.site", SITE)]);
    client.diagnostics_closed("closed.site");
    client.open("open.site", 1, USER);
    assert!(!has(&client.diagnostics("open.site", 1), "unknown-name"));
    client.open("parts.site", 1, PARTS);
    client.diagnostics("parts.site", 1);
    client.change("parts.site", 2, &[(Some([0, 5, 0, 9]), "latch")]);
    let about = |message: &Value| {
        let uri = message["params"]["uri"].as_str().unwrap_or_default().to_owned();
        let unknown = message["params"]["diagnostics"].to_string().contains("unknown-name");
        unknown.then(|| uri.rsplit('/').next().unwrap().to_owned())
    };
    let first = client.wait(|message| about(message).is_some());
    let second = client.wait(|message| about(message).is_some());
    assert_eq!(
        (about(&first), about(&second)),
        (Some("open.site".into()), Some("closed.site".into()))
    );
    // Closed without saving: the file on disk counts again.
    client.close("parts.site");
    let back = client.wait(|message| {
        message["params"]["uri"].as_str().is_some_and(|uri| uri.ends_with("open.site"))
    });
    assert!(about(&back).is_none(), "{back}");
    assert!(!has(&client.diagnostics_closed("closed.site"), "unknown-name"));
    assert_eq!(client.end(), 0);
}

/// Editors take a byte order mark for no part of the first line, and so do edits of files that are not
/// open.
#[test]
fn a_byte_order_mark_moves_no_column() {
    let marked = format!("\u{feff}{PARTS}");
    let mut client = Client::on(&[("parts.site", &marked), ("zonk.site", "\u{feff}zonk\n")]);
    let told = client.diagnostics_closed("zonk.site");
    let range = |from, to| json!({ "start": { "line": 0, "character": from }, "end": { "line": 0, "character": to } });
    assert_eq!(json!(told[0].range), range(0, 4));
    client.open("a.site", 1, USER);
    let at = json!({ "line": 7, "character": 14 });
    let asked =
        json!({ "textDocument": client.document("a.site"), "position": at, "newName": "latch" });
    let edit = client.request("textDocument/rename", asked);
    let changes = edit["documentChanges"].as_array().unwrap();
    let parts = changes.iter().find(|one| one["textDocument"]["uri"] == client.uri("parts.site"));
    assert_eq!(parts.unwrap()["edits"][0]["range"], range(5, 9));
    assert_eq!(client.end(), 0);
}

/// An edit of what is open is never lost, wherever a link on the way leads by then.
#[cfg(unix)]
#[test]
fn what_is_open_stays_open_when_a_link_is_led_elsewhere() {
    let mut client = Client::on(&[("one/a.site", SITE), ("two/a.site", SITE)]);
    let [link, one, two] = ["now", "one", "two"].map(|name| client.path(name));
    let lead = |to: &PathBuf| {
        let _ = std::fs::remove_file(&link);
        std::os::unix::fs::symlink(to, &link).unwrap();
    };
    lead(&one);
    client.open("now/a.site", 1, USER);
    client.diagnostics("now/a.site", 1);
    lead(&two);
    client.change("now/a.site", 2, &[(None, "zonk\n")]);
    assert!(has(&client.diagnostics("now/a.site", 2), "syntax"));
    client.change("now/a.site", 3, &[(None, SITE)]);
    assert!(!has(&client.diagnostics("now/a.site", 3), "syntax"));
    client.close("now/a.site");
    assert_eq!(client.end(), 0);
}

/// Sites are checked in the order of their paths: what is told of the last one comes after the others.
#[test]
fn of_a_file_that_is_not_open_only_another_list_is_told() {
    let mut client =
        Client::on(&[("parts.site", PARTS), ("closed.site", SITE), ("user.site", USER)]);
    assert!(has(&client.diagnostics_closed("closed.site"), "unused-name"));
    assert!(!has(&client.diagnostics_closed("user.site"), "unknown-name"));
    client.open("parts.site", 1, PARTS);
    client.diagnostics("parts.site", 1);
    client.close("parts.site");
    client.open("parts.site", 1, PARTS);
    client.forget_seen();
    client.change("parts.site", 2, &[(Some([0, 5, 0, 9]), "latch")]);
    assert!(has(&client.diagnostics_closed("user.site"), "unknown-name"));
    let told = client.seen("textDocument/publishDiagnostics");
    let told: Vec<&str> = told.iter().filter_map(|one| one["params"]["uri"].as_str()).collect();
    assert!(!told.iter().any(|uri| uri.ends_with("closed.site")), "{told:?}");
    assert_eq!(client.end(), 0);
}

#[test]
fn files_that_are_created_changed_and_deleted_are_noticed() {
    let mut client = Client::on(&[]);
    let registered = client.asked("client/registerCapability");
    assert!(registered.to_string().contains("workspace/didChangeWatchedFiles"), "{registered}");
    client.open("a.site", 1, USER);
    assert!(has(&client.diagnostics("a.site", 1), "unreadable-file"));
    std::fs::write(client.path("parts.site"), PARTS).unwrap();
    client.watched("parts.site", 1);
    assert!(!has(&client.diagnostics("a.site", 1), "unreadable-file"));
    std::fs::write(client.path("parts.site"), "part latch is sensor {\n}\n").unwrap();
    client.watched("parts.site", 2);
    assert!(has(&client.diagnostics("a.site", 1), "unknown-name"));
    std::fs::remove_file(client.path("parts.site")).unwrap();
    client.watched("parts.site", 3);
    assert!(has(&client.diagnostics("a.site", 1), "unreadable-file"));
    // A folder in its place.
    std::fs::create_dir(client.path("parts.site")).unwrap();
    client.watched("parts.site", 1);
    let told = client.diagnostics("a.site", 1);
    assert!(told.iter().any(|finding| finding.message.contains("it is a folder")), "{told:#?}");
    assert_eq!(client.end(), 0);
}

#[test]
fn a_site_that_is_renamed_takes_its_findings_along() {
    let mut client = Client::on(&[
        ("parts.site", PARTS),
        ("old/a.site", &SITE.replace("parts.site", "../parts.site")),
    ]);
    assert_eq!(client.diagnostics_closed("old/a.site").len(), 1);
    std::fs::rename(client.path("old"), client.path("new")).unwrap();
    // Some clients tell of the folder alone.
    client.watched("old", 3);
    client.watched("new", 1);
    assert_eq!(client.diagnostics_closed("old/a.site"), []);
    assert_eq!(client.diagnostics_closed("new/a.site").len(), 1);
    assert_eq!(client.end(), 0);
}

/// A client that does not watch files: what other programs did is seen when it saves.
#[test]
fn without_watching_files_are_looked_at_when_something_is_saved() {
    let mut able = able();
    able["workspace"]["didChangeWatchedFiles"] = Value::Null;
    let mut client = Client::with(&[("a.site", USER)], able);
    client.open("a.site", 1, USER);
    assert!(has(&client.diagnostics("a.site", 1), "unreadable-file"));
    std::fs::write(client.path("parts.site"), PARTS).unwrap();
    let document = client.document("a.site");
    client.notify("textDocument/didSave", json!({ "textDocument": document }));
    assert!(!has(&client.diagnostics("a.site", 1), "unreadable-file"));
    assert_eq!(client.end(), 0);
}

/// What is shown beside an open site is asked for again when a part that it uses is typed in.
#[test]
fn figures_of_other_open_sites_are_asked_for_again() {
    let mut client = Client::with(&[("parts.site", PARTS)], able_to_pull());
    client.open("a.site", 1, USER);
    client.open("parts.site", 1, PARTS);
    let params = json!({ "textDocument": client.document("a.site") });
    client.request("textDocument/diagnostic", params);
    client.change("parts.site", 2, &[(Some([0, 5, 0, 9]), "latch")]);
    client.asked("workspace/inlayHint/refresh");
    client.asked("workspace/diagnostic/refresh");
    assert_eq!(client.end(), 0);
}

/// What was typed and not saved is gone with the client; what was saved is found again.
#[test]
fn a_new_server_finds_what_was_saved() {
    let mut client = Client::on(&[("parts.site", PARTS), ("a.site", SITE)]);
    client.open("a.site", 1, SITE);
    client.diagnostics("a.site", 1);
    client.change(
        "a.site",
        2,
        &[(None, "site barn {\n    timezone Europe/Lisbon\n    ambient 0 to 35 degC\n}\n")],
    );
    assert_eq!(client.diagnostics("a.site", 2), []);
    let (folder, keep) = client.give_folder();
    let mut second = Client::at_folder(folder);
    assert_eq!(second.diagnostics_closed("a.site").len(), 1);
    assert_eq!(second.end(), 0);
    drop(keep);
}

#[test]
fn folders_come_and_go() {
    let mut client = Client::on(&[("parts.site", PARTS), ("a.site", SITE)]);
    client.diagnostics_closed("a.site");
    let other = tempfile::tempdir().unwrap();
    let root = other.path().canonicalize().unwrap();
    // Its own root: the same names, other parts.
    std::fs::write(root.join("workspace.site"), "").unwrap();
    std::fs::write(root.join("b.site"), SITE).unwrap();
    let uri = crate::address::uri(&root).unwrap().as_str().to_owned();
    let folder = json!([{ "uri": uri, "name": "other" }]);
    let change =
        |added: &Value, removed: &Value| json!({ "event": { "added": added, "removed": removed } });
    client.notify("workspace/didChangeWorkspaceFolders", change(&folder, &json!([])));
    let told = client.diagnostics_at(&root.join("b.site"));
    assert!(has(&told, "unreadable-file"), "its parts are not those of the first folder");
    client.notify("workspace/didChangeWorkspaceFolders", change(&json!([]), &folder));
    assert_eq!(client.diagnostics_at(&root.join("b.site")), []);
    assert_eq!(client.end(), 0);
}

/// A folder that is no workspace of its own any more belongs to the one above again.
#[test]
fn a_workspace_goes_with_its_mark() {
    let mut client = Client::on(&[
        ("workspace.site", ""),
        ("parts.site", PARTS),
        ("sites/a.site", &USER.replace("parts.site", "../parts.site")),
    ]);
    let user = USER.replace("parts.site", "../parts.site");
    client.open("sites/a.site", 1, &user);
    assert!(!has(&client.diagnostics("sites/a.site", 1), "outside-workspace"));
    std::fs::write(client.path("sites/workspace.site"), "").unwrap();
    client.watched("sites/workspace.site", 1);
    assert!(has(&client.diagnostics("sites/a.site", 1), "outside-workspace"));
    std::fs::remove_file(client.path("sites/workspace.site")).unwrap();
    client.watched("sites/workspace.site", 3);
    assert!(!has(&client.diagnostics("sites/a.site", 1), "outside-workspace"));
    // And once more.
    std::fs::write(client.path("sites/workspace.site"), "").unwrap();
    client.watched("sites/workspace.site", 1);
    assert!(has(&client.diagnostics("sites/a.site", 1), "outside-workspace"));
    std::fs::remove_file(client.path("sites/workspace.site")).unwrap();
    client.watched("sites/workspace.site", 3);
    assert!(!has(&client.diagnostics("sites/a.site", 1), "outside-workspace"));
    // What is typed by then is what counts.
    client.change("sites/a.site", 2, &[(None, &user.replace("is reed", "is read"))]);
    assert!(has(&client.diagnostics("sites/a.site", 2), "unknown-name"));
    assert_eq!(client.end(), 0);
}

/// The settings are asked for, and taken again when they change.
#[test]
fn settings_are_asked_for_and_change_what_is_told() {
    let site =
        SITE.replace("schedule day {", "schedule day {\n    except 2026-12-01 to 2026-12-02");
    let site = format!("{site}\nallow unused-name on day until 2026-12-31 because \"later\"\n");
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.open("a.site", 1, &site);
    assert!(!has(&client.diagnostics("a.site", 1), "exception-expired"));
    client.set(json!({ "date": "2027-01-15" }));
    client.notify("workspace/didChangeConfiguration", json!({ "settings": null }));
    loop {
        if has(&client.diagnostics("a.site", 1), "exception-expired") {
            break;
        }
    }
    client.set(json!({ "date": "2027-02-30" }));
    client.notify("workspace/didChangeConfiguration", json!({ "settings": null }));
    let told = client.wait(|message| message["method"] == "window/showMessage");
    assert!(told["params"]["message"].as_str().unwrap().contains("curtilage.date"), "{told}");
    assert_eq!(client.end(), 0);
}

/// A client that cannot be asked sends its settings along.
#[test]
fn settings_may_be_sent() {
    let mut able = able();
    able["workspace"]["configuration"] = json!(false);
    let site = format!("{SITE}\nallow unused-name on day until 2026-12-31 because \"later\"\n");
    let mut client = Client::with(&[("parts.site", PARTS)], able);
    client.open("a.site", 1, &site);
    assert_eq!(client.diagnostics("a.site", 1), []);
    let settings = json!({ "curtilage": { "date": "2027-01-15" } });
    client.notify("workspace/didChangeConfiguration", json!({ "settings": settings }));
    assert!(has(&client.diagnostics("a.site", 1), "exception-expired"));
    assert_eq!(client.end(), 0);
}

#[test]
fn a_long_scan_is_told_of() {
    let options = Options { patience: Duration::ZERO, ..Options::default() };
    let mut client = Client::unbegun(&[("parts.site", PARTS), ("a.site", SITE)], options);
    client.begin(able());
    client.asked("window/workDoneProgress/create");
    for kind in ["begin", "end"] {
        client.wait(|message| {
            message["method"] == "$/progress" && message["params"]["value"]["kind"] == kind
        });
    }
    assert_eq!(client.end(), 0);
}

/// `c%3A` and `c:` are one file to the client, and so they are here.
#[test]
fn an_address_may_be_written_in_several_ways() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    let odd = format!("{}/%61.site", client.uri(""));
    let document = json!({ "uri": odd, "languageId": "curtilage", "version": 1, "text": SITE });
    client.notify("textDocument/didOpen", json!({ "textDocument": document }));
    client.change("a.site", 2, &[(Some([0, 0, 0, 0]), "# one\n")]);
    let told = client.wait(|message| message["params"]["version"] == 2);
    assert_eq!(told["params"]["uri"], json!(odd), "told by the client's own address");
    assert_eq!(told["params"]["diagnostics"][0]["range"]["start"]["line"], 8);
    assert_eq!(client.end(), 0);
}

#[test]
fn a_text_that_is_no_file_is_checked_too() {
    let mut client = Client::with(&[], able_to_pull());
    let document = json!({ "uri": "untitled:Untitled-1", "languageId": "curtilage", "version": 1, "text": "zone" });
    client.notify("textDocument/didOpen", json!({ "textDocument": document }));
    let params = json!({ "textDocument": { "uri": "untitled:Untitled-1" } });
    let answer = client.request("textDocument/diagnostic", params);
    assert_eq!(answer["items"][0]["code"], "syntax", "{answer}");
    assert_eq!(client.end(), 0);
}
