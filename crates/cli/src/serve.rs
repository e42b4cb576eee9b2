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
    #[cfg(unix)]
    with_less_memory();
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

/// Begins anew with other settings of the allocator, unless the environment has one of them. It reads them
/// when a program begins.
///
/// What one thread makes another lets go of, and threads come and go: left to itself the allocator keeps,
/// for each of them, three times what is in use. So what nobody uses is given back at once, no empty page
/// is kept, and each thread looks for them ten times as often. No keystroke is slower for it.
#[cfg(unix)]
fn with_less_memory() {
    use std::os::unix::process::CommandExt;
    const SETTINGS: [(&str, &str); 3] = [
        ("MIMALLOC_PURGE_DELAY", "0"),
        ("MIMALLOC_PAGE_FULL_RETAIN", "0"),
        ("MIMALLOC_GENERIC_COLLECT", "1000"),
    ];
    if SETTINGS.iter().any(|(name, _)| std::env::var_os(name).is_some()) {
        return;
    }
    if let Ok(own) = std::env::current_exe() {
        let mut anew = std::process::Command::new(own);
        // It comes back only when it could not be done; the server then works as it is.
        let _ = anew.args(std::env::args_os().skip(1)).envs(SETTINGS).exec();
    }
}
