//! What the server can do, as it says when it begins.

use crate::features::Features;
use lsp_types::{
    DidChangeWatchedFilesRegistrationOptions, FileSystemWatcher, GlobPattern, OneOf, Registration,
    SaveOptions, ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, TextDocumentSyncSaveOptions, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

/// What is told of at the start.
pub(crate) fn of(features: &Features) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(features.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
            open_close: Some(true),
            change: Some(TextDocumentSyncKind::INCREMENTAL),
            save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions {
                include_text: Some(false),
            })),
            ..TextDocumentSyncOptions::default()
        })),
        document_formatting_provider: Some(OneOf::Left(true)),
        workspace: Some(WorkspaceServerCapabilities {
            workspace_folders: Some(WorkspaceFoldersServerCapabilities {
                supported: Some(true),
                change_notifications: Some(OneOf::Left(true)),
            }),
            file_operations: None,
        }),
        ..ServerCapabilities::default()
    }
}

/// What is asked for later, of a client that can be asked.
pub(crate) fn registrations(features: &Features) -> Vec<Registration> {
    let mut out = Vec::new();
    let mut add = |method: &str, options: Option<serde_json::Value>| {
        let id = format!("curtilage {method}");
        out.push(Registration { id, method: method.to_owned(), register_options: options });
    };
    if features.watch_files {
        // Folders are watched too: one that is renamed takes its files along.
        let watchers = ["**/*.site", "**/*.ics", "**/.git"].map(|pattern| FileSystemWatcher {
            glob_pattern: GlobPattern::String(pattern.to_owned()),
            kind: None,
        });
        let options = DidChangeWatchedFilesRegistrationOptions { watchers: watchers.to_vec() };
        add("workspace/didChangeWatchedFiles", serde_json::to_value(options).ok());
    }
    if features.watch_settings {
        let section = serde_json::json!({ "section": crate::settings::SECTION });
        add("workspace/didChangeConfiguration", Some(section));
    }
    out
}
