//! Completions and manual pages, made from the arguments themselves.

use crate::arguments::Arguments;
use crate::{Ending, output};
use clap::CommandFactory;
use std::io;
use std::path::Path;

pub(crate) fn completions(shell: clap_complete::Shell) -> io::Result<Ending> {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "curtilage", &mut out);
    output::print(&out)?;
    Ok(Ending::Clean)
}

pub(crate) fn manual(folder: &Path) -> io::Result<Ending> {
    std::fs::create_dir_all(folder)?;
    clap_mangen::generate_to(Arguments::command(), folder)?;
    Ok(Ending::Clean)
}
