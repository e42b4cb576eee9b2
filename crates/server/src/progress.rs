//! Tells the client how far a long scan is. A scan that is done soon is not told of.

use crate::state::State;
use lsp_types::request::WorkDoneProgressCreate;
use lsp_types::{ProgressToken, WorkDoneProgressCreateParams};
use std::sync::atomic::{AtomicI32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::watch;
use tower_lsp::Client;
use tower_lsp::jsonrpc::ErrorCode;

/// Where progress goes.
#[derive(Clone)]
pub(crate) struct Progress {
    runtime: tokio::runtime::Handle,
    client: Client,
    state: Arc<State>,
    /// How long a scan may take before it is told of.
    patience: Duration,
    tokens: Arc<AtomicI32>,
}

/// One scan.
pub(crate) struct Scan<'a> {
    progress: &'a Progress,
    title: &'static str,
    total: usize,
    started: Instant,
    told: Mutex<Option<watch::Sender<usize>>>,
}

impl Progress {
    pub(crate) fn new(
        runtime: tokio::runtime::Handle,
        client: Client,
        state: Arc<State>,
        patience: Duration,
    ) -> Self {
        Self { runtime, client, state, patience, tokens: Arc::default() }
    }

    /// Begins a scan of so many files.
    pub(crate) fn scan(&self, title: &'static str, total: usize) -> Scan<'_> {
        Scan { progress: self, title, total, started: Instant::now(), told: Mutex::default() }
    }

    /// Creates the progress at the client, then tells every step until the scan is dropped.
    fn tell(&self, title: &'static str, total: usize, mut steps: watch::Receiver<usize>) {
        let client = self.client.clone();
        let number = self.tokens.fetch_add(1, Ordering::Relaxed);
        self.runtime.spawn(async move {
            let token = ProgressToken::String(format!("curtilage-{number}"));
            if !created(&client, &token).await {
                return;
            }
            let ongoing = client.progress(token, title).with_percentage(0).begin().await;
            loop {
                let done = *steps.borrow_and_update();
                let percent = u32::try_from(done * 100 / total.max(1)).unwrap_or(100);
                ongoing.report_with_message(format!("{done} of {total} files"), percent).await;
                tokio::time::sleep(Duration::from_millis(100)).await;
                if steps.changed().await.is_err() {
                    break;
                }
            }
            ongoing.finish().await;
        });
    }
}

/// Asks the client for a progress; whether it has one. A scan can begin before the router has seen
/// that the client is ready: then it is asked again.
async fn created(client: &Client, token: &ProgressToken) -> bool {
    for _ in 0..1000 {
        let params = WorkDoneProgressCreateParams { token: token.clone() };
        match client.send_request::<WorkDoneProgressCreate>(params).await {
            Ok(()) => return true,
            Err(error) if error.code == NOT_INITIALIZED => {
                tokio::time::sleep(Duration::from_millis(10)).await;
            }
            Err(_) => return false,
        }
    }
    false
}

/// `ServerNotInitialized` of LSP 3.17.
const NOT_INITIALIZED: ErrorCode = ErrorCode::ServerError(-32002);

impl Scan<'_> {
    /// So many files are done.
    pub(crate) fn step(&self, done: usize) {
        if !self.progress.state.current().features.progress
            || self.started.elapsed() < self.progress.patience
        {
            return;
        }
        let mut told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        match told.as_ref() {
            Some(steps) => {
                let _ = steps.send(done);
            }
            None => {
                let (sender, steps) = watch::channel(done);
                self.progress.tell(self.title, self.total, steps);
                *told = Some(sender);
            }
        }
    }
}
