//! The handlers. Each asks one function about the snapshot that it began with, on a thread for
//! work, and gives the answer; nothing is decided here.

use crate::front::set;
use crate::refresh::Refresh;
use crate::router::{SNAPSHOT, failed};
use crate::shelf::Shelf;
use crate::state::{Snapshot, State};
use crate::{capabilities, settings};
use lsp_types::{
    ConfigurationItem, DidChangeConfigurationParams, DocumentFormattingParams, InitializeParams,
    InitializeResult, InitializedParams, MessageType, ServerInfo, TextEdit,
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
}

/// What a handler works with.
pub(crate) struct Ask {
    pub(crate) snapshot: Arc<Snapshot>,
    pub(crate) shelf: Arc<Shelf>,
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
        let ask = Ask { snapshot, shelf: Arc::clone(&self.shelf), dropped };
        let work = move || std::panic::catch_unwind(AssertUnwindSafe(|| work(&ask)));
        match tokio::task::spawn_blocking(work).await {
            Ok(Ok(answer)) => answer,
            _ => Err(failed(method)),
        }
    }

    /// Asks the client for our settings.
    async fn pull_settings(client: Client, state: Arc<State>, refresh: Refresh) {
        let item = ConfigurationItem {
            scope_uri: None,
            section: Some(settings::SECTION.to_owned()),
        };
        let Ok(values) = client.configuration(vec![item]).await else { return };
        let Some(value) = values.first().filter(|value| !value.is_null()) else { return };
        for wrong in set(&state, value) {
            client.show_message(MessageType::WARNING, wrong).await;
        }
        refresh.all();
    }
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

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.ask("textDocument/formatting", move |ask| {
            crate::formatting::document(ask, &params.text_document.uri)
        })
        .await
    }
}

/// The answer to a request about a document that is not open.
pub(crate) fn not_open() -> Error {
    Error::invalid_params("the document is not open")
}
