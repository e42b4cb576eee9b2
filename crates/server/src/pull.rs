//! Diagnostics for a client that asks for them. A result that it has already is not sent again.

use crate::address;
use crate::backend::Ask;
use crate::context::refused;
use crate::shelf::Checked;
use crate::state::Snapshot;
use lsp_types::{
    DocumentDiagnosticParams, DocumentDiagnosticReport, DocumentDiagnosticReportResult,
    FullDocumentDiagnosticReport, RelatedFullDocumentDiagnosticReport,
    RelatedUnchangedDocumentDiagnosticReport, UnchangedDocumentDiagnosticReport, Uri,
    WorkspaceDiagnosticParams, WorkspaceDiagnosticReport, WorkspaceDiagnosticReportResult,
    WorkspaceDocumentDiagnosticReport, WorkspaceFullDocumentDiagnosticReport,
    WorkspaceUnchangedDocumentDiagnosticReport,
};
use std::collections::HashMap;
use std::path::PathBuf;
use tower_lsp::jsonrpc::{Error, Result};

pub(crate) fn document(
    ask: &Ask,
    params: &DocumentDiagnosticParams,
) -> Result<DocumentDiagnosticReportResult> {
    let path = ask
        .snapshot
        .path(&params.text_document.uri)
        .ok_or_else(|| Error::invalid_params("the document is not known here"))?;
    let checked = match Snapshot::is_site(&path) {
        true => ask.shelf.checked(&ask.snapshot, &path),
        false => None,
    };
    let id = checked.as_ref().map(|checked| id(checked));
    let report = if id.is_some() && id == params.previous_result_id {
        DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
            related_documents: None,
            unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport {
                result_id: id.unwrap_or_default(),
            },
        })
    } else {
        DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
            related_documents: None,
            full_document_diagnostic_report: FullDocumentDiagnosticReport {
                result_id: id,
                items: checked.map(|checked| checked.items.values()).unwrap_or_default(),
            },
        })
    };
    Ok(DocumentDiagnosticReportResult::Report(report))
}

fn id(checked: &Checked) -> String {
    checked.id.to_string()
}

/// All files below the folders of the client, open ones first. A file of which the client knows
/// something and that is gone is told as clean.
pub(crate) fn workspace(
    ask: &Ask,
    params: &WorkspaceDiagnosticParams,
) -> Result<WorkspaceDiagnosticReportResult> {
    let snapshot = &ask.snapshot;
    let mut known: HashMap<PathBuf, (&Uri, &str)> = HashMap::new();
    for previous in &params.previous_result_ids {
        if let Some(path) = snapshot.path(&previous.uri) {
            known.insert(path, (&previous.uri, &previous.value));
        }
    }
    let mut paths: Vec<PathBuf> =
        snapshot.documents.keys().filter(|path| Snapshot::is_site(path)).cloned().collect();
    paths.sort();
    let closed = ask.shelf.files(&ask.snapshot);
    paths.extend(closed.iter().filter(|path| !snapshot.documents.contains_key(*path)).cloned());
    let mut items = Vec::new();
    for path in paths {
        if ask.is_cancelled() {
            return Err(refused("the request was taken back".to_owned()));
        }
        let Some(checked) = ask.shelf.checked(snapshot, &path) else { continue };
        let open = snapshot.documents.get(&path);
        let uri = open.map(|open| open.uri.clone()).or_else(|| address::uri(&path));
        let (Some(uri), result_id) = (uri, id(&checked)) else { continue };
        let version = open.map(|open| i64::from(open.version));
        let before = known.remove(&path).map(|(_, id)| id);
        items.push(if before == Some(&result_id) {
            let report = UnchangedDocumentDiagnosticReport { result_id };
            unchanged(uri, version, report)
        } else {
            let items = checked.items.values();
            full(uri, version, FullDocumentDiagnosticReport { result_id: Some(result_id), items })
        });
    }
    let mut gone: Vec<_> = known.into_values().map(|(uri, _)| uri.clone()).collect();
    gone.sort();
    items.extend(
        gone.into_iter().map(|uri| full(uri, None, FullDocumentDiagnosticReport::default())),
    );
    Ok(WorkspaceDiagnosticReportResult::Report(WorkspaceDiagnosticReport { items }))
}

fn unchanged(
    uri: Uri,
    version: Option<i64>,
    report: UnchangedDocumentDiagnosticReport,
) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceDocumentDiagnosticReport::Unchanged(WorkspaceUnchangedDocumentDiagnosticReport {
        uri,
        version,
        unchanged_document_diagnostic_report: report,
    })
}

fn full(
    uri: Uri,
    version: Option<i64>,
    report: FullDocumentDiagnosticReport,
) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceDocumentDiagnosticReport::Full(WorkspaceFullDocumentDiagnosticReport {
        uri,
        version,
        full_document_diagnostic_report: report,
    })
}
