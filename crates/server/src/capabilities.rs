//! What the server can do, as it says when it begins.

use crate::features::Features;
use crate::{actions, commands, tokens};
use lsp_types::{
    CallHierarchyServerCapability, CodeActionOptions, CodeActionProviderCapability,
    CodeLensOptions, CompletionOptions, DeclarationCapability, DiagnosticOptions,
    DiagnosticServerCapabilities, DidChangeWatchedFilesRegistrationOptions, DocumentLinkOptions,
    DocumentOnTypeFormattingOptions, ExecuteCommandOptions, FileSystemWatcher,
    FoldingRangeProviderCapability, GlobPattern, HoverProviderCapability, OneOf, Registration,
    RenameOptions, SaveOptions, SelectionRangeProviderCapability, SemanticTokensFullOptions,
    SemanticTokensOptions, ServerCapabilities, SignatureHelpOptions, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
    WorkDoneProgressOptions, WorkspaceFoldersServerCapabilities, WorkspaceServerCapabilities,
};

/// What is told of at the start.
pub(crate) fn of(features: &Features) -> ServerCapabilities {
    let [first, more @ ..] = &curtilage_ide::FORMAT_TRIGGERS;
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
        diagnostic_provider: features.pull.then(|| {
            DiagnosticServerCapabilities::Options(DiagnosticOptions {
                identifier: Some("curtilage".to_owned()),
                inter_file_dependencies: true,
                workspace_diagnostics: true,
                work_done_progress_options: WorkDoneProgressOptions::default(),
            })
        }),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some([" ", ".", "\"", "/"].map(str::to_owned).to_vec()),
            ..CompletionOptions::default()
        }),
        signature_help_provider: Some(SignatureHelpOptions {
            trigger_characters: Some(vec![" ".to_owned()]),
            retrigger_characters: Some(vec![",".to_owned()]),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        definition_provider: Some(OneOf::Left(true)),
        declaration_provider: Some(DeclarationCapability::Simple(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        })),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: Some(false),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        code_action_provider: features.action_literals.then(|| {
            CodeActionProviderCapability::Options(CodeActionOptions {
                code_action_kinds: Some(actions::KINDS.to_vec()),
                resolve_provider: Some(false),
                work_done_progress_options: WorkDoneProgressOptions::default(),
            })
        }),
        semantic_tokens_provider: Some(
            SemanticTokensOptions {
                work_done_progress_options: WorkDoneProgressOptions::default(),
                legend: tokens::legend(),
                range: Some(true),
                full: Some(SemanticTokensFullOptions::Delta { delta: Some(true) }),
            }
            .into(),
        ),
        inlay_hint_provider: Some(OneOf::Left(true)),
        code_lens_provider: Some(CodeLensOptions { resolve_provider: Some(false) }),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        call_hierarchy_provider: Some(CallHierarchyServerCapability::Simple(true)),
        execute_command_provider: Some(ExecuteCommandOptions {
            commands: [commands::REHEARSE, commands::SHOW].map(str::to_owned).to_vec(),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: first.to_string(),
            more_trigger_character: Some(more.iter().map(char::to_string).collect()),
        }),
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
