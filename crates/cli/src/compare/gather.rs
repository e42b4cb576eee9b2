//! From two sides to one comparison: sites are paired by path, then by the name of the site, so that
//! a site that moved to another folder is the same site. A pair of which not a byte differs, in
//! anything that it sees, is not worked out at all.

use super::sides::{Shelf, Sides};
use curtilage_change::{Portfolio, SiteChange, compare, portfolio};
use curtilage_diagnostic::Diagnostic;
use curtilage_facts::{Facts, Options};
use curtilage_model::{Fault, FaultKind, Model, Scope, Source, build};
use curtilage_project::{ReadProblem, scope, together};
use std::collections::{BTreeMap, HashMap};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// A comparison, and what could not be read for it.
pub(super) struct Gathered {
    pub(super) portfolio: Portfolio,
    pub(super) unreadable: Vec<String>,
}

/// A file of one side.
struct File {
    key: String,
    path: String,
    /// The folder of its workspace, with `/` behind it; empty at the top of what is compared.
    folder: String,
    scope: Scope,
    /// The name and the title of its site.
    site: Option<(String, String)>,
    /// Whether it was found on the other side by the name of its site.
    moved: bool,
    /// Whether a file that it uses cannot be read.
    blind: bool,
    /// The shelf on which it lies.
    shelf: usize,
}

pub(super) fn gather(sides: &Sides, options: Options) -> Gathered {
    let mut unreadable = sides.unreadable.clone();
    let mut old = read(&sides.old, &mut unreadable);
    let mut new = read(&sides.new, &mut unreadable);
    let mut notes = Vec::new();
    let lines_only = old.iter().chain(&new).all(|file| file.site.is_none());
    let lines_only = lines_only && !(old.is_empty() && new.is_empty());
    let pairs = pair(&mut old, &mut new, (sides.one_file, lines_only), &mut notes);
    if lines_only {
        let rest = if sides.one_file {
            "; compare the folders to see what they do to the sites"
        } else {
            ""
        };
        notes.push(format!("there is no site on either side: only lines can be compared{rest}"));
    }
    let blind = |(old, new): &&(File, File)| old.site.is_some() && old.blind && new.blind;
    let blind = pairs.iter().filter(blind).count();
    match blind {
        0 => {}
        1 => notes.push(format!("1 site uses {UNREAD}")),
        sites => notes.push(format!("{sites} sites use {UNREAD}")),
    }
    let untouched = pairs.iter().filter(|(old, new)| same(&old.scope, &new.scope)).count();
    let half = |(old, new): &(File, File)| old.site.is_some() != new.site.is_some();
    let todo = pairs.iter().filter(|(old, new)| !same(&old.scope, &new.scope));
    let todo: Vec<&(File, File)> = todo.filter(|pair| !half(pair)).collect();
    unreadable.extend(
        pairs
            .iter()
            .filter(|pair| half(pair))
            .map(|(_, new)| format!("{}: one side has no site that can be read", new.path)),
    );
    let shared = Shared { sides, options, old: Mutex::default(), new: Mutex::default() };
    let mut sites = each(&todo, &shared);
    // What a lead has to see first stands first; pairs come in the order of paths.
    sites.sort_by_key(|site| (site.is_empty(), site.weights().min()));
    let mut out = portfolio(sites);
    (out.untouched, out.blind) = (untouched, blind);
    let named = |file: &File| {
        let (name, title) = file.site.clone().unwrap_or_default();
        let title = if title.is_empty() { name } else { title };
        // Of a shared file the last part of its path says which one it is.
        let file_name = || file.path.rsplit('/').next().unwrap_or_default().to_owned();
        (file.path.clone(), if title.is_empty() { file_name() } else { title })
    };
    // What both sides hold without a site is shared, and told by what it does to the sites.
    let told = |file: &&File| lines_only || file.site.is_some();
    out.removed = old.iter().filter(told).map(named).collect();
    out.added = new.iter().filter(told).map(named).collect();
    out.notes = notes;
    out.lines_only = lines_only;
    if sides.old.iter().chain(&sides.new).all(|shelf| shelf.files.is_empty()) {
        unreadable.push("there are no site files on either side (*.site)".to_owned());
    }
    Gathered { portfolio: out, unreadable }
}

