//! `curtilage new`.

use crate::arguments::{Color, New};
use crate::report::{Counts, Report, Run, here};
use crate::starter::{Answers, MOST, hours, name, site, timezone as written};
use crate::{Ending, human, output};
use curtilage_diagnostic::Level;
use curtilage_facts::{Hours, Options};
use curtilage_project::{Loader, check_only, create_new, today, workspace_root};
use std::io::{self, BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

pub(crate) fn run(arguments: &New, color: Color) -> io::Result<Ending> {
    if let Some(out) = arguments.out.as_deref().filter(|out| out.exists()) {
        return Ok(there_already(out));
    }
    let asks = !arguments.no_questions && io::stdin().is_terminal() && io::stderr().is_terminal();
    let answers = match answers(arguments, asks)? {
        Ok(answers) => answers,
        Err(wrong) => {
            output::complain(&wrong);
            return Ok(Ending::Usage);
        }
    };
    let own = name(&answers.title).unwrap_or_else(|| "first-site".to_owned());
    let out = arguments.out.clone().unwrap_or_else(|| PathBuf::from(format!("{own}.site")));
    let text = site(&answers);
    match create_new(&out, &text) {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            return Ok(there_already(&out));
        }
        Err(error) => {
            output::complain(&format!("{}: {error}", out.display()));
            return Ok(Ending::Unreadable);
        }
    }
    output::tell(&format!("{} written\n", out.display()))?;
    tell(&out, color)
}

fn there_already(path: &Path) -> Ending {
    output::complain(&format!("{} is there already, and is left as it is", path.display()));
    Ending::Usage
}

/// Checks what was written, so that its first findings are explained at once.
fn tell(path: &Path, color: Color) -> io::Result<Ending> {
    let path = path.canonicalize()?;
    let loader = Loader::new(workspace_root(&path)?);
    let mut checked = check_only(&loader, &[path], Options { today: today() });
    let mut counts = Counts::default();
    checked.findings.iter().for_each(|finding| counts.add(finding.level));
    let unreadable = std::mem::take(&mut checked.unreadable);
    let run = Run {
        checked,
        marks: Vec::new(),
        known: Vec::new(),
        held_back: Vec::new(),
        untouched: Vec::new(),
        root: loader.root().to_path_buf(),
        here: here()?,
    };
    let report = Report {
        runs: vec![run],
        unreadable,
        bar: Level::Error,
        quiet: false,
        counts,
        since: None,
    };
    output::print(&human::report(&report, false, output::colored(color))?)?;
    Ok(Ending::Clean)
}

/// What the flags say, what is asked, and what is usual for the rest. The inner error is a flag that
/// cannot be taken.
fn answers(arguments: &New, asks: bool) -> io::Result<Result<Answers, String>> {
    let mut asker = Asker { asks, wrong: None };
    let list = |text: String| -> Vec<String> {
        text.split(',').map(|one| one.trim().to_owned()).filter(|one| !one.is_empty()).collect()
    };
    let title = asker.ask(
        "What is the place called?",
        arguments.title.as_deref(),
        "First site",
        &|text| (!text.trim().is_empty()).then_some(()).ok_or("it needs a name"),
    )?;
    let timezone = asker.ask(
        "In which time zone?",
        arguments.timezone.as_deref(),
        "Europe/Lisbon",
        &|text| match written(text) {
            None => Err("a time zone is written like Europe/Lisbon"),
            Some(zone) if Hours::unknown_zone(zone.trim_matches('"')).is_some() => {
                Err("there is no such time zone")
            }
            Some(_) => Ok(()),
        },
    )?;
    let open = asker.ask(
        "When are people there?",
        arguments.open.as_deref(),
        "Mon to Fri 08:30 to 18:00; Sat 09:00 to 13:00",
        &|text| match hours(text) {
            Some(_) => Ok(()),
            None => Err("hours are written like Mon to Fri 08:30 to 18:00"),
        },
    )?;
    let few = |text: &str| {
        (text.split(',').count() <= MOST).then_some(()).ok_or("ten at most, for a first site")
    };
    let doors = asker.ask(
        "Which doors and windows have a contact?",
        arguments.doors.as_deref(),
        "Front door, Back door",
        &few,
    )?;
    let detectors =
        asker.ask("Which rooms have a detector?", arguments.detectors.as_deref(), "Hall", &few)?;
    let panic = asker.ask(
        "Where is a panic button? (- for none)",
        arguments.panic.as_deref(),
        "-",
        &few,
    )?;
    let siren = match arguments.siren {
        Some(siren) => siren,
        None => {
            let answer = asker.ask("Is there a siren?", None, "yes", &|text| match text {
                "yes" | "y" | "no" | "n" => Ok(()),
                _ => Err("`yes` or `no`"),
            })?;
            answer.starts_with('y')
        }
    };
    let none_for_dash = |text: String| if text.trim() == "-" { Vec::new() } else { list(text) };
    if let Some(wrong) = asker.wrong {
        return Ok(Err(wrong));
    }
    let (doors, detectors, panic) =
        (none_for_dash(doors), none_for_dash(detectors), none_for_dash(panic));
    let (timezone, open) =
        (written(&timezone).unwrap_or_default(), hours(&open).unwrap_or_default());
    Ok(Ok(Answers { title, timezone, open, doors, detectors, panic, siren }))
}

struct Asker {
    asks: bool,
    /// The first flag that cannot be taken.
    wrong: Option<String>,
}

impl Asker {
    /// The flag, or the answer, or what is usual.
    fn ask(
        &mut self,
        question: &str,
        flag: Option<&str>,
        usual: &str,
        test: &dyn Fn(&str) -> Result<(), &'static str>,
    ) -> io::Result<String> {
        if let Some(flag) = flag {
            if let Err(why) = test(flag) {
                self.wrong.get_or_insert_with(|| format!("`{flag}`: {why}"));
            }
            return Ok(flag.to_owned());
        }
        if !self.asks {
            return Ok(usual.to_owned());
        }
        loop {
            let mut out = io::stderr().lock();
            write!(out, "{question} [{usual}] ")?;
            out.flush()?;
            let mut line = String::new();
            if io::stdin().lock().read_line(&mut line)? == 0 {
                // The end of what can be asked.
                self.asks = false;
                writeln!(out)?;
                return Ok(usual.to_owned());
            }
            let answer = line.trim();
            let answer = if answer.is_empty() { usual } else { answer };
            match test(answer) {
                Ok(()) => return Ok(answer.to_owned()),
                Err(why) => writeln!(out, "  {why}")?,
            }
        }
    }
}
