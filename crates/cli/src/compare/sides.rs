//! The two sides of a comparison: files and folders, commits, the work tree, or what git hands over.

use super::Compare;
use crate::check::by_root;
use curtilage_project::git::Repository;
use curtilage_project::{Loader, at_commit, discover, read_all, workspace_root};
use curtilage_syntax::tree::Item;
use std::io;
use std::path::{Path, PathBuf};

/// Site files with what reads them.
#[derive(Debug)]
pub(super) struct Shelf {
    pub(super) loader: Loader,
    /// The path for the loader, and the path by which the two sides are paired.
    pub(super) files: Vec<(PathBuf, String)>,
}

/// Both sides.
#[derive(Debug, Default)]
pub(super) struct Sides {
    pub(super) old: Vec<Shelf>,
    pub(super) new: Vec<Shelf>,
    /// What the sides are called.
    pub(super) names: Names,
    /// Whether each side is one file, which is paired with the other whatever they are called.
    pub(super) one_file: bool,
    /// Paths that cannot be read.
    pub(super) unreadable: Vec<String>,
}

/// What the sides are called.
#[derive(Debug, Default)]
pub(crate) struct Names {
    pub(crate) old: String,
    pub(crate) new: String,
}

/// Why there is nothing to compare.
#[derive(Debug)]
pub(super) enum Refused {
    /// Wrong use.
    Usage(String),
    /// A side that cannot be read.
    Unreadable(String),
}

fn unreadable(why: impl std::fmt::Display) -> Refused {
    Refused::Unreadable(why.to_string())
}

pub(super) fn sides(arguments: &Compare) -> Result<Sides, Refused> {
    if !arguments.driver.is_empty() {
        return driver(&arguments.driver);
    }
    match (&arguments.git, arguments.paths.as_slice()) {
        (Some(range), paths) => commits(range, arguments.merge_base, paths),
        (None, [old, new]) => two(old, new),
        (None, _) => Err(Refused::Usage(
            "two paths are compared, `compare OLD NEW`, or commits, `compare --git BASE`"
                .to_owned(),
        )),
    }
}

/// Two files, or two folders.
fn two(old: &Path, new: &Path) -> Result<Sides, Refused> {
    let mut out = Sides {
        one_file: old.is_file() && new.is_file(),
        names: Names { old: old.display().to_string(), new: new.display().to_string() },
        ..Sides::default()
    };
    let mut problems = Vec::new();
    for (path, side) in [(old, &mut out.old), (new, &mut out.new)] {
        if !path.exists() {
            return Err(unreadable(format!("{}: there is no such file", path.display())));
        }
        *side = on_disk(&[path.to_path_buf()], path, &mut problems).map_err(unreadable)?;
    }
    out.unreadable = problems;
    Ok(out)
}

/// The files below some paths on disk, paired by their path from `from`.
fn on_disk(paths: &[PathBuf], from: &Path, problems: &mut Vec<String>) -> io::Result<Vec<Shelf>> {
    let from = from.canonicalize()?;
    let mut unreadable = Vec::new();
    let groups = by_root(paths, &mut unreadable)?;
    problems.extend(unreadable.iter().map(|one| format!("{}: {}", one.path, one.why)));
    let shelves = groups.into_iter().map(|(root, files)| {
        let key = |file: &Path| {
            let inside = file.strip_prefix(&from).ok().filter(|rest| !rest.as_os_str().is_empty());
            let inside = inside.or(file.file_name().map(Path::new)).unwrap_or(file);
            slashed(inside)
        };
        let files = files.into_iter().map(|file| (file.clone(), key(&file))).collect();
        Shelf { loader: Loader::new(root), files }
    });
    Ok(shelves.collect())
}

fn slashed(path: &Path) -> String {
    let parts: Vec<_> = path.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.join("/")
}

