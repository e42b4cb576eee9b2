//! The binary `curtilage`: arguments in, reports out, exit codes.
//!
//! 0: nothing at or above `--fail-on`. 1: findings. 2: wrong use. 3: input that could not be read.

mod annotations;
mod arguments;
mod check;
mod compare;
mod explain;
mod figures;
mod figures_json;
mod format;
mod gate;
mod generate;
mod handover;
mod human;
mod import;
mod json;
mod junit;
mod lines;
mod new;
mod output;
mod plain;
mod quality;
mod record;
mod rehearse;
mod report;
mod rules;
mod sarif;
mod serve;
mod starter;
mod table;

use arguments::{Arguments, Command};
use clap::Parser;
use std::io::{self, Write};
use std::process::ExitCode;

/// How a run ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Ending {
    /// Nothing to tell, or only what is below the bar.
    Clean,
    /// Findings at or above the bar, or files that want formatting.
    Findings,
    /// Wrong use.
    Usage,
    /// Input that could not be read.
    Unreadable,
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> Self {
        Self::from(match ending {
            Ending::Clean => 0,
            Ending::Findings => 1,
            Ending::Usage => 2,
            Ending::Unreadable => 3,
        })
    }
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return no_command(&error),
    };
    let color = arguments.color;
    let ending = match arguments.command {
        Command::Check(arguments) => check::run(&arguments, color),
        Command::Rehearse(arguments) => rehearse::run(&arguments),
        Command::Figures(arguments) => figures::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments, color),
        Command::Handover(arguments) => handover::run(&arguments),
        Command::Record(arguments) => record::run(&arguments),
        Command::Format(arguments) => format::run(&arguments),
        Command::New(arguments) => new::run(&arguments, color),
        Command::Import(arguments) => import::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Rules(arguments) => rules::run(&arguments),
        Command::Serve(arguments) => return serve(&arguments),
        Command::Completions { shell } => generate::completions(shell),
        Command::Manual { out } => generate::manual(&out),
    };
    ended(ending)
}

fn ended(ending: io::Result<Ending>) -> ExitCode {
    match ending {
        Ok(ending) => ending.into(),
        // A reader that closed its end has seen what it wanted.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            output::complain(&error.to_string());
            Ending::Unreadable.into()
        }
    }
}

/// Help and version are no errors; they go to standard output and end with 0.
fn no_command(error: &clap::Error) -> ExitCode {
    if error.use_stderr() {
        // An argument may be the name of a file that somebody else has made.
        let _ = write!(io::stderr(), "{}", plain::plain(&error.render().to_string()));
        return Ending::Usage.into();
    }
    let printed = error.print().and_then(|()| io::stdout().flush());
    let told = printed.map_err(|error| output::at("standard output", &error));
    ended(told.map(|()| Ending::Clean))
}

/// The server's exit code is the protocol's: 0 after `shutdown`, otherwise 1.
fn serve(arguments: &arguments::Serve) -> ExitCode {
    serve::run(arguments).unwrap_or_else(|error| {
        output::complain(&error.to_string());
        Ending::Unreadable.into()
    })
}