/// What neither side knows differs on neither.
const UNREAD: &str = "files that cannot be read on either side: what hangs on them is not compared, and `curtilage check` names them";

fn read(shelves: &[Shelf], unreadable: &mut Vec<String>) -> Vec<File> {
    let mut out = Vec::new();
    for (place, shelf) in shelves.iter().enumerate() {
        for (file, key) in &shelf.files {
            match scope(&shelf.loader, file) {
                Ok(mut scope) => {
                    let path = shelf.loader.shown(file);
                    let folder = key.strip_suffix(&path).unwrap_or_default().to_owned();
                    show_below(&folder, &mut scope);
                    let path = folder.clone() + &path;
                    let (site, blind) = {
                        let model = build(&scope);
                        let site = model.site.as_ref().map(|site| {
                            (site.name.text.to_owned(), site.title.unwrap_or_default().to_owned())
                        });
                        let import = |fault: &Fault| matches!(fault.kind, FaultKind::Import(_));
                        (site, model.faults.iter().any(import))
                    };
                    let (key, shelf) = (key.clone(), place);
                    let moved = false;
                    out.push(File { key, path, folder, scope, site, moved, blind, shelf });
                }
                Err(ReadProblem::NotFound) => {
                    unreadable.push(format!("{key}: there is no such file"));
                }
                Err(ReadProblem::Unreadable(why)) => unreadable.push(format!("{key}: {why}")),
            }
        }
    }
    out
}

/// Shows the paths of a workspace that lies further down as seen from the top of what is compared.
fn show_below(folder: &str, scope: &mut Scope) {
    if folder.is_empty() {
        return;
    }
    for file in &mut scope.files {
        let path = format!("{folder}{}", file.path);
        let (text, parsed) = (Arc::clone(&file.text), file.parsed.clone());
        *file = Arc::new(Source::new(file.file, path, text, parsed, None));
    }
}

/// Takes the files that belong together out of both lists.
fn pair(
    old: &mut Vec<File>,
    new: &mut Vec<File>,
    (one_file, lines_only): (bool, bool),
    notes: &mut Vec<String>,
) -> Vec<(File, File)> {
    let mut out = Vec::new();
    if one_file && old.len() == 1 && new.len() == 1 {
        out.extend(old.pop().zip(new.pop()));
    }
    let mut by_key: BTreeMap<String, File> =
        std::mem::take(new).into_iter().map(|file| (file.key.clone(), file)).collect();
    let mut left = Vec::new();
    for file in std::mem::take(old) {
        match by_key.remove(&file.key) {
            Some(other) => out.push((file, other)),
            None => left.push(file),
        }
    }
    // A site that lies elsewhere now. Two sites of one name on a side are left alone.
    let name = |file: &File| file.site.as_ref().map(|(name, _)| name.clone());
    let once = |files: &[&File], wanted: &str| {
        files.iter().filter(|file| name(file).as_deref() == Some(wanted)).count() == 1
    };
    let mut fresh: Vec<File> = by_key.into_values().collect();
    for file in left {
        let found = name(&file).and_then(|wanted| {
            let all: Vec<&File> = fresh.iter().collect();
            once(&all, &wanted)
                .then(|| fresh.iter().position(|other| name(other).as_deref() == Some(&wanted)))
                .flatten()
        });
        match found {
            Some(index) => {
                let mut other = fresh.remove(index);
                other.moved = true;
                notes.push(format!("{} moved to {}", file.path, other.path));
                out.push((file, other));
            }
            None => old.push(file),
        }
    }
    *new = fresh;
    // A file without a site is told by what it does to the sites; where there are none, by its lines.
    out.retain(|(old, new)| lines_only || old.site.is_some() || new.site.is_some());
    for (old, new) in &out {
        match (&old.site, &new.site) {
            (Some(_), None) => notes.push(format!(
                "after: {} has no `site` that can be read; what it does is not known",
                new.path
            )),
            (None, Some(_)) => notes.push(format!(
                "before: {} has no `site` that can be read; what it did is not known",
                old.path
            )),
            (None, None) | (Some(_), Some(_)) => {}
        }
    }
    out.sort_by(|a, b| a.1.path.cmp(&b.1.path));
    out
}

