//! The way out. Whoever has a message leaves it here and goes on; one thread writes. A client that
//! does not read stops that thread alone: edits are still taken, and diagnostics wait until the
//! client has read, so that it then gets the newest ones only. What somebody who types waits for is
//! written by the thread that has it, which has nothing else to do: to wake another takes a while.

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
    /// For the thread that writes: something waits, or all is over.
    left: Condvar,
    /// For whoever waits for room.
    written: Condvar,
    /// So many bytes may wait.
    most: usize,
}

type Output = Box<dyn Write + Send>;

struct Queue {
    waiting: VecDeque<Vec<u8>>,
    /// Bytes that wait, those being written included.
    bytes: usize,
    /// Where to; none while a thread is writing.
    output: Option<Output>,
    closed: bool,
}

impl Outlet {
    /// To a client that reads here.
    pub(crate) fn new(output: impl Write + Send + 'static) -> Self {
        Self::with_room(output, MOST_WAITING)
    }

    fn with_room(output: impl Write + Send + 'static, most: usize) -> Self {
        let output: Option<Output> = Some(Box::new(output));
        let queue = Queue { waiting: VecDeque::new(), bytes: 0, output, closed: false };
        let (left, written) = (Condvar::new(), Condvar::new());
        Self { shared: Arc::new(Shared { queue: Mutex::new(queue), left, written, most }) }
    }

    /// Leaves a message. Never waits.
    pub(crate) fn send(&self, body: Vec<u8>) {
        self.leave(self.queue(), body);
    }

    /// Writes a message, when none is before it; waits while the client does not read.
    pub(crate) fn write(&self, body: Vec<u8>) {
        let mut queue = self.queue();
        let free = !queue.closed && queue.waiting.is_empty();
        let Some(output) = queue.output.take_if(|_| free) else { return self.leave(queue, body) };
        queue.bytes += body.len();
        drop(queue);
        self.put_out(output, &VecDeque::from([body]));
    }

    fn leave(&self, mut queue: MutexGuard<'_, Queue>, body: Vec<u8>) {
        if queue.closed {
            return;
        }
        queue.bytes += body.len();
        queue.waiting.push_back(body);
        if queue.bytes > self.shared.most {
            (queue.closed, queue.waiting) = (true, VecDeque::new());
            self.shared.written.notify_all();
        }
        drop(queue);
        self.shared.left.notify_one();
    }

    /// Leaves a value as a message.
    pub(crate) fn send_json(&self, message: &impl serde::Serialize) {
        if let Some(body) = json(message) {
            self.send(body);
        }
    }

    /// Writes a value as a message; see [`Outlet::write`].
    pub(crate) fn write_json(&self, message: &impl serde::Serialize) {
        if let Some(body) = json(message) {
            self.write(body);
        }
    }

