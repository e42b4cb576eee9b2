//! Asks the client to ask again.

use crate::state::State;
use std::sync::Arc;
use tower_lsp::Client;

/// Asks from any thread, and never waits for the answer.
#[derive(Clone)]
pub(crate) struct Refresh {
    runtime: tokio::runtime::Handle,
    client: Client,
    state: Arc<State>,
}

impl Refresh {
    pub(crate) fn new(runtime: tokio::runtime::Handle, client: Client, state: Arc<State>) -> Self {
        Self { runtime, client, state }
    }

    /// Diagnostics may be other ones.
    pub(crate) fn diagnostics(&self) {
        let client = self.client.clone();
        if self.state.current().features.refresh_diagnostics {
            self.runtime.spawn(async move { client.workspace_diagnostic_refresh().await });
        }
    }

    /// Everything that is shown may be other than it was.
    pub(crate) fn all(&self) {
        let features = Arc::clone(&self.state.current().features);
        self.diagnostics();
        let client = self.client.clone();
        self.runtime.spawn(async move {
            if features.refresh_hints {
                let _ = client.inlay_hint_refresh().await;
            }
            if features.refresh_lenses {
                let _ = client.code_lens_refresh().await;
            }
            if features.refresh_tokens {
                let _ = client.semantic_tokens_refresh().await;
            }
        });
    }
}
