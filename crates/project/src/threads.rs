//! The same work on several threads.

/// Does some work on as many threads as the machine has, and on no more than there are pieces of it;
/// the work takes its pieces itself. Where fewer threads are allowed, fewer do it, this one in any
/// case.
pub fn together(pieces: usize, work: impl Fn() + Sync) {
    // How many cores there are stands in six files of the system; one piece does not ask.
    if pieces < 2 {
        return work();
    }
    let threads = std::thread::available_parallelism().map_or(1, usize::from).min(pieces);
    std::thread::scope(|scope| {
        for _ in 1..threads {
            if std::thread::Builder::new().spawn_scoped(scope, &work).is_err() {
                break;
            }
        }
        work();
    });
}

#[cfg(test)]
mod tests {
    use super::together;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn every_piece_is_done_once() {
        for pieces in [0, 1, 2, 1000] {
            let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
            together(pieces, || {
                while next.fetch_add(1, Ordering::Relaxed) < pieces {
                    done.fetch_add(1, Ordering::Relaxed);
                }
            });
            assert_eq!(done.into_inner(), pieces);
        }
    }
}
