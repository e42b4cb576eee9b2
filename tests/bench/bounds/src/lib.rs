//! What the bounds share: every file of a folder, on some threads.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What is done with one file: whether it is in order.
pub type Work = Box<dyn FnMut(Vec<u8>) -> Result<bool, Box<dyn Error>>>;

/// Does the work of `make` (made once a thread) on every file with an ending. Prints how many
/// files there were and how many are not in order; fails when there is one.
pub fn each(
    folder: &Path,
    ending: &str,
    threads: usize,
    make: impl Fn() -> Result<Work, Box<dyn Error>> + Sync,
) -> ExitCode {
    let Ok(entries) = std::fs::read_dir(folder) else { return ExitCode::from(3) };
    let mut files: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    // The rules lie beside the sites; they are no sites.
    let is_site = |file: &Path| {
        file.file_name().is_some_and(|name| name.to_string_lossy().starts_with("site_"))
    };
    files.retain(|file| is_site(file) && file.extension().is_some_and(|end| end == ending));
    files.sort();
    let (next, wrong) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let run = || {
        let mut work = make().expect("the work begins");
        while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
            let bytes = std::fs::read(file).expect("the file is read");
            if !work(bytes).unwrap_or(false) {
                wrong.fetch_add(1, Ordering::Relaxed);
            }
        }
    };
    if threads < 2 {
        run();
    } else {
        std::thread::scope(|scope| {
            for _ in 0..threads {
                scope.spawn(run);
            }
        });
    }
    let wrong = wrong.into_inner();
    println!("{} files, {wrong} not in order", files.len());
    if files.is_empty() || wrong > 0 { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}
