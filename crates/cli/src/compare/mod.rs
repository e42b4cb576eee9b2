//! `curtilage compare`: what a change does, told in four forms from one comparison.
//!
//! 0: nothing at or above `--fail-on`. 1: something at or above it. 2: wrong use. 3: a side, or a
//! file of it, could not be read; what could be compared is told all the same.

mod gather;
mod html;
mod json;
mod markdown;
mod page;
mod sides;
mod text;
mod words;

use crate::arguments::{Color, date};
use crate::{Ending, output};
use clap::{Args, ValueEnum};
use curtilage_change::{Portfolio, Weight};
use curtilage_facts::Options;
use curtilage_project::today;
use curtilage_syntax::tree::Date;
use std::io;
use std::path::PathBuf;

pub(crate) use sides::stand_in;

#[derive(Debug, Args)]
pub(crate) struct Compare {
    /// The old and the new file or folder; with `--git`, the files and folders to look at, or
    /// nothing for all
    #[arg(value_name = "PATH")]
    pub(crate) paths: Vec<PathBuf>,

    /// Compare a commit with another, `BASE..HEAD`, or with the work tree, `BASE`
    #[arg(long, value_name = "BASE[..HEAD]", conflicts_with = "driver")]
    pub(crate) git: Option<String>,

    /// Compare with the commit at which the two have parted, not with the base itself
    #[arg(long, requires = "git")]
    pub(crate) merge_base: bool,

    /// How the comparison is told
    #[arg(long, value_enum, default_value_t = Form::Text, value_name = "FORM")]
    pub(crate) format: Form,

    /// Write to this file, whole or not at all
    #[arg(long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,

    /// Tell every figure, also where many moved for one reason
    #[arg(long)]
    pub(crate) all: bool,

    /// The least grave change that makes the run fail
    #[arg(long, value_enum, default_value_t = FailOn::Crossed, value_name = "WEIGHT")]
    pub(crate) fail_on: FailOn,

    /// What git hands to an external diff program: PATH OLD-FILE OLD-HEX OLD-MODE NEW-FILE NEW-HEX
    /// NEW-MODE
    #[arg(long, num_args = 1..=9, value_name = "WORD", allow_hyphen_values = true)]
    pub(crate) driver: Vec<String>,

    /// The day whose year and the next are looked at, as 2026-12-25; today when it is not given
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub(crate) date: Option<Date>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Form {
    /// For a terminal
    Text,
    /// For a merge request
    Markdown,
    /// For programs; the schema is in the documentation
    Json,
    /// One page that needs nothing else
    Html,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailOn {
    /// A protection is lost
    Lost,
    /// Or a limit is crossed, or an error is new
    Crossed,
    /// Or a margin is thinner, or a warning is new
    Thinner,
    /// Or anything is different
    Changed,
    /// Whatever changed
    Never,
}

impl FailOn {
    fn fails(self, portfolio: &Portfolio) -> bool {
        let bar = match self {
            Self::Lost => Weight::Lost,
            Self::Crossed => Weight::Crossed,
            Self::Thinner => Weight::Thinner,
            Self::Changed => return !portfolio.is_empty(),
            Self::Never => return false,
        };
        portfolio.gravest().is_some_and(|gravest| gravest <= bar)
    }
}

pub(crate) fn run(arguments: &Compare, color: Color) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let sides = match sides::sides(arguments) {
        Ok(sides) => sides,
        Err(sides::Refused::Usage(why)) => {
            output::complain(&why);
            return Ok(Ending::Usage);
        }
        Err(sides::Refused::Unreadable(why)) => {
            output::complain(&why);
            return Ok(Ending::Unreadable);
        }
    };
    let gathered = gather::gather(&sides, options);
    let portfolio = &gathered.portfolio;
    let text = match arguments.format {
        Form::Text => {
            let color = arguments.out.is_none() && output::colored(color);
            text::report(portfolio, &sides.names, arguments.all, color).into_bytes()
        }
        Form::Markdown => markdown::report(portfolio, &sides.names).into_bytes(),
        Form::Json => json::report(portfolio, &sides.names, options)?,
        Form::Html => html::report(portfolio, &sides.names, options).into_bytes(),
    };
    match &arguments.out {
        Some(path) => {
            let text = String::from_utf8(text).map_err(io::Error::other)?;
            curtilage_project::create(path, &text).map_err(|error| {
                io::Error::new(error.kind(), format!("{}: {error}", path.display()))
            })?;
        }
        None => output::print(&text)?,
    }
    for problem in &gathered.unreadable {
        output::complain(problem);
    }
    if !arguments.driver.is_empty() {
        // Git takes any other code for a program that broke.
        return Ok(Ending::Clean);
    }
    Ok(match (gathered.unreadable.is_empty(), arguments.fail_on.fails(portfolio)) {
        (false, _) => Ending::Unreadable,
        (true, true) => Ending::Findings,
        (true, false) => Ending::Clean,
    })
}
