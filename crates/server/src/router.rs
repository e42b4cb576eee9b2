//! Gives requests to their handlers and their answers to the client. A request that panics is
//! answered with an error, and the server goes on.

use crate::front::Routed;
use crate::outlet::Outlet;
use crate::state::{Snapshot, State};
use futures::{FutureExt, SinkExt, StreamExt};
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use tokio::sync::mpsc::UnboundedReceiver;
use tower::Service;
use tower_lsp::jsonrpc::{Error, ErrorCode, Request, Response};
use tower_lsp::{ClientSocket, LanguageServer, LspService};

/// So many requests may wait for their answers. There is no smaller limit: handlers that wait for
/// the client must never keep its answers from coming in.
const MOST_REQUESTS: usize = 4096;

tokio::task_local! {
    /// What was known when the request came.
    pub(crate) static SNAPSHOT: Arc<Snapshot>;
}

/// Routes until the front is gone.
pub(crate) async fn route<S: LanguageServer>(
    mut service: LspService<S>,
    socket: ClientSocket,
    mut incoming: UnboundedReceiver<Routed>,
    outlet: Outlet,
    state: Arc<State>,
) {
    let (mut requests, mut responses) = socket.split();
    let out = outlet.clone();
    tokio::spawn(async move {
        while let Some(request) = requests.next().await {
            out.send_json(&request);
        }
    });
    let waiting = Arc::new(AtomicUsize::new(0));
    while let Some(routed) = incoming.recv().await {
        let (request, snapshot) = match routed {
            Routed::Request(request, snapshot) => (request, snapshot),
            Routed::Response(response) => {
                let _ = responses.send(response).await;
                continue;
            }
        };
        if waiting.load(Ordering::Relaxed) >= MOST_REQUESTS {
            refuse(&request, "too many requests are waiting", &outlet);
            continue;
        }
        let begins = request.method() == "initialize";
        let answer = answer(&mut service, request, snapshot, outlet.clone());
        if begins {
            // What comes behind it, without waiting for the answer, finds the server ready.
            if answer.await {
                state.begin();
            }
        } else {
            waiting.fetch_add(1, Ordering::Relaxed);
            let waiting = Arc::clone(&waiting);
            tokio::spawn(async move {
                answer.await;
                waiting.fetch_sub(1, Ordering::Relaxed);
            });
        }
    }
}

/// Has a request answered; whether with a result.
fn answer<S: LanguageServer>(
    service: &mut LspService<S>,
    request: Request,
    snapshot: Arc<Snapshot>,
    outlet: Outlet,
) -> impl Future<Output = bool> + Send + use<S> {
    let (id, method) = (request.id().cloned(), request.method().to_owned());
    let future = SNAPSHOT.scope(snapshot, service.call(request));
    async move {
        match AssertUnwindSafe(future).catch_unwind().await {
            Ok(Ok(Some(response))) => {
                outlet.send_json(&response);
                response.is_ok()
            }
            Ok(Ok(None)) => {
                // The library is silent about what it does not know whose name begins with `$/`. A request
                // is an error then (LSP 3.17, `$` messages); only a notification may be passed over.
                if let Some(id) = id {
                    outlet.send_json(&Response::from_error(id, Error::method_not_found()));
                }
                false
            }
            Ok(Err(_)) => false,
            Err(_) => {
                if let Some(id) = id {
                    outlet.send_json(&Response::from_error(id, failed(&method)));
                }
                false
            }
        }
    }
}

/// The answer to a request whose handler panicked.
pub(crate) fn failed(method: &str) -> Error {
    Error {
        code: ErrorCode::InternalError,
        message: format!("`{method}` failed; the server goes on").into(),
        data: None,
    }
}

fn refuse(request: &Request, why: &'static str, outlet: &Outlet) {
    if let Some(id) = request.id() {
        // RequestFailed of LSP 3.17.
        let error = Error { code: ErrorCode::ServerError(-32803), message: why.into(), data: None };
        outlet.send_json(&Response::from_error(id.clone(), error));
    }
}
