//! The handlers. Each asks one function about the snapshot that it began with, on a thread for
//! work, and gives the answer; nothing is decided here.

use crate::front::set;
use crate::refresh::Refresh;
use crate::router::{SNAPSHOT, failed};
use crate::shelf::Shelf;
use crate::state::{Snapshot, State};
use crate::tokens::Sent;
use crate::{
    actions, capabilities, chain, commands, formatting, navigation, outline, pull, settings, shown,
    tokens, words,
};
use lsp_types::request::{GotoDeclarationParams, GotoDeclarationResponse};
use lsp_types::{
    CallHierarchyIncomingCall, CallHierarchyIncomingCallsParams, CallHierarchyItem,
    CallHierarchyOutgoingCall, CallHierarchyOutgoingCallsParams, CallHierarchyPrepareParams,
    CodeActionParams, CodeActionResponse, CodeLens, CodeLensParams, CompletionParams,
    CompletionResponse, ConfigurationItem, DidChangeConfigurationParams, DocumentDiagnosticParams,
    DocumentDiagnosticReportResult, DocumentFormattingParams, DocumentHighlight,
    DocumentHighlightParams, DocumentLink, DocumentLinkParams, DocumentOnTypeFormattingParams,
    DocumentRangeFormattingParams, DocumentSymbolParams, DocumentSymbolResponse,
    ExecuteCommandParams, FoldingRange, FoldingRangeParams, GotoDefinitionParams,
    GotoDefinitionResponse, Hover, HoverParams, InitializeParams, InitializeResult,
    InitializedParams, InlayHint, InlayHintParams, LSPAny, Location, MessageType, OneOf,
    PrepareRenameResponse, ReferenceParams, RenameParams, SelectionRange, SelectionRangeParams,
    SemanticTokensDeltaParams, SemanticTokensFullDeltaResult, SemanticTokensParams,
    SemanticTokensRangeParams, SemanticTokensRangeResult, SemanticTokensResult, ServerInfo,
    SignatureHelp, SignatureHelpParams, SymbolInformation, TextDocumentPositionParams, TextEdit,
    WorkspaceDiagnosticParams, WorkspaceDiagnosticReportResult, WorkspaceEdit, WorkspaceSymbol,
    WorkspaceSymbolParams,
};
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::{Client, LanguageServer};

/// The handlers' common knowledge.
pub(crate) struct Backend {
    pub(crate) client: Client,
    pub(crate) state: Arc<State>,
    pub(crate) shelf: Arc<Shelf>,
    pub(crate) refresh: Refresh,
    pub(crate) sent: Arc<Sent>,
}

/// What a handler works with.
pub(crate) struct Ask {
    pub(crate) snapshot: Arc<Snapshot>,
    pub(crate) shelf: Arc<Shelf>,
    pub(crate) sent: Arc<Sent>,
    dropped: Arc<AtomicBool>,
}

impl Ask {
    /// Whether the client has taken the request back. Long work looks from time to time.
    pub(crate) fn is_cancelled(&self) -> bool {
        self.dropped.load(Ordering::Relaxed)
    }
}

/// Set when the handler is dropped, as a cancelled one is.
struct SetOnDrop(Arc<AtomicBool>);

impl Drop for SetOnDrop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl Backend {
    /// Does work about the snapshot of this request on another thread.
    async fn ask<T: Send + 'static>(
        &self,
        method: &'static str,
        work: impl FnOnce(&Ask) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let snapshot = SNAPSHOT.try_with(Arc::clone).unwrap_or_else(|_| self.state.current());
        let dropped = Arc::new(AtomicBool::new(false));
        let _guard = SetOnDrop(Arc::clone(&dropped));
        let (shelf, sent) = (Arc::clone(&self.shelf), Arc::clone(&self.sent));
        let ask = Ask { snapshot, shelf, sent, dropped };
        let work = move || {
            // Taken back before its turn came: nobody hears the answer.
            if ask.is_cancelled() {
                return Ok(Err(Error::request_cancelled()));
            }
            std::panic::catch_unwind(AssertUnwindSafe(|| work(&ask)))
        };
        match tokio::task::spawn_blocking(work).await {
            Ok(Ok(answer)) => answer,
            _ => Err(failed(method)),
        }
    }

    /// Asks the client for our settings.
    async fn pull_settings(client: Client, state: Arc<State>, refresh: Refresh) {
        let item =
            ConfigurationItem { scope_uri: None, section: Some(settings::SECTION.to_owned()) };
        let Ok(values) = client.configuration(vec![item]).await else { return };
        let Some(value) = values.first().filter(|value| !value.is_null()) else { return };
        let (differ, wrong) = set(&state, value);
        if differ {
            refresh.all();
        }
        for wrong in wrong {
            client.show_message(MessageType::WARNING, wrong).await;
        }
    }
}

