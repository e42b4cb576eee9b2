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
    /// Tell what a change does, and what must be tried again
    Compare(crate::compare::Compare),
    /// Write the papers of a site into a folder: tables, drawings, test sheets
    Handover(Handover),
    /// Take the readings of a filled commissioning sheet back into the site file
    Record(Record),
    /// Bring site files into the one style
    Format(Format),
    /// Write a first site, from flags or from a few questions
    New(New),
    /// Make a site file of a table of zones (.csv or .xlsx)
    Import(Import),
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
    #[arg(long, value_enum, default_value_t = Form::Human, value_name = "FORM")]
    pub(crate) format: Form,

    /// The least level that makes the run fail
    #[arg(long, value_enum, default_value_t = Bar::Warning, value_name = "LEVEL")]
    pub(crate) fail_on: Bar,

    #[command(flatten)]
    pub(crate) gate: Gate,

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

/// What a check leaves out.
#[derive(Debug, Args)]
pub(crate) struct Gate {
    /// Check only what a change since this commit can affect: shared parts, policies and calendars
    /// included
    #[arg(long, value_name = "COMMIT")]
    pub(crate) since: Option<String>,

    /// Hold back the findings that this file knows
    #[arg(long, value_name = "FILE")]
    pub(crate) baseline: Option<PathBuf>,

    /// Make the baseline: what is found now is known from now on; never over one that is there
    #[arg(long, requires = "baseline", conflicts_with_all = ["shrink", "grow"])]
    pub(crate) adopt: bool,

    /// Take out of the baseline what is no longer found; it never grows
    #[arg(long, requires = "baseline")]
    pub(crate) shrink: bool,

    /// Put into the baseline what is found now and is not in it
    #[arg(long, requires = "baseline")]
    pub(crate) grow: bool,

    /// Print this many findings at most, the gravest; all are counted, and all can make the run fail
    #[arg(long, value_name = "NUMBER")]
    pub(crate) max: Option<usize>,

    /// Print only what makes the run fail
    #[arg(long, short)]
    pub(crate) quiet: bool,

    /// Tell on standard error what was checked, what was left out, and what is known
    #[arg(long, short, conflicts_with = "quiet")]
    pub(crate) verbose: bool,
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

    /// How the figures are printed
    #[arg(long, value_enum, default_value_t = Style::Human, value_name = "FORM")]
    pub(crate) format: Style,

    /// The file is a copy that git made of a file of this work tree: what it uses is found there
    #[arg(long)]
    pub(crate) textconv: bool,

    /// The day whose year and the next are looked at, as 2026-12-25; today when it is not given
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Debug, Args)]
pub(crate) struct Handover {
    /// The site file
    #[arg(value_name = "SITE")]
    pub(crate) site: PathBuf,

    /// The folder; nothing in it that was not written from here is ever written over
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: PathBuf,

    /// The day that is printed, on which exceptions are looked at; without it no day is printed,
    /// and exceptions are looked at today
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Debug, Args)]
pub(crate) struct Record {
    /// The filled sheet, as CSV
    #[arg(value_name = "READINGS.csv")]
    pub(crate) sheet: PathBuf,

    /// The site file; otherwise the site that the sheet names, in the workspace around here
    #[arg(long, value_name = "SITE")]
    pub(crate) site: Option<PathBuf>,

    /// The day of readings that give none; today when it is not given
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
pub(crate) struct New {
    /// The file to write; it is never written over another [default: made of the title]
    #[arg(value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,

    /// What the place is called
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,

    /// Its time zone, as Europe/Lisbon
    #[arg(long, value_name = "ZONE")]
    pub(crate) timezone: Option<String>,

    /// When people are there, as "Mon to Fri 08:30 to 18:00"; lines are parted by `;`
    #[arg(long, value_name = "HOURS")]
    pub(crate) open: Option<String>,

    /// Doors and windows with a contact, with commas between them
    #[arg(long, value_name = "NAMES")]
    pub(crate) doors: Option<String>,

    /// Rooms with a detector
    #[arg(long, value_name = "NAMES")]
    pub(crate) detectors: Option<String>,

    /// Places with a panic button
    #[arg(long, value_name = "NAMES")]
    pub(crate) panic: Option<String>,

    /// Whether a siren is sounded
    #[arg(long, value_name = "YES|NO", value_parser = yes_or_no)]
    pub(crate) siren: Option<bool>,

    /// Ask nothing: what no flag says is taken as it is usual
    #[arg(long)]
    pub(crate) no_questions: bool,
}

#[derive(Debug, Args)]
pub(crate) struct Import {
    /// The table: .csv in any of the usual forms, or .xlsx
    #[arg(value_name = "TABLE")]
    pub(crate) table: PathBuf,

    /// The file to write; `-` is standard output [default: the table's name with .site]
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,

    /// What the place is called [default: the table's name]
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,

    /// The sheet of a workbook
    #[arg(long, value_name = "NAME")]
    pub(crate) sheet: Option<String>,

    /// A file of parts that the site is to use; parts of the same name or title are taken from it
    #[arg(long = "use", value_name = "FILE", action = clap::ArgAction::Append)]
    pub(crate) uses: Vec<PathBuf>,

    /// Write over a file that is there
    #[arg(long)]
    pub(crate) force: bool,
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
    /// For programs; that of figures has a schema in the documentation
    Json,
}

/// The forms of the findings of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Form {
    /// For people
    Human,
    /// For programs; the schema is in the documentation
    Json,
    /// One finding a line: path, line, column, level, headline, rule
    Lines,
    /// SARIF 2.1.0
    Sarif,
    /// JUnit XML: a suite a file
    Junit,
    /// The code-quality JSON of merge requests
    Quality,
    /// Annotations as workflow commands (`::error file=...`)
    Workflow,
    /// Collapsible sections of a job log, one a file
    Section,
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

fn yes_or_no(text: &str) -> Result<bool, String> {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" => Ok(false),
        _ => Err("`yes` or `no` is wanted".to_owned()),
    }
}

pub(crate) fn date(text: &str) -> Result<Date, String> {
    curtilage_syntax::tree::Date::from_text(text)
        .ok_or_else(|| "a day that exists is wanted, such as 2026-12-25".to_owned())
}
