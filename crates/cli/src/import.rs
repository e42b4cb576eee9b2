//! `curtilage import`.

use crate::arguments::Import;
use crate::{Ending, output};
use curtilage_import::{KnownPart, MAX_BYTES, PartKind, Request};
use curtilage_model::Source;
use curtilage_project::{Loader, create, create_new, relative, scope, workspace_root};
use curtilage_syntax::tree::{Item, part::Body};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

pub(crate) fn run(arguments: &Import) -> io::Result<Ending> {
    let table = &arguments.table;
    let shown = table.display();
    if table.extension().is_some_and(|end| end == "site") && table.is_file() {
        output::complain(&format!("{shown} is a site file, and no table of zones"));
        return Ok(Ending::Usage);
    }
    let bytes = match read(table) {
        Ok(bytes) => bytes,
        Err(error) => {
            output::complain(&format!("{shown}: {error}"));
            return Ok(Ending::Unreadable);
        }
    };
    let out = arguments.out.clone().unwrap_or_else(|| table.with_extension("site"));
    let to_stdout = out.as_os_str() == "-";
    if !to_stdout && !arguments.force && out.exists() {
        return Ok(there_already(&out));
    }
    let stem =
        table.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    let title = arguments.title.clone().unwrap_or(stem);
    let name =
        table.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let folder = if to_stdout { Path::new(".") } else { folder(&out) };
    let (uses, parts) = match used(&arguments.uses, folder) {
        Ok(used) => used,
        Err(why) => {
            output::complain(&why);
            return Ok(Ending::Unreadable);
        }
    };
    let sheet = arguments.sheet.as_deref();
    let request =
        Request { bytes: &bytes, file: &name, sheet, title: &title, uses: &uses, parts: &parts };
    let imported = match curtilage_import::import(&request) {
        Ok(imported) => imported,
        Err(error) => {
            output::complain(&format!("{shown}: {error}"));
            return Ok(Ending::Unreadable);
        }
    };
    let told: String = imported.told.iter().map(|told| format!("{told}\n")).collect();
    if to_stdout {
        output::print(imported.text.as_bytes())?;
        for line in told.lines() {
            output::complain(line);
        }
        return Ok(Ending::Clean);
    }
    let written = if arguments.force {
        create(&out, &imported.text)
    } else {
        create_new(&out, &imported.text)
    };
    match written {
        Ok(()) => {}
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            return Ok(there_already(&out));
        }
        Err(error) => {
            output::complain(&format!("{}: {error}", out.display()));
            return Ok(Ending::Unreadable);
        }
    }
    let zones = match imported.zones {
        1 => "1 zone".to_owned(),
        count => format!("{count} zones"),
    };
    let end =
        format!("{} written: {zones}; `curtilage check` tells what is missing\n", out.display());
    output::tell(&format!("{told}{end}"))?;
    Ok(Ending::Clean)
}

fn there_already(path: &Path) -> Ending {
    output::complain(&format!(
        "{} is there already, and is left as it is; `--force` writes over it",
        path.display()
    ));
    Ending::Usage
}

/// The bytes of the table; a little more than is taken, so that too much is told as such.
fn read(path: &Path) -> io::Result<Vec<u8>> {
    let file = std::fs::File::open(path)?;
    if file.metadata()?.is_dir() {
        return Err(io::Error::other("it is a folder"));
    }
    let most = u64::try_from(MAX_BYTES).unwrap_or(u64::MAX).saturating_add(1);
    let mut bytes = Vec::new();
    file.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// The files that the site is to use, as it writes them, and the parts in them.
fn used(paths: &[PathBuf], folder: &Path) -> Result<(Vec<String>, Vec<KnownPart>), String> {
    let mut uses = Vec::new();
    let mut parts = Vec::new();
    for path in paths {
        let told = |why: &str| format!("{}: {why}", path.display());
        let file = path.canonicalize().map_err(|error| told(&error.to_string()))?;
        let folder = folder.canonicalize().map_err(|error| told(&error.to_string()))?;
        let root = workspace_root(&file).map_err(|error| told(&error.to_string()))?;
        let scope = scope(&Loader::new(root), &file).map_err(|_| told("it cannot be read"))?;
        uses.push(relative(&folder, &file));
        parts.extend(scope.files.iter().flat_map(|source| known(source)));
    }
    Ok((uses, parts))
}

fn known(source: &Source) -> impl Iterator<Item = KnownPart> {
    source.parsed.file.items.iter().filter_map(|item| {
        let Item::Part(part) = item else { return None };
        let kind = match part.body {
            Body::Sensor(_) => PartKind::Sensor,
            Body::Controller(_) => PartKind::Controller,
            Body::Cable(_) => PartKind::Cable,
            _ => return None,
        };
        let title = part.title.map(|title| source.quoted(title).to_owned());
        Some(KnownPart { name: source.text(part.name.span).to_owned(), title, kind })
    })
}
