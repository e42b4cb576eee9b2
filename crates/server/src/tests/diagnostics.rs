//! What is told, pushed and pulled.

use super::client::{Client, able_to_pull, example};
use super::fixtures::{PARTS, SITE, rules};
use lsp_types::request::{DocumentDiagnosticRequest, WorkspaceDiagnosticRequest};
use lsp_types::{
    DiagnosticSeverity, DiagnosticTag, DocumentDiagnosticReport, DocumentDiagnosticReportResult,
    WorkspaceDiagnosticReport, WorkspaceDiagnosticReportResult, WorkspaceDocumentDiagnosticReport,
};
use serde_json::{Value, json};

#[test]
fn a_finding_has_its_rule_its_page_and_its_tag() {
    let mut client = Client::on(&[("parts.site", PARTS)]);
    client.open("a.site", 1, SITE);
    let mut told = client.diagnostics("a.site", 1);
    client
        .set(json!({ "date": super::client::TODAY, "rulePages": "https://pages.example/{rule}" }));
    client.notify("workspace/didChangeConfiguration", json!({ "settings": null }));
    // Nothing is typed: the settings alone are news.
    while !format!("{told:?}").contains("pages.example") {
        told = client.diagnostics("a.site", 1);
    }
    let [finding] = told.as_slice() else { panic!("{told:#?}") };
    assert_eq!(finding.source.as_deref(), Some("curtilage"));
    assert_eq!(finding.tags, Some(vec![DiagnosticTag::UNNECESSARY]));
    assert!(finding.code_description.as_ref().unwrap().href.as_str().ends_with("unused-name"));
    assert_eq!(finding.range.start, lsp_types::Position::new(7, 9));
    assert_eq!(finding.data.as_ref().unwrap()["about"], json!(["day"]));
    assert_eq!(client.end(), 0);
}

#[test]
fn the_other_end_of_a_conflict_is_related_also_in_another_file() {
    let parts = example("parts/general.site");
    let faulty = example("faulty/contact-overload.site");
    let mut client = Client::on(&[("parts/general.site", &parts)]);
    client.open("faulty/a.site", 1, &faulty);
    let told = client.diagnostics("faulty/a.site", 1);
    let finding = told.iter().find(|finding| rules(&[(*finding).clone()]) == ["contact-overload"]);
    let finding = finding.unwrap();
    assert_eq!(finding.severity, Some(DiagnosticSeverity::ERROR));
    let related = finding.related_information.as_ref().unwrap();
    assert!(
        related.iter().any(|other| other.location.uri.as_str().ends_with("parts/general.site"))
    );
    assert!(finding.message.lines().any(|line| line.starts_with("do: ")), "{}", finding.message);
    assert_eq!(client.end(), 0);
}

/// The same file by the command line and by the server: the same findings at the same lines.
#[test]
fn every_faulty_example_is_told_as_its_markers_say() {
    let folder = curtilage_testkit::root().join("examples");
    let mut client = Client::at_folder(folder);
    for path in curtilage_testkit::site_files("examples/faulty") {
        let text = std::fs::read_to_string(&path).unwrap();
        let shown = path.strip_prefix(&client.folder).unwrap().to_str().unwrap().to_owned();
        client.open(&shown, 1, &text);
        let told = client.diagnostics(&shown, 1);
        let mut found: Vec<(usize, String)> = told
            .iter()
            .zip(rules(&told))
            .map(|(finding, rule)| (finding.range.start.line as usize + 1, rule))
            .collect();
        found.sort();
        let wanted: Vec<(usize, String)> = curtilage_testkit::expected(&text)
            .into_iter()
            .map(|expected| (expected.line, expected.rule))
            .collect();
        assert_eq!(found, wanted, "{shown}");
        client.close(&shown);
    }
    assert_eq!(client.end(), 0);
}

#[test]
fn a_client_that_pulls_is_sent_nothing_and_told_only_what_is_new() {
    let mut client = Client::with(&[("parts.site", PARTS), ("closed.site", SITE)], able_to_pull());
    client.open("a.site", 1, SITE);
    let (items, id) = pulled(&mut client, "a.site", None);
    assert_eq!(items.map(|items| rules(&items)), Some(vec!["unused-name".to_owned()]));
    let (items, same) = pulled(&mut client, "a.site", Some(&id));
    assert_eq!((items, &same), (None, &id), "nothing has changed");
    client.change(
        "a.site",
        2,
        &[(None, "site barn {\n    timezone Europe/Lisbon\n    ambient 0 to 35 degC\n}\n")],
    );
    let (items, other) = pulled(&mut client, "a.site", Some(&id));
    assert_eq!(items, Some(vec![]));
    assert_ne!(other, id);
    let pushed = client.seen("textDocument/publishDiagnostics");
    assert_eq!(pushed, Vec::<Value>::new());
    assert_eq!(client.end(), 0);
}