/// A handler a line: each asks one function about the snapshot that it began with.
macro_rules! handlers {
    ($($name:ident $method:literal ($params:ty) -> $result:ty { |$ask:ident, $given:ident| $work:expr })*) => {
        $(async fn $name(&self, $given: $params) -> Result<$result> {
            self.ask($method, move |$ask| $work).await
        })*
    };
}

impl LanguageServer for Backend {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        // The front has taken what it says.
        let features = Arc::clone(&self.state.current().features);
        Ok(InitializeResult {
            capabilities: capabilities::of(&features),
            server_info: Some(ServerInfo {
                name: "curtilage".to_owned(),
                version: Some(env!("CARGO_PKG_VERSION").to_owned()),
            }),
        })
    }

    async fn initialized(&self, _: InitializedParams) {
        let features = Arc::clone(&self.state.current().features);
        let (client, state) = (self.client.clone(), Arc::clone(&self.state));
        let refresh = self.refresh.clone();
        // The client's answers must not be waited for here: they come through the same router.
        tokio::spawn(async move {
            let registrations = capabilities::registrations(&features);
            if !registrations.is_empty() {
                let _ = client.register_capability(registrations).await;
            }
            if features.configuration {
                Self::pull_settings(client, state, refresh).await;
            }
        });
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_change_configuration(&self, _: DidChangeConfigurationParams) {
        let (client, state) = (self.client.clone(), Arc::clone(&self.state));
        let refresh = self.refresh.clone();
        if state.current().features.configuration {
            tokio::spawn(Self::pull_settings(client, state, refresh));
        } else {
            refresh.all();
        }
    }

    async fn execute_command(&self, params: ExecuteCommandParams) -> Result<Option<LSPAny>> {
        let run = move |ask: &Ask| commands::run(ask, &params);
        let done = self.ask("workspace/executeCommand", run).await?;
        let client = self.client.clone();
        tokio::spawn(async move {
            if let Some((kind, text)) = done.message {
                client.show_message(kind, text).await;
            }
            if let Some(show) = done.show {
                let _ = client.show_document(show).await;
            }
        });
        Ok(Some(done.answer))
    }

    handlers! {
        hover "textDocument/hover" (HoverParams) -> Option<Hover> {
            |ask, params| words::hover(ask, &params.text_document_position_params)
        }
        completion "textDocument/completion" (CompletionParams) -> Option<CompletionResponse> {
            |ask, params| words::completion(ask, &params.text_document_position)
        }
        signature_help "textDocument/signatureHelp" (SignatureHelpParams) -> Option<SignatureHelp> {
            |ask, params| words::signature(ask, &params.text_document_position_params)
        }
        goto_definition "textDocument/definition" (GotoDefinitionParams) -> Option<GotoDefinitionResponse> {
            |ask, params| navigation::definition(ask, &params.text_document_position_params)
        }
        goto_declaration "textDocument/declaration" (GotoDeclarationParams) -> Option<GotoDeclarationResponse> {
            |ask, params| navigation::declaration(ask, &params.text_document_position_params)
        }
        references "textDocument/references" (ReferenceParams) -> Option<Vec<Location>> {
            |ask, params| navigation::references(ask, &params)
        }
        document_highlight "textDocument/documentHighlight" (DocumentHighlightParams) -> Option<Vec<DocumentHighlight>> {
            |ask, params| navigation::highlights(ask, &params.text_document_position_params)
        }
        prepare_rename "textDocument/prepareRename" (TextDocumentPositionParams) -> Option<PrepareRenameResponse> {
            |ask, params| navigation::prepare_rename(ask, &params)
        }
        rename "textDocument/rename" (RenameParams) -> Option<WorkspaceEdit> {
            |ask, params| navigation::rename(ask, &params)
        }
        document_symbol "textDocument/documentSymbol" (DocumentSymbolParams) -> Option<DocumentSymbolResponse> {
            |ask, params| outline::document(ask, &params.text_document.uri)
        }
        symbol "workspace/symbol" (WorkspaceSymbolParams) -> Option<OneOf<Vec<SymbolInformation>, Vec<WorkspaceSymbol>>> {
            |ask, params| outline::workspace(ask, &params.query)
        }
        document_link "textDocument/documentLink" (DocumentLinkParams) -> Option<Vec<DocumentLink>> {
            |ask, params| outline::links(ask, &params.text_document.uri)
        }
        diagnostic "textDocument/diagnostic" (DocumentDiagnosticParams) -> DocumentDiagnosticReportResult {
            |ask, params| pull::document(ask, &params)
        }
        workspace_diagnostic "workspace/diagnostic" (WorkspaceDiagnosticParams) -> WorkspaceDiagnosticReportResult {
            |ask, params| pull::workspace(ask, &params)
        }
        formatting "textDocument/formatting" (DocumentFormattingParams) -> Option<Vec<TextEdit>> {
            |ask, params| formatting::document(ask, &params.text_document.uri)
        }
        range_formatting "textDocument/rangeFormatting" (DocumentRangeFormattingParams) -> Option<Vec<TextEdit>> {
            |ask, params| formatting::range(ask, &params.text_document.uri, params.range)
        }
        on_type_formatting "textDocument/onTypeFormatting" (DocumentOnTypeFormattingParams) -> Option<Vec<TextEdit>> {
            |ask, params| formatting::typed(ask, &params)
        }
        semantic_tokens_full "textDocument/semanticTokens/full" (SemanticTokensParams) -> Option<SemanticTokensResult> {
            |ask, params| tokens::full(ask, &params.text_document.uri)
        }
        semantic_tokens_range "textDocument/semanticTokens/range" (SemanticTokensRangeParams) -> Option<SemanticTokensRangeResult> {
            |ask, params| tokens::range(ask, &params.text_document.uri, params.range)
        }
        semantic_tokens_full_delta "textDocument/semanticTokens/full/delta" (SemanticTokensDeltaParams) -> Option<SemanticTokensFullDeltaResult> {
            |ask, params| tokens::delta(ask, &params.text_document.uri, &params.previous_result_id)
        }
        inlay_hint "textDocument/inlayHint" (InlayHintParams) -> Option<Vec<InlayHint>> {
            |ask, params| shown::hints(ask, &params.text_document.uri, params.range)
        }
        code_lens "textDocument/codeLens" (CodeLensParams) -> Option<Vec<CodeLens>> {
            |ask, params| shown::lenses(ask, &params.text_document.uri)
        }
        folding_range "textDocument/foldingRange" (FoldingRangeParams) -> Option<Vec<FoldingRange>> {
            |ask, params| shown::folds(ask, &params.text_document.uri)
        }
        selection_range "textDocument/selectionRange" (SelectionRangeParams) -> Option<Vec<SelectionRange>> {
            |ask, params| shown::selections(ask, &params.text_document.uri, &params.positions)
        }
        prepare_call_hierarchy "textDocument/prepareCallHierarchy" (CallHierarchyPrepareParams) -> Option<Vec<CallHierarchyItem>> {
            |ask, params| chain::prepare(ask, &params.text_document_position_params)
        }
        incoming_calls "callHierarchy/incomingCalls" (CallHierarchyIncomingCallsParams) -> Option<Vec<CallHierarchyIncomingCall>> {
            |ask, params| chain::incoming(ask, &params.item)
        }
        outgoing_calls "callHierarchy/outgoingCalls" (CallHierarchyOutgoingCallsParams) -> Option<Vec<CallHierarchyOutgoingCall>> {
            |ask, params| chain::outgoing(ask, &params.item)
        }
        code_action "textDocument/codeAction" (CodeActionParams) -> Option<CodeActionResponse> {
            |ask, params| actions::actions(ask, &params)
        }
    }
}

/// Handlers for tests: one that never answers, one that answers too much, and two that panic.
#[cfg(test)]
impl Backend {
    pub(crate) async fn test_wait(&self) -> Result<()> {
        std::future::pending().await
    }

    /// An answer that no pipe holds.
    pub(crate) async fn test_flood(&self) -> Result<String> {
        Ok("x".repeat(1 << 20))
    }

    pub(crate) async fn test_panic(&self) -> Result<()> {
        panic!("as wanted")
    }

    pub(crate) async fn test_panic_at_work(&self) -> Result<()> {
        self.ask("test/panic-at-work", |_| panic!("as wanted")).await
    }
}
