//! What can be asked for on the command line.

use clap::{Args, Parser, Subcommand, ValueEnum};
use curtilage_diagnostic::Level;
use curtilage_syntax::tree::Date;
use std::path::PathBuf;

/// Checks the wiring and behaviour of a small security installation.
#[derive(Debug, Parser)]
#[command(name = "curtilage", version, about, max_term_width = 100, disable_help_subcommand = true)]
pub(crate) struct Arguments {
    /// When to colour what is printed; NO_COLOR turns `auto` off
    #[arg(long, value_enum, default_value_t = Color::Auto, global = true)]
    pub(crate) color: Color,

    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Tell what is wrong with sites
    Check(Check),
    /// Play the rehearsals of sites, or a story of your own
    Rehearse(Rehearse),
    /// Show what sites amount to: hours, readings, currents, voltages, battery, footage
    Figures(Figures),
    /// Bring site files into the one style
    Format(Format),
    /// Show the page of a rule
    Explain(Explain),
    /// List the rules
    Rules(Rules),
    /// Serve an editor, by the Language Server Protocol
    Serve(Serve),
    /// Print completions for a shell
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Write the manual pages into a folder
    Manual {
        /// The folder
        #[arg(value_name = "FOLDER")]
        out: PathBuf,
    },
}

#[derive(Debug, Args)]
pub(crate) struct Check {
    /// Files and folders; `-` is standard input, nothing is the workspace around here
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,

    /// How the findings are printed
    #[arg(long, value_enum, default_value_t = Style::Human, value_name = "FORM")]
    pub(crate) format: Style,

    /// The least level that makes the run fail
    #[arg(long, value_enum, default_value_t = Bar::Warning, value_name = "LEVEL")]
    pub(crate) fail_on: Bar,

    /// Show how each figure came about
    #[arg(long)]
    pub(crate) working: bool,

    /// The path that standard input stands for, so that its `use` lines are found
    #[arg(long, value_name = "PATH")]
    pub(crate) stdin_path: Option<PathBuf>,

    /// The day on which exceptions are looked at, as 2026-12-25; today when it is not given
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Debug, Args)]
pub(crate) struct Rehearse {
    /// Files and folders, and words from the titles of rehearsals; without files, the workspace
    /// around here
    #[arg(value_name = "PATH|TITLE")]
    pub(crate) what: Vec<String>,

    /// Play this line instead: "Sat 02:00 dock-door active until restored"; several lines are
    /// parted by `;` or given one by one
    #[arg(long, value_name = "LINE", action = clap::ArgAction::Append)]
    pub(crate) what_if: Vec<String>,

    /// Draw the time line of the one rehearsal that is played into this file, as SVG
    #[arg(long, value_name = "FILE")]
    pub(crate) picture: Option<PathBuf>,

    /// The day on which exceptions are looked at, as 2026-12-25; today when it is not given
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Debug, Args)]
pub(crate) struct Figures {
    /// Files and folders; nothing is the workspace around here
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,

    /// The day whose year and the next are looked at, as 2026-12-25; today when it is not given
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Debug, Args)]
pub(crate) struct Format {
    /// Files and folders; `-` is standard input, nothing is the workspace around here
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,

    /// Change nothing, tell which files would change, and fail when there are any
    #[arg(long)]
    pub(crate) check: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Explain {
    /// The rule
    #[arg(value_name = "RULE")]
    pub(crate) rule: String,
}

#[derive(Debug, Args)]
pub(crate) struct Rules {
    /// How the list is printed
    #[arg(long, value_enum, default_value_t = Style::Human, value_name = "FORM")]
    pub(crate) format: Style,
}

#[derive(Debug, Args)]
pub(crate) struct Serve {
    /// Listen on this port of this machine for one client, instead of standard input and output;
    /// 0 takes any that is free, and it is told which
    #[arg(long, value_name = "PORT")]
    pub(crate) socket: Option<u16>,

    /// Use standard input and output, as without it; some editors say so
    #[arg(long, conflicts_with = "socket")]
    pub(crate) stdio: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Color {
    /// On a terminal
    Auto,
    Always,
    Never,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Style {
    /// For people
    Human,
    /// For programs; the schema is in the documentation
    Json,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Bar {
    Hint,
    Warning,
    Error,
}

impl Bar {
    pub(crate) fn level(self) -> Level {
        match self {
            Self::Hint => Level::Hint,
            Self::Warning => Level::Warning,
            Self::Error => Level::Error,
        }
    }
}

fn date(text: &str) -> Result<Date, String> {
    curtilage_syntax::tree::Date::from_text(text)
        .ok_or_else(|| "a day that exists is wanted, such as 2026-12-25".to_owned())
}