/// A client asks about what is typed in; about another open file that uses it, it has to be told to.
#[test]
fn a_client_that_pulls_is_told_to_ask_again_about_open_files_that_use_the_edited_one() {
    let used = "use \"parts.site\"\n\nsite barn {\n    timezone Europe/Lisbon\n    ambient 0 to 35 degC\n}\n";
    let mut client = Client::with(&[("parts.site", PARTS), ("a.site", used)], able_to_pull());
    client.open("a.site", 1, used);
    client.open("parts.site", 1, PARTS);
    let mut known = None;
    // A question that was sent for another reason may stand for one of these, but not for all.
    for version in 2..10 {
        let (_, id) = pulled(&mut client, "a.site", known.as_deref());
        client.forget_seen();
        let part = format!("part reed{version} is sensor {{\n    rests closed\n}}\n");
        client.change("parts.site", version, &[(None, &part)]);
        client.asked("workspace/diagnostic/refresh");
        known = Some(id);
    }
    let (items, _) = pulled(&mut client, "a.site", known.as_deref());
    assert_eq!(items, None, "the site names none of the parts: the list is the one that was sent");
    assert_eq!(client.end(), 0);
}

#[test]
fn a_client_that_pulls_asks_again_when_a_file_is_gone() {
    let mut client = Client::with(&[("parts.site", PARTS), ("closed.site", SITE)], able_to_pull());
    client.asked("workspace/diagnostic/refresh");
    client.forget_seen();
    std::fs::remove_file(client.path("closed.site")).unwrap();
    client.watched("closed.site", 3);
    client.asked("workspace/diagnostic/refresh");
    let told = workspace(&mut client, json!([]));
    assert!(!told.is_empty());
    assert_eq!(client.end(), 0);
}

fn pulled(
    client: &mut Client,
    path: &str,
    previous: Option<&str>,
) -> (Option<Vec<lsp_types::Diagnostic>>, String) {
    let params = json!({ "textDocument": client.document(path), "previousResultId": previous });
    match client.typed::<DocumentDiagnosticRequest>(params) {
        DocumentDiagnosticReportResult::Report(DocumentDiagnosticReport::Full(full)) => {
            let report = full.full_document_diagnostic_report;
            (Some(report.items), report.result_id.unwrap())
        }
        DocumentDiagnosticReportResult::Report(DocumentDiagnosticReport::Unchanged(report)) => {
            (None, report.unchanged_document_diagnostic_report.result_id)
        }
        other => panic!("{other:?}"),
    }
}

/// The whole workspace: open files with their versions, closed ones, and those that are gone.
#[test]
fn the_workspace_is_pulled_and_what_is_gone_is_clean() {
    let mut client = Client::with(&[("parts.site", PARTS), ("closed.site", SITE)], able_to_pull());
    // The folders have been looked through when the client is asked to ask again.
    client.asked("workspace/diagnostic/refresh");
    client.open("a.site", 7, SITE);
    let gone = json!({ "uri": client.uri("gone.site"), "value": "1" });
    let first = workspace(&mut client, json!([gone]));
    let told: Vec<(String, Option<i64>, Option<usize>)> = first.iter().map(short).collect();
    let name = |path: &str| path.to_owned();
    assert_eq!(
        told,
        [
            (name("a.site"), Some(7), Some(1)),
            (name("closed.site"), None, Some(1)),
            (name("parts.site"), None, Some(0)),
            (name("workspace.site"), None, Some(0)),
            (name("gone.site"), None, Some(0)),
        ]
    );
    let ids: Vec<Value> = first
        .iter()
        .filter_map(|item| match item {
            WorkspaceDocumentDiagnosticReport::Full(full) => Some(json!({
                "uri": full.uri, "value": full.full_document_diagnostic_report.result_id.clone()?,
            })),
            WorkspaceDocumentDiagnosticReport::Unchanged(_) => None,
        })
        .collect();
    let second = workspace(&mut client, json!(ids));
    assert!(second.iter().all(|item| short(item).2.is_none()), "nothing has changed");
    assert_eq!(client.end(), 0);
}

fn workspace(client: &mut Client, known: Value) -> Vec<WorkspaceDocumentDiagnosticReport> {
    let params = json!({ "previousResultIds": known });
    match client.typed::<WorkspaceDiagnosticRequest>(params) {
        WorkspaceDiagnosticReportResult::Report(WorkspaceDiagnosticReport { items }) => items,
        WorkspaceDiagnosticReportResult::Partial(partial) => panic!("{partial:?}"),
    }
}

/// File name, version, and how many findings, if they were sent.
fn short(item: &WorkspaceDocumentDiagnosticReport) -> (String, Option<i64>, Option<usize>) {
    let name = |uri: &lsp_types::Uri| uri.as_str().rsplit('/').next().unwrap().to_owned();
    match item {
        WorkspaceDocumentDiagnosticReport::Full(full) => {
            let count = full.full_document_diagnostic_report.items.len();
            (name(&full.uri), full.version, Some(count))
        }
        WorkspaceDocumentDiagnosticReport::Unchanged(same) => (name(&same.uri), same.version, None),
    }
}
