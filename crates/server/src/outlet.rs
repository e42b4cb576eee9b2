//! The way out. Whoever has a message leaves it here and goes on; one thread writes. A client that
//! does not read stops that thread alone: edits are still taken, and diagnostics wait until the
//! client has read, so that it then gets the newest ones only.

use crate::frame;
use std::collections::VecDeque;
use std::io::{self, Write};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// A client that has left so many bytes unread is gone.
const MOST_WAITING: usize = 256 * 1024 * 1024;

/// Above so many bytes, diagnostics are not added.
const ENOUGH: usize = 256 * 1024;

/// A handle on the way out.
#[derive(Clone)]
pub(crate) struct Outlet {
    shared: Arc<Shared>,
}

struct Shared {
    queue: Mutex<Queue>,
    changed: Condvar,
    /// So many bytes may wait.
    most: usize,
}

impl Default for Outlet {
    fn default() -> Self {
        Self::with_room(MOST_WAITING)
    }
}

#[derive(Default)]
struct Queue {
    waiting: VecDeque<Vec<u8>>,
    /// Bytes that wait, those being written included.
    bytes: usize,
    closed: bool,
}

impl Outlet {
    fn with_room(most: usize) -> Self {
        let shared = Shared { queue: Mutex::default(), changed: Condvar::new(), most };
        Self { shared: Arc::new(shared) }
    }

    /// Leaves a message. Never waits.
    pub(crate) fn send(&self, body: Vec<u8>) {
        let mut queue = self.queue();
        if queue.closed {
            return;
        }
        queue.bytes += body.len();
        queue.waiting.push_back(body);
        if queue.bytes > self.shared.most {
            (queue.closed, queue.waiting) = (true, VecDeque::new());
        }
        drop(queue);
        self.shared.changed.notify_all();
    }

    /// Leaves a value as a message.
    pub(crate) fn send_json(&self, message: &impl serde::Serialize) {
        match serde_json::to_vec(message) {
            Ok(body) => self.send(body),
            Err(error) => crate::log(&format!("a message could not be written: {error}")),
        }
    }

    /// Waits until the client has read most of what was sent; false when it never will.
    pub(crate) fn wait_for_room(&self) -> bool {
        let mut queue = self.queue();
        while queue.bytes > ENOUGH && !queue.closed {
            queue = self.shared.changed.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
        !queue.closed
    }

    /// Waits until everything is written, or for so long.
    pub(crate) fn drain(&self, longest: Duration) {
        let end = Instant::now() + longest;
        let mut queue = self.queue();
        while queue.bytes > 0 && !queue.closed {
            let Some(left) = end.checked_duration_since(Instant::now()) else { return };
            let waited = self.shared.changed.wait_timeout(queue, left);
            queue = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// Nothing more is sent.
    pub(crate) fn close(&self) {
        self.queue().closed = true;
        self.shared.changed.notify_all();
    }

    /// Whether the client has gone, or has not read for too long.
    pub(crate) fn is_closed(&self) -> bool {
        self.queue().closed
    }

    /// Writes what is left here until it is closed; the work of one thread.
    pub(crate) fn write_to(&self, mut output: impl Write) {
        while let Some(bodies) = self.take() {
            let written: usize = bodies.iter().map(Vec::len).sum();
            if let Err(error) = write_all(&mut output, &bodies) {
                crate::log(&format!("the client does not listen: {error}"));
                return self.close();
            }
            let mut queue = self.queue();
            queue.bytes = queue.bytes.saturating_sub(written);
            drop(queue);
            self.shared.changed.notify_all();
        }
    }

    fn take(&self) -> Option<VecDeque<Vec<u8>>> {
        let mut queue = self.queue();
        while queue.waiting.is_empty() {
            if queue.closed {
                return None;
            }
            queue = self.shared.changed.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
        Some(std::mem::take(&mut queue.waiting))
    }

    fn queue(&self) -> MutexGuard<'_, Queue> {
        self.shared.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn write_all(output: &mut impl Write, bodies: &VecDeque<Vec<u8>>) -> io::Result<()> {
    let mut bytes = Vec::with_capacity(bodies.iter().map(|body| body.len() + 32).sum());
    for body in bodies {
        frame::write(&mut bytes, body)?;
    }
    output.write_all(&bytes)?;
    output.flush()
}

#[cfg(test)]
mod tests {
    use super::Outlet;
    use std::io::{self, Write};

    #[test]
    fn a_client_that_never_reads_is_gone_at_last() {
        let outlet = Outlet::with_room(1000);
        for _ in 0..10 {
            outlet.send(vec![b'x'; 100]);
            assert!(!outlet.is_closed());
        }
        outlet.send(vec![b'x']);
        assert!(outlet.is_closed());
        assert!(!outlet.wait_for_room(), "nobody waits for it");
    }

    /// A stream whose other end is closed.
    struct Broken;

    impl Write for Broken {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::BrokenPipe.into())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn a_client_that_has_closed_its_end_is_gone() {
        let outlet = Outlet::default();
        outlet.send(b"{}".to_vec());
        outlet.write_to(Broken);
        assert!(outlet.is_closed());
    }
}
