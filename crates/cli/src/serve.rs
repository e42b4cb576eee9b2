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