    /// Waits until the client has read most of what was sent; false when it never will.
    pub(crate) fn wait_for_room(&self) -> bool {
        let mut queue = self.queue();
        while queue.bytes > ENOUGH && !queue.closed {
            queue = self.shared.written.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
        !queue.closed
    }

    /// Waits until everything is written, or for so long.
    pub(crate) fn drain(&self, longest: Duration) {
        let end = Instant::now() + longest;
        let mut queue = self.queue();
        while queue.bytes > 0 && !queue.closed {
            let Some(left) = end.checked_duration_since(Instant::now()) else { return };
            let waited = self.shared.written.wait_timeout(queue, left);
            queue = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// Nothing more is sent.
    pub(crate) fn close(&self) {
        self.queue().closed = true;
        self.shared.left.notify_all();
        self.shared.written.notify_all();
    }

    /// Whether the client has gone, or has not read for too long.
    pub(crate) fn is_closed(&self) -> bool {
        self.queue().closed
    }

    /// Writes what is left here until it is closed; the work of one thread.
    pub(crate) fn write_all(&self) {
        while let Some((output, bodies)) = self.take() {
            self.put_out(output, &bodies);
        }
    }

    fn take(&self) -> Option<(Output, VecDeque<Vec<u8>>)> {
        let mut queue = self.queue();
        loop {
            let waits = !queue.waiting.is_empty();
            if let Some(output) = queue.output.take_if(|_| waits) {
                return Some((output, std::mem::take(&mut queue.waiting)));
            }
            if queue.closed {
                return None;
            }
            queue = self.shared.left.wait(queue).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Writes, and puts the output back for the next.
    fn put_out(&self, mut output: Output, bodies: &VecDeque<Vec<u8>>) {
        let written = write_all(&mut output, bodies);
        let mut queue = self.queue();
        queue.output = Some(output);
        queue.bytes = queue.bytes.saturating_sub(bodies.iter().map(Vec::len).sum());
        if let Err(error) = written {
            crate::log(&format!("the client does not listen: {error}"));
            (queue.closed, queue.waiting) = (true, VecDeque::new());
        }
        let wanted = queue.closed || !queue.waiting.is_empty();
        drop(queue);
        if wanted {
            self.shared.left.notify_all();
        }
        self.shared.written.notify_all();
    }

    fn queue(&self) -> MutexGuard<'_, Queue> {
        self.shared.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn json(message: &impl serde::Serialize) -> Option<Vec<u8>> {
    let body = serde_json::to_vec(message);
    body.map_err(|error| crate::log(&format!("a message could not be written: {error}"))).ok()
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
    use crate::frame::{Frame, Frames};
    use std::io::{self, Write};
    use std::sync::{Arc, Mutex};
    use std::time::Duration;

    #[test]
    fn a_client_that_never_reads_is_gone_at_last() {
        let outlet = Outlet::with_room(Vec::new(), 1000);
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
        for write in [Outlet::send, Outlet::write] {
            let outlet = Outlet::new(Broken);
            write(&outlet, b"{}".to_vec());
            outlet.write_all();
            assert!(outlet.is_closed());
        }
    }

    /// A stream that others look into.
    #[derive(Clone, Default)]
    struct Seen(Arc<Mutex<Vec<u8>>>);

    impl Write for Seen {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            // Whoever writes besides gets in between.
            std::thread::yield_now();
            self.0.lock().unwrap().write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    /// Two threads leave messages, one writes its own: each is there whole, and each thread's in order.
    #[test]
    fn messages_stay_whole_and_in_order_whoever_writes_them() {
        const EACH: usize = 300;
        let seen = Seen::default();
        let outlet = Outlet::new(seen.clone());
        std::thread::scope(|scope| {
            scope.spawn(|| outlet.write_all());
            let leave = |name: char, how: fn(&Outlet, Vec<u8>)| {
                let outlet = &outlet;
                move || {
                    (0..EACH).for_each(|at| how(outlet, format!("{name}{at}").into_bytes()));
                }
            };
            let work =
                [leave('a', Outlet::send), leave('b', Outlet::send), leave('c', Outlet::write)];
            work.map(|one| scope.spawn(one)).into_iter().for_each(|one| one.join().unwrap());
            outlet.drain(Duration::from_secs(60));
            outlet.close();
        });
        let bytes = seen.0.lock().unwrap().clone();
        let mut frames = Frames::new(io::BufReader::new(&*bytes));
        let bodies: Vec<String> = std::iter::from_fn(|| match frames.next().unwrap() {
            Frame::Body(body) => Some(String::from_utf8(body).unwrap()),
            _ => None,
        })
        .collect();
        assert_eq!(bodies.len(), 3 * EACH);
        for name in ['a', 'b', 'c'] {
            let own = bodies.iter().filter(|body| body.starts_with(name));
            assert!(own.eq((0..EACH).map(|at| format!("{name}{at}")).collect::<Vec<_>>().iter()));
        }
    }
}
