//! `curtilage serve`.

use crate::arguments::Serve;
use crate::output;
use curtilage_server::Options;
use std::fs::File;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
#[cfg(unix)]
use std::os::fd::AsFd;
#[cfg(windows)]
use std::os::windows::io::AsHandle;
use std::process::ExitCode;

pub(crate) fn run(arguments: &Serve) -> io::Result<ExitCode> {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    with_other_memory();
    let options = Options::default();
    let code = match arguments.socket {
        None => curtilage_server::serve(io::stdin(), whole_pieces()?, &options)?,
        Some(port) => {
            // Only programs on this machine can reach it.
            let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
            output::complain(&format!("listening on {}", listener.local_addr()?));
            let (stream, _) = listener.accept()?;
            stream.set_nodelay(true)?;
            curtilage_server::serve(stream.try_clone()?, stream, &options)?
        }
    };
    Ok(code.into())
}

/// Standard output as it is. The standard library's would write up to the last line end of a message first
/// and what is behind it on its own, and a client would wake up twice.
fn whole_pieces() -> io::Result<File> {
    #[cfg(unix)]
    let output = io::stdout().as_fd().try_clone_to_owned()?;
    #[cfg(windows)]
    let output = io::stdout().as_handle().try_clone_to_owned()?;
    Ok(output.into())
}

/// Begins anew with other settings of the allocator, unless the environment says how many arenas there
/// are to be. It reads them when a program begins.
///
/// - The allocator of glibc has an arena for each of the threads that work at a time, and gives back
///   only what lies at the end of one. What one thread makes another lets go of, so over the hours every
///   arena comes to hold as much as there ever was at once. Two are enough for two threads to check files
///   side by side.
/// - In pages of 2 MiB, where the system has them, a long file is found again sooner.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
fn with_other_memory() {
    use std::os::unix::process::CommandExt;
    const ARENAS: &str = "MALLOC_ARENA_MAX";
    const TUNABLES: &str = "GLIBC_TUNABLES";
    if std::env::var_os(ARENAS).is_some() {
        return;
    }
    if let Ok(own) = std::env::current_exe() {
        let mut anew = std::process::Command::new(own);
        anew.args(std::env::args_os().skip(1)).env(ARENAS, "2");
        if std::env::var_os(TUNABLES).is_none() {
            anew.env(TUNABLES, "glibc.malloc.hugetlb=1");
        }
        // It comes back only when it could not be done; the server then works as it is.
        let _ = anew.exec();
    }
}
