//! The language server: LSP 3.17 over two streams of bytes. The only crate that knows the protocol,
//! its types and its threads.
//!
//! - One thread reads the wire. It applies every edit at once, in order (`front`).
//! - One thread writes (`outlet`). A client that does not read stops nobody else.
//! - One thread works out and tells what is wrong, for the newest version (`analyst`).
//! - The router and the waiting live on the calling thread (`router`); requests work on threads of
//!   their own, on the snapshot of the moment in which they came (`backend`).

mod actions;
mod address;
mod analyst;
mod backend;
mod capabilities;
mod chain;
mod commands;
mod context;
mod diagnose;
mod document;
mod edits;
mod features;
mod formatting;
mod frame;
mod front;
mod helper;
mod listed;
mod navigation;
mod outlet;
mod outline;
mod pages;
mod plain;
mod position;
mod progress;
mod pull;
mod refresh;
mod router;
mod settings;
mod shelf;
mod shown;
mod state;
mod tokens;
mod words;

#[cfg(test)]
mod tests;

use analyst::Analyst;
use backend::Backend;
use frame::{Frame, Frames};
use front::{Front, Then};
use helper::Helper;
use outlet::Outlet;
use pages::Pages;
use progress::Progress;
use refresh::Refresh;
use shelf::Shelf;
use state::State;
use std::io::{self, BufReader, Read, Write};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc;
use tower_lsp::LspService;

/// What can be set from outside the protocol.
#[derive(Clone, Debug)]
pub struct Options {
    /// How long a scan may take before the client is told how far it is.
    pub patience: Duration,
    /// The folder for what can be made again; the pages of the rules are put there. None: they are
    /// not linked to, unless the settings say where they are.
    pub cache: Option<PathBuf>,
}

impl Default for Options {
    fn default() -> Self {
        Self { patience: Duration::from_secs(1), cache: pages::cache_folder() }
    }
}

/// So many requests are worked on at a time; more threads would only wait for each other.
const WORKERS: usize = 8;

/// How long the last messages may take to be read when all is over.
const LAST_WORDS: Duration = Duration::from_millis(500);

/// Serves one client until it wants no more, and gives the exit code: 0 after `shutdown`, 1 without.
///
/// # Errors
/// When the threads cannot be made.
pub fn serve(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    options: &Options,
) -> io::Result<u8> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_time()
        .max_blocking_threads(WORKERS)
        .build()?;
    let outlet = Outlet::new(output);
    let state = Arc::new(State::new());
    let shelf = Arc::new(Shelf::new(Arc::new(Pages::below(options.cache.clone()))));
    let mut parts = None;
    let service = LspService::build(|client| {
        let refresh = Refresh::new(runtime.handle().clone(), client.clone(), Arc::clone(&state));
        parts = Some((client.clone(), refresh.clone()));
        let (state, shelf) = (Arc::clone(&state), Arc::clone(&shelf));
        Backend { client, state, shelf, refresh, sent: Arc::default() }
    });
    #[cfg(test)]
    let service = service
        .custom_method("test/wait", Backend::test_wait)
        .custom_method("test/flood", Backend::test_flood)
        .custom_method("test/panic", Backend::test_panic)
        .custom_method("test/panic-at-work", Backend::test_panic_at_work);
    let (service, socket) = service.finish();
    let (client, refresh) = parts.ok_or_else(|| io::Error::other("the service was not made"))?;
    let progress =
        Progress::new(runtime.handle().clone(), client, Arc::clone(&state), options.patience);
    // The two threads that check files begin one after the other: see `thread`.
    let helper = Helper::new();
    let analyst =
        Analyst::new(Arc::clone(&state), outlet.clone(), shelf, progress, refresh, helper);
    thread("analyst", move || analyst.run())?;
    let (to_router, incoming) = mpsc::unbounded_channel();
    let front = Front::new(Arc::clone(&state), outlet.clone(), to_router);
    let (ended, mut end) = mpsc::channel(2);

    let (writer, gone) = (outlet.clone(), ended.clone());
    thread("writer", move || {
        writer.write_all();
        let _ = gone.blocking_send(1);
    })?;
    thread("reader", move || {
        let _ = ended.blocking_send(read(front, input));
    })?;
    let routed = router::route(service, socket, incoming, outlet.clone(), Arc::clone(&state));
    let code = runtime.block_on(async {
        tokio::spawn(routed);
        end.recv().await.unwrap_or(1)
    });
    state.end();
    outlet.drain(LAST_WORDS);
    outlet.close();
    // A thread that waits for the input, or still works, must not be waited for.
    runtime.shutdown_background();
    Ok(code)
}

/// Takes one message after the other, until the end; gives the exit code.
fn read(mut front: Front, input: impl Read) -> u8 {
    let mut frames = Frames::new(BufReader::with_capacity(64 * 1024, input));
    loop {
        let taken = std::panic::AssertUnwindSafe(|| match frames.next() {
            Ok(Frame::Body(body)) => front.take(&body),
            Ok(Frame::Refused(why)) => {
                front.refuse(why);
                Then::GoOn
            }
            Ok(Frame::End) => Then::End(front.code()),
            Err(error) => {
                log(&format!("the client cannot be read: {error}"));
                Then::End(1)
            }
        });
        match std::panic::catch_unwind(taken) {
            Ok(Then::GoOn) if front.is_cut_off() => return 1,
            Ok(Then::GoOn) => {}
            Ok(Then::End(code)) => return code,
            Err(_) => log("a message could not be taken; the next one is"),
        }
    }
}

/// Begins a thread, and waits until it has asked for memory. The allocator of glibc gives its arenas to threads
/// in turn, when they first ask: of two that begin one after the other each gets one of its own, where there
/// are two, and neither waits for the other.
fn thread(name: &str, work: impl FnOnce() + Send + 'static) -> io::Result<()> {
    let (ready, begun) = std::sync::mpsc::channel();
    let work = move || {
        let _ = ready.send(());
        drop(ready);
        work();
    };
    std::thread::Builder::new().name(name.to_owned()).spawn(work)?;
    let _ = begun.recv();
    Ok(())
}

/// A line for whoever looks at standard error, which editors show as the server's output.
pub(crate) fn log(line: &str) {
    let _ = writeln!(io::stderr(), "curtilage: {line}");
}
