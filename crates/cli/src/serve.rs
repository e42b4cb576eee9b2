//! `curtilage serve`.

use crate::arguments::Serve;
use crate::output;
use curtilage_server::Options;
use std::io;
use std::net::{Ipv4Addr, TcpListener};
use std::process::ExitCode;

pub(crate) fn run(arguments: &Serve) -> io::Result<ExitCode> {
    let options = Options::default();
    let code = match arguments.socket {
        None => curtilage_server::serve(io::stdin(), io::stdout(), &options)?,
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