/// A commit against another, or against the work tree.
fn commits(range: &str, merge_base: bool, paths: &[PathBuf]) -> Result<Sides, Refused> {
    let (base, head, parted) = match (range.split_once("..."), range.split_once("..")) {
        (Some((base, head)), _) => (base, Some(head), true),
        (None, Some((base, head))) => (base, Some(head), merge_base),
        (None, None) => (range, None, merge_base),
    };
    let head = head.map(|head| if head.is_empty() { "HEAD" } else { head });
    if base.is_empty() || base.starts_with('-') || head.is_some_and(|head| head.starts_with('-')) {
        return Err(Refused::Usage(format!("`{range}` names no commits; try `--git main..HEAD`")));
    }
    let here = paths.first().map_or(Path::new("."), PathBuf::as_path);
    let around = here.ancestors().find(|path| path.exists() || path.as_os_str().is_empty());
    let repository = Repository::around(around.unwrap_or(Path::new("."))).map_err(unreadable)?;
    let commit = |name: &str| repository.commit(name).map_err(unreadable);
    let newest = commit(head.unwrap_or("HEAD"))?;
    let oldest = match parted {
        true => repository.merge_base(&commit(base)?, &newest).map_err(unreadable)?,
        false => commit(base)?,
    };
    let below = below(&repository, paths)?;
    let mut out = Sides {
        names: Names {
            old: if parted { format!("where {base} parted") } else { base.to_owned() },
            new: head.unwrap_or("the work tree").to_owned(),
        },
        ..Sides::default()
    };
    let mut problems = Vec::new();
    let mut read = |id: &str| -> Result<Vec<Shelf>, Refused> {
        let all = at_commit(&repository, id, &below).map_err(unreadable)?;
        let shelves = all.into_iter().map(|one| {
            let shown = |(path, why): &(PathBuf, String)| format!("{}: {why}", slashed(path));
            problems.extend(one.problems.iter().map(shown));
            let key = |(path, key): (PathBuf, PathBuf)| (path, slashed(&key));
            Shelf { loader: one.loader, files: one.files.into_iter().map(key).collect() }
        });
        Ok(shelves.collect())
    };
    out.old = read(&oldest)?;
    if head.is_some() {
        out.new = read(&newest)?;
    } else {
        let top = repository.top();
        let all: Vec<PathBuf> = below.iter().map(|path| top.join(path)).collect();
        let there: Vec<PathBuf> = all.into_iter().filter(|path| path.exists()).collect();
        if !there.is_empty() {
            out.new = on_disk(&there, top, &mut problems).map_err(unreadable)?;
        }
    }
    out.unreadable = problems;
    Ok(out)
}

/// The paths to look at, from the top of the repository.
fn below(repository: &Repository, paths: &[PathBuf]) -> Result<Vec<PathBuf>, Refused> {
    if paths.is_empty() {
        return Ok(vec![PathBuf::new()]);
    }
    let each = paths.iter().map(|path| {
        // What is gone from the work tree may be in the commit.
        let folder = path.ancestors().find(|above| above.exists()).unwrap_or(Path::new("."));
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let rest = path.strip_prefix(folder).unwrap_or(Path::new(""));
        let rest =
            if folder == Path::new(".") { path.strip_prefix(".").unwrap_or(path) } else { rest };
        let resolved = folder.canonicalize().map_err(unreadable)?;
        let whole = if rest.as_os_str().is_empty() { resolved } else { resolved.join(rest) };
        let inside = whole.strip_prefix(repository.top());
        inside
            .map(Path::to_path_buf)
            .map_err(|_| Refused::Usage(format!("{} lies outside the repository", path.display())))
    });
    each.collect()
}

