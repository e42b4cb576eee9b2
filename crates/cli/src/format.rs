//! `curtilage format`.

use crate::arguments::Format;
use crate::check::by_root;
use crate::{Ending, output};
use curtilage_project::read_all;
use std::io;
use std::path::Path;

pub(crate) fn run(arguments: &Format) -> io::Result<Ending> {
    if arguments.paths.iter().any(|path| path.as_os_str() == "-") {
        if arguments.paths.len() > 1 {
            output::complain("`-` stands alone: standard input is one file");
            return Ok(Ending::Usage);
        }
        return standard_input(arguments.check);
    }
    let mut unreadable = Vec::new();
    let groups = by_root(&arguments.paths, &mut unreadable)?;
    let mut ending = Ending::Clean;
    for problem in &unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
        ending = Ending::Unreadable;
    }
    let files: Vec<_> = groups.values().flatten().collect();
    if files.is_empty() && unreadable.is_empty() {
        output::complain("there are no site files here (*.site)");
        return Ok(Ending::Unreadable);
    }
    let here = Path::new(".").canonicalize()?;
    let mut told = String::new();
    for path in files {
        let shown = path.strip_prefix(&here).unwrap_or(path).display().to_string();
        match one(path, arguments.check) {
            Ok(false) => {}
            Ok(true) if arguments.check => {
                told.push_str(&format!("{shown} would change\n"));
                if ending == Ending::Clean {
                    ending = Ending::Findings;
                }
            }
            Ok(true) => told.push_str(&format!("{shown} changed\n")),
            Err(error) => {
                output::complain(&format!("{shown}: {error}"));
                ending = Ending::Unreadable;
            }
        }
    }
    output::tell(&told)?;
    Ok(ending)
}

/// Formats a file in its place; tells whether it changed, or would.
fn one(path: &Path, check: bool) -> io::Result<bool> {
    let file = std::fs::File::open(path)?;
    let source = text(read_all(file).map_err(io::Error::other)?)?;
    let formatted = formatted(&source)?;
    let changed = formatted != source;
    if changed && !check {
        curtilage_project::replace(path, &formatted)?;
    }
    Ok(changed)
}

fn standard_input(check: bool) -> io::Result<Ending> {
    let source = text(output::input()?)?;
    let formatted = formatted(&source)?;
    if !check {
        output::print(formatted.as_bytes())?;
        return Ok(Ending::Clean);
    }
    Ok(if formatted == source { Ending::Clean } else { Ending::Findings })
}

fn formatted(source: &str) -> io::Result<String> {
    curtilage_format::format(source)
        .map_err(|error| io::Error::other(format!("{error}; `curtilage check` tells where")))
}

fn text(bytes: Vec<u8>) -> io::Result<String> {
    String::from_utf8(bytes).map_err(|_| io::Error::other("it is not UTF-8 text"))
}
