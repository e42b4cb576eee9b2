//! The thread that helps to check the files nobody has open, so that a second core has something to do.

use crate::thread;
use std::sync::mpsc::{Sender, channel};

/// A job, of which the helper takes pieces until there are no more.
type Job = Box<dyn FnOnce() + Send>;

/// The helper; none on a machine with one core.
pub(crate) struct Helper {
    to: Option<Sender<Job>>,
}

impl Helper {
    /// Begins the thread. When it cannot be had, the work is done without.
    pub(crate) fn new() -> Self {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let (to, jobs) = channel::<Job>();
        let work = move || jobs.iter().for_each(|job| job());
        let is_there = cores > 1 && thread("helper", work).is_ok();
        Self { to: is_there.then_some(to) }
    }

    /// Has it do a job; does not wait for it. Without a helper the job is let go of.
    pub(crate) fn take(&self, job: impl FnOnce() + Send + 'static) {
        if let Some(helper) = &self.to {
            let _ = helper.send(Box::new(job));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Helper;
    use std::sync::mpsc::channel;

    #[test]
    fn a_job_is_done_or_let_go_of() {
        for helper in [Helper::new(), Helper { to: None }] {
            for round in 0..3 {
                let (sender, done) = channel();
                helper.take(move || sender.send(round).unwrap());
                let all: Vec<i32> = done.iter().collect();
                assert_eq!(all, if helper.to.is_some() { vec![round] } else { vec![] });
            }
        }
    }
}
