//! `curtilage check`.

use crate::arguments::{Check, Color, Form};
use crate::report::{Report, Run, here, resolved};
use crate::{Ending, annotations, gate, human, json, junit, lines, output, quality, sarif};
use curtilage_facts::Options;
use curtilage_project::{Loader, Unreadable, discover, today, workspace_root};
use std::collections::{BTreeMap, HashMap};
use std::io;
use std::path::{Path, PathBuf};

pub(crate) fn run(arguments: &Check, color: Color) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let stdin = arguments.paths.iter().any(|path| path.as_os_str() == "-");
    if let Some(wrong) = wrong_use(arguments, stdin) {
        output::complain(wrong);
        return Ok(Ending::Usage);
    }
    let here = here()?;
    let mut unreadable = Vec::new();
    let mut runs: Vec<Run> = Vec::new();
    let mut asked: Vec<PathBuf> = Vec::new();
    let loaded = if stdin {
        let (loader, path) = standard_input(arguments.stdin_path.as_deref())?;
        vec![(loader, vec![path])]
    } else {
        let all = [workspace_root(Path::new("."))?];
        let paths = if arguments.paths.is_empty() { &all[..] } else { &arguments.paths };
        asked.extend(paths.iter().filter_map(|path| path.canonicalize().ok()));
        let groups = by_root(paths, &mut unreadable)?;
        groups.into_iter().map(|(root, files)| (Loader::new(root), files)).collect()
    };
    for (loader, files) in loaded {
        match gate::checked(&arguments.gate, &loader, &files, &asked, options, &here) {
            Ok(run) => runs.push(run),
            Err(why) => {
                output::complain(&why);
                return Ok(Ending::Unreadable);
            }
        }
    }
    if runs.len() > 1 {
        gate::once(&mut runs);
    }
    let found = |run: &Run| run.checked.files + run.checked.unreadable.len() + run.untouched.len();
    // With the last site file nothing is left that could be wrong.
    let none = runs.iter().map(found).sum::<usize>() == 0 && unreadable.is_empty();
    if none && !gate::all_gone(&arguments.gate, &asked) {
        output::complain("there are no site files here (*.site)");
        return Ok(Ending::Unreadable);
    }
    unreadable.extend(runs.iter_mut().flat_map(|run| std::mem::take(&mut run.checked.unreadable)));
    if let Some(ending) = gate::baseline(&arguments.gate, &mut runs)? {
        return Ok(ending);
    }
    let bar = arguments.fail_on.level();
    let counts = gate::print_only(&arguments.gate, bar, &mut runs);
    gate::tell_all(&arguments.gate, &runs);
    let (quiet, since) = (arguments.gate.quiet, arguments.gate.since.clone());
    let report = Report { runs, unreadable, bar, quiet, counts, since };
    let text = match arguments.format {
        Form::Human => human::report(&report, arguments.working, output::colored(color))?,
        Form::Json => json::report(&report)?,
        Form::Lines => lines::report(&report),
        Form::Sarif => sarif::report(&report)?,
        Form::Junit => junit::report(&report),
        Form::Quality => quality::report(&report)?,
        Form::Workflow => annotations::workflow(&report),
        Form::Section => annotations::section(&report),
    };
    output::print(&text)?;
    for problem in &report.unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
    }
    Ok(match (report.unreadable.is_empty(), report.fails()) {
        (false, _) => Ending::Unreadable,
        (true, true) => Ending::Findings,
        (true, false) => Ending::Clean,
    })
}

fn wrong_use(arguments: &Check, stdin: bool) -> Option<&'static str> {
    if stdin && arguments.paths.len() > 1 {
        return Some("`-` stands alone: standard input is one file");
    }
    if arguments.stdin_path.is_some() && !stdin {
        return Some("`--stdin-path` goes with `-`");
    }
    if arguments.stdin_path.as_ref().is_some_and(|path| path.file_name().is_none()) {
        return Some("`--stdin-path` names the file that standard input stands for");
    }
    if stdin && arguments.gate.since.is_some() {
        return Some("`--since` looks at files, not at standard input");
    }
    None
}

/// A loader in which standard input stands for the file at `path`.
fn standard_input(path: Option<&Path>) -> io::Result<(Loader, PathBuf)> {
    let bytes = output::input()?;
    let path = path.unwrap_or(Path::new("stdin.site"));
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = resolved(folder.unwrap_or(Path::new(".")))?;
    let path = folder.join(path.file_name().unwrap_or_default());
    let mut loader = Loader::new(workspace_root(&folder)?);
    loader.overlay(path.clone(), bytes);
    Ok((loader, path))
}

/// The files below some paths, by the workspace in which they lie.
pub(crate) fn by_root(
    paths: &[PathBuf],
    unreadable: &mut Vec<Unreadable>,
) -> io::Result<BTreeMap<PathBuf, Vec<PathBuf>>> {
    let here;
    let paths = if paths.is_empty() {
        here = [workspace_root(Path::new("."))?];
        &here[..]
    } else {
        paths
    };
    let discovered = discover(paths);
    let told = |path: &Path, why: String| Unreadable { path: path.display().to_string(), why };
    unreadable.extend(discovered.problems.iter().map(|(path, why)| told(path, why.clone())));
    let mut roots: HashMap<PathBuf, Result<PathBuf, String>> = HashMap::new();
    let mut groups: BTreeMap<PathBuf, Vec<PathBuf>> = BTreeMap::new();
    for file in discovered.files {
        // The files of a folder are in one workspace.
        let folder = file.parent().unwrap_or(&file);
        let root = roots
            .entry(folder.to_path_buf())
            .or_insert_with(|| workspace_root(folder).map_err(|error| error.to_string()));
        match root {
            Ok(root) => groups.entry(root.clone()).or_default().push(file),
            Err(why) => unreadable.push(told(&file, why.clone())),
        }
    }
    Ok(groups)
}