/// Whether two sites see the same bytes.
fn same(old: &Scope, new: &Scope) -> bool {
    let texts = |a: &Scope, b: &Scope| {
        a.files.iter().map(|file| &file.text).eq(b.files.iter().map(|file| &file.text))
    };
    let days = |scope: &Scope| -> Vec<String> {
        scope.holidays.iter().map(|file| format!("{:?}", file.dates)).collect()
    };
    let faults = |scope: &Scope| scope.faults.len();
    faults(old) == faults(new) && texts(old, new) && days(old) == days(new)
}

/// Compares each pair, on as many threads as the machine has.
fn each(pairs: &[&(File, File)], shared: &Shared<'_>) -> Vec<SiteChange> {
    let next = AtomicUsize::new(0);
    let slots: Vec<Mutex<Option<SiteChange>>> = pairs.iter().map(|_| Mutex::default()).collect();
    together(pairs.len(), || {
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let (Some(pair), Some(slot)) = (pairs.get(index), slots.get(index)) else {
                return;
            };
            let result = one(pair, shared);
            *slot.lock().unwrap_or_else(PoisonError::into_inner) = Some(result);
        }
    });
    let out =
        slots.into_iter().map(|slot| slot.into_inner().unwrap_or_else(PoisonError::into_inner));
    out.flatten().collect()
}

fn one((old, new): &(File, File), shared: &Shared<'_>) -> SiteChange {
    let (before, after) = (build(&old.scope), build(&new.scope));
    let both = [&before, &after].map(|model: &Model<'_>| {
        let facts = Facts::new(model, shared.options);
        let findings = curtilage_rules::check(&facts);
        (facts, findings)
    });
    let [(old_facts, mut old_findings), (new_facts, mut new_findings)] = both;
    old_findings.extend(shared.before(old, new));
    new_findings.extend(shared.after(old, new));
    let change = compare((&old_facts, &old_findings), (&new_facts, &new_findings));
    SiteChange { moved: new.moved, ..change }
}

/// What the rules find in the files that sites use: each is a file of its own, looked at once a side.
struct Shared<'s> {
    sides: &'s Sides,
    options: Options,
    old: Mutex<Known>,
    new: Mutex<Known>,
}

/// The findings of used files, by shelf and path.
type Known = HashMap<(usize, String), Vec<Diagnostic>>;

impl Shared<'_> {
    /// The findings of the files that the older side of a pair uses.
    fn before(&self, old: &File, new: &File) -> Vec<Diagnostic> {
        let shelves = (self.sides.old.get(old.shelf), self.sides.new.get(new.shelf));
        self.used(old, new, shelves, &self.old)
    }

    /// The findings of those that the newer side uses.
    fn after(&self, old: &File, new: &File) -> Vec<Diagnostic> {
        let shelves = (self.sides.new.get(new.shelf), self.sides.old.get(old.shelf));
        self.used(new, old, shelves, &self.new)
    }

    /// A file that only one of the two uses says nothing of the change when it is there on the other
    /// side too.
    fn used(
        &self,
        own: &File,
        other: &File,
        (shelf, beside): (Option<&Shelf>, Option<&Shelf>),
        known: &Mutex<Known>,
    ) -> Vec<Diagnostic> {
        let (Some(shelf), Some(beside)) = (shelf, beside) else { return Vec::new() };
        let mut out = Vec::new();
        for file in own.scope.files.iter().skip(1) {
            let shared = other.scope.files.iter().any(|one| one.path == file.path);
            let inside = file.path.strip_prefix(&own.folder).unwrap_or(&file.path);
            let there = |shelf: &Shelf| shelf.loader.source(&shelf.loader.root().join(inside));
            if !shared && there(beside).is_ok_and(|one| one.text == file.text) {
                continue;
            }
            let mut known = known.lock().unwrap_or_else(PoisonError::into_inner);
            let key = (own.shelf, file.path.clone());
            let found = known.entry(key).or_insert_with(|| {
                let scope = scope(&shelf.loader, &shelf.loader.root().join(inside));
                scope.map_or_else(
                    |_| Vec::new(),
                    |scope| curtilage_rules::check(&Facts::new(&build(&scope), self.options)),
                )
            });
            out.extend(found.iter().cloned());
        }
        out
    }
}
