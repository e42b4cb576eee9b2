//! `curtilage check`.

use crate::arguments::{Check, Color, Style};
use crate::{Ending, human, json, output};
use curtilage_facts::Options;
use curtilage_project::{Checked, Loader, Unreadable, check, discover, today, workspace_root};
use std::collections::BTreeMap;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

pub(crate) fn run(arguments: &Check, color: Color) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let mut unreadable = Vec::new();
    let mut runs: Vec<Checked> = Vec::new();
    let stdin = arguments.paths.iter().any(|path| path.as_os_str() == "-");
    if stdin && arguments.paths.len() > 1 {
        output::complain("`-` stands alone: standard input is one file");
        return Ok(Ending::Usage);
    }
    if arguments.stdin_path.is_some() && !stdin {
        output::complain("`--stdin-path` goes with `-`");
        return Ok(Ending::Usage);
    }
    if stdin {
        let (loader, path) = standard_input(arguments.stdin_path.as_deref())?;
        runs.push(check(&loader, &[path], options));
    } else {
        for (root, files) in by_root(&arguments.paths, &mut unreadable)? {
            runs.push(check(&Loader::new(root), &files, options));
        }
    }
    let found: usize = runs.iter().map(|run| run.files + run.unreadable.len()).sum();
    if found == 0 && unreadable.is_empty() {
        output::complain("there are no site files here (*.site)");
        return Ok(Ending::Unreadable);
    }
    unreadable.extend(runs.iter_mut().flat_map(|run| std::mem::take(&mut run.unreadable)));
    let text = match arguments.format {
        Style::Human => human::report(&runs, arguments.working, output::colored(color))?,
        Style::Json => json::report(&runs, &unreadable)?,
    };
    output::print(&text)?;
    for problem in &unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
    }
    let bar = arguments.fail_on.level();
    let fails = runs.iter().flat_map(|run| &run.findings).any(|finding| finding.level >= bar);
    Ok(match (unreadable.is_empty(), fails) {
        (false, _) => Ending::Unreadable,
        (true, true) => Ending::Findings,
        (true, false) => Ending::Clean,
    })
}

/// A loader in which standard input stands for the file at `path`.
fn standard_input(path: Option<&Path>) -> io::Result<(Loader, PathBuf)> {
    let mut bytes = Vec::new();
    io::stdin().lock().read_to_end(&mut bytes)?;
    let path = path.unwrap_or(Path::new("stdin.site"));
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new(".")).canonicalize()?;
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
    let mut groups: BTreeMap<PathBuf, Vec<PathBuf>> = BTreeMap::new();
    for file in discovered.files {
        match file.canonicalize().and_then(|file| Ok((workspace_root(&file)?, file))) {
            Ok((root, file)) => groups.entry(root).or_default().push(file),
            Err(error) => unreadable.push(told(&file, error.to_string())),
        }
    }
    Ok(groups)
}