/// What git hands to an external diff program: a path and two files that hold its content. What the
/// file uses is taken from the work tree; a file that sites share is shown by what it does to them.
fn driver(words: &[String]) -> Result<Sides, Refused> {
    let (path, old, new) = match words {
        [path] => {
            return Err(Refused::Unreadable(format!("{path} is not merged: nothing to compare")));
        }
        [path, old, _, _, new, ..] => (path, old, new),
        _ => {
            return Err(Refused::Usage(
                "git hands over seven words; see docs/compare.md".to_owned(),
            ));
        }
    };
    let here = Path::new(".").canonicalize().map_err(unreadable)?;
    // The path is from the top of the work tree, where git starts the program.
    let top = Repository::around(&here).map_or(here, |repository| repository.top().to_path_buf());
    let path = top.join(path);
    let folder = path.ancestors().find(|above| above.is_dir()).unwrap_or(&top);
    let root = workspace_root(folder).map_err(unreadable)?;
    let mut out = Sides {
        names: Names { old: "before".to_owned(), new: "after".to_owned() },
        ..Sides::default()
    };
    let mut alone = false;
    let mut loaders = Vec::new();
    for file in [old, new] {
        let mut loader = Loader::new(root.clone());
        let there = file != "/dev/null";
        if there {
            let opened = std::fs::File::open(file);
            let opened = opened.map_err(|error| unreadable(format!("{file}: {error}")))?;
            let bytes = read_all(opened);
            let bytes = bytes.map_err(|problem| unreadable(format!("{file}: {problem}")))?;
            loader.overlay(path.clone(), bytes);
            let source = loader.source(&path);
            alone |= source.is_ok_and(|source| {
                source.parsed.file.items.iter().any(|item| matches!(item, Item::Site(_)))
            });
        }
        loaders.push((loader, there));
    }
    let sites: Vec<PathBuf> =
        if alone { vec![path.clone()] } else { discover(std::slice::from_ref(&root)).files };
    for ((loader, there), side) in loaders.into_iter().zip([&mut out.old, &mut out.new]) {
        let files = if alone && !there { Vec::new() } else { sites.clone() };
        let key = |file: PathBuf| {
            let inside = slashed(file.strip_prefix(&top).unwrap_or(&file));
            (file, inside)
        };
        side.push(Shelf { loader, files: files.into_iter().map(key).collect() });
    }
    Ok(out)
}

/// A loader in which a copy that git made stands for the file of the work tree that it is a copy of:
/// the one of its name, and of its site's name when there are several.
pub(crate) fn stand_in(copy: &Path) -> io::Result<(Loader, Vec<PathBuf>)> {
    let here = workspace_root(Path::new("."))?;
    let copy = copy.canonicalize()?;
    if copy.starts_with(&here) {
        return Ok((Loader::new(workspace_root(&copy)?), vec![copy]));
    }
    let bytes = read_all(std::fs::File::open(&copy)?).map_err(io::Error::other)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let parsed = curtilage_syntax::parse(&text, &[]);
    let site = parsed.file.items.iter().find_map(|item| match item {
        Item::Site(site) => Some(site.name.span.of(&text).to_owned()),
        _ => None,
    });
    let name = copy.file_name().unwrap_or_default();
    let mut alike: Vec<PathBuf> = discover(std::slice::from_ref(&here))
        .files
        .into_iter()
        .filter(|file| {
            // Older versions of git put letters of their own before the name.
            let (file, name) = (file.file_name().unwrap_or_default(), name.to_string_lossy());
            let file = file.to_string_lossy();
            file == name || name.ends_with(&format!("_{file}"))
        })
        .collect();
    if alike.len() > 1 {
        let loader = Loader::new(here.clone());
        let same = |file: &PathBuf| {
            loader.source(file).is_ok_and(|source| {
                source.parsed.file.items.iter().any(|item| match item {
                    Item::Site(own) => Some(source.text(own.name.span)) == site.as_deref(),
                    _ => false,
                })
            })
        };
        alike.retain(same);
    }
    let path = match alike.as_slice() {
        [only] => only.clone(),
        _ => here.join(name),
    };
    let mut loader = Loader::new(workspace_root(path.parent().unwrap_or(&here))?);
    loader.overlay(path.clone(), bytes);
    Ok((loader, vec![path]))
}
