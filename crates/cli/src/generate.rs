//! Completions and manual pages, made from the arguments themselves.

use crate::arguments::Arguments;
use crate::{Ending, output};
use clap::CommandFactory;
use curtilage_project::create;
use std::io;
use std::path::Path;

pub(crate) fn completions(shell: clap_complete::Shell) -> io::Result<Ending> {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "curtilage", &mut out);
    output::print(&out)?;
    Ok(Ending::Clean)
}

/// A page for the program and one for each command.
pub(crate) fn manual(folder: &Path) -> io::Result<Ending> {
    let told = |error| output::at(folder.display(), &error);
    std::fs::create_dir_all(folder).map_err(told)?;
    let mut command = Arguments::command().disable_help_subcommand(true);
    command.build();
    page(&command, folder).map_err(told)?;
    for command in command.get_subcommands().filter(|one| !one.is_hide_set()) {
        page(command, folder).map_err(told)?;
    }
    Ok(Ending::Clean)
}

fn page(command: &clap::Command, folder: &Path) -> io::Result<()> {
    let page = clap_mangen::Man::new(command.clone());
    let mut text = Vec::new();
    page.render(&mut text)?;
    let text = String::from_utf8(text).map_err(io::Error::other)?;
    create(&folder.join(page.get_filename()), &text)
}
