//! `curtilage record`: the readings of a filled commissioning sheet, taken back into the site file.

use crate::arguments::Record;
use crate::{Ending, check, output};
use curtilage_facts::{Facts, Options};
use curtilage_handover::{
    Change, Entry, Filled, Refused, last_ones, meter_window, read_sheet, take,
};
use curtilage_model::{Model, Reading, ReadingAt};
use curtilage_project::{Loader, read_all, replace, scope, today, workspace_root};
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

pub(crate) fn run(arguments: &Record) -> io::Result<Ending> {
    let shown = arguments.sheet.display().to_string();
    let unreadable = |why: &str| {
        output::complain(&format!("{shown}: {why}"));
        Ok(Ending::Unreadable)
    };
    let bytes = match std::fs::File::open(&arguments.sheet).map(read_all) {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(problem)) => return unreadable(&problem.to_string()),
        Err(error) => return unreadable(&error.to_string()),
    };
    let Ok(text) = String::from_utf8(bytes) else {
        return unreadable("it is not UTF-8 text: save the sheet as CSV in UTF-8");
    };
    let filled = match read_sheet(&text) {
        Ok(filled) => filled,
        Err(why) => return unreadable(&why),
    };
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let (entries, given_way) = last_ones(filled.entries.clone(), options.today);
    let not_taken = |list: &[Refused]| {
        for refused in list {
            output::complain(&format!("{shown}, line {}: {}", refused.line, refused.why));
        }
    };
    not_taken(&filled.refused);
    not_taken(&given_way);
    for remark in &filled.remarks {
        output::complain(&format!(
            "{shown}, line {}: `{}` is not taken: nothing is measured there",
            remark.line, remark.text
        ));
    }
    if entries.is_empty() {
        let open = match filled.open {
            0 => "it has no readings",
            _ => "no reading is filled in yet",
        };
        output::complain(&format!("{shown}: {open}"));
        return Ok(Ending::Usage);
    }
    let file = match site(arguments, &filled) {
        Ok(file) => file,
        Err(why) => {
            output::complain(&why);
            return Ok(Ending::Usage);
        }
    };
    let sheet = Sheet { shown: &shown, entries, open: filled.open };
    let ending = into(&file, sheet, options)?;
    let all = filled.refused.is_empty() && given_way.is_empty();
    Ok(if all { ending } else { ending.max(Ending::Findings) })
}

/// What of a sheet goes into its site.
struct Sheet<'s> {
    /// Its file, as it was named.
    shown: &'s str,
    entries: Vec<Entry>,
    /// How many readings are not filled in yet.
    open: usize,
}

/// The site file that the sheet is for.
fn site(arguments: &Record, filled: &Filled) -> Result<PathBuf, String> {
    if let Some(site) = &arguments.site {
        let shown = site.display();
        let file = site.canonicalize().map_err(|error| format!("{shown}: {error}"))?;
        // A terminal of the same name may be another one there.
        return match (filled.sites.as_slice(), name_of(&file)?) {
            ([], _) | (_, None) => Ok(file),
            ([name], Some(own)) if *name == own => Ok(file),
            (names, Some(own)) => Err(format!(
                "the sheet is of site `{}`, and {shown} is site `{own}`: nothing is taken",
                names.join("`, `")
            )),
        };
    }
    let [name] = filled.sites.as_slice() else {
        return Err("the sheet is not of one site: name its file with `--site`".to_owned());
    };
    let mut unreadable = Vec::new();
    let groups = check::by_root(&[], &mut unreadable).map_err(|error| error.to_string())?;
    let mut found = Vec::new();
    for (root, files) in groups {
        let loader = Loader::new(root);
        for file in files {
            let Ok(source) = loader.source(&file) else { continue };
            let is_it = source.parsed.file.items.iter().any(|item| {
                matches!(item, curtilage_syntax::tree::Item::Site(site)
                    if source.text(site.name.span) == name)
            });
            if is_it {
                found.push(file);
            }
        }
    }
    match found.as_slice() {
        [file] => Ok(file.clone()),
        [] => Err(format!("there is no site `{name}` around here: name its file with `--site`")),
        _ => Err(format!("there are several sites `{name}` here: name one with `--site`")),
    }
}

/// The name of the site that a file holds.
fn name_of(file: &Path) -> Result<Option<String>, String> {
    let told = |why: String| format!("{}: {why}", file.display());
    let loader = Loader::new(workspace_root(file).map_err(|error| told(error.to_string()))?);
    let source = loader.source(file).map_err(|problem| told(problem.to_string()))?;
    Ok(source.parsed.file.items.iter().find_map(|item| match item {
        curtilage_syntax::tree::Item::Site(site) => Some(source.text(site.name.span).to_owned()),
        _ => None,
    }))
}

/// Puts the readings into the site file, but for those of something that the site does not have.
fn into(file: &Path, mut sheet: Sheet<'_>, options: Options) -> io::Result<Ending> {
    let root = workspace_root(file)?;
    let loader = Loader::new(root.clone());
    let shown = loader.shown(file);
    let unreadable = |why: &str| {
        output::complain(&format!("{shown}: {why}"));
        Ok(Ending::Unreadable)
    };
    let source = match loader.source(file) {
        Ok(source) => source,
        Err(problem) => return unreadable(&problem.to_string()),
    };
    let Ok(old) = String::from_utf8(std::fs::read(file)?) else {
        return unreadable("it is not UTF-8 text");
    };
    if source.parsed.faults.iter().any(|fault| curtilage_format::hinders(&fault.kind)) {
        output::complain(&format!(
            "{shown}: its braces or quotes are not in order, and a new block could land anywhere; mend it first (`curtilage check` tells where)"
        ));
        return Ok(Ending::Findings);
    }
    // A file that stands in the one style goes on standing in it.
    let tidy = curtilage_format::format(&old).is_ok_and(|text| text == old);
    let mut lost = Vec::new();
    let (new, told) = loop {
        let taken = take(&old, &source.parsed, &sheet.entries, options.today);
        let formatted = curtilage_format::format(&taken.text).ok().filter(|_| tidy);
        let new = formatted.unwrap_or(taken.text);
        let mut loader = Loader::new(root.clone());
        loader.overlay(file.to_path_buf(), new.clone().into_bytes());
        let Ok(scope) = scope(&loader, file) else { return unreadable("it cannot be read") };
        let model = curtilage_model::build(&scope);
        let facts = Facts::new(&model, options);
        let told = tell(&facts, &sheet.entries, &taken.changes, options);
        if told.lost.is_empty() {
            break (new, told);
        }
        // The others are put into the file as it was.
        let entries = std::mem::take(&mut sheet.entries).into_iter().enumerate();
        let (gone, kept): (Vec<_>, Vec<_>) = entries.partition(|(at, _)| told.lost.contains(at));
        lost.extend(gone.into_iter().map(|(_, entry)| entry));
        sheet.entries = kept.into_iter().map(|(_, entry)| entry).collect();
    };
    for entry in &lost {
        output::complain(&format!(
            "{}, line {}: the site has nothing `{}` that could be measured",
            sheet.shown, entry.line, entry.at
        ));
    }
    if sheet.entries.is_empty() {
        output::complain(&format!("{shown} stays as it is"));
        return Ok(Ending::Findings);
    }
    if new != old {
        replace(file, &new).map_err(|error| output::at(&shown, &error))?;
    }
    let Told { mut text, counts: [added, replaced, known], outside, .. } = told;
    let _ = writeln!(
        text,
        "{shown}: {added} added, {replaced} replaced, {known} known; {outside} outside; {} not filled in yet",
        sheet.open
    );
    output::tell(&text)?;
    Ok(if outside > 0 || !lost.is_empty() { Ending::Findings } else { Ending::Clean })
}

/// What is said of the readings once they are in the site.
#[derive(Default)]
struct Told {
    text: String,
    /// How many are added, replaced and known.
    counts: [usize; 3],
    outside: usize,
    /// By index, those that the site has no place for.
    lost: Vec<usize>,
}

fn tell(facts: &Facts<'_, '_>, entries: &[Entry], changes: &[Change], options: Options) -> Told {
    let model = facts.model;
    let mut told = Told::default();
    for (at, (entry, change)) in entries.iter().zip(changes).enumerate() {
        let found = model.readings.iter().zip(&facts.readings).rev();
        let found = found.into_iter().find(|(reading, _)| is_of(model, reading, entry, options));
        let Some((reading, held)) = found else {
            told.lost.push(at);
            continue;
        };
        let [added, replaced, known] = &mut told.counts;
        let (word, count) = match change {
            Change::Added => ("added", added),
            Change::Replaced => ("replaced", replaced),
            Change::Known => ("known", known),
        };
        *count += 1;
        let window = match &held.window {
            Ok(window) => {
                let range = meter_window(*window, reading.tree.dimension);
                let word = if held.outside { "outside" } else { "within" };
                told.outside += usize::from(held.outside);
                format!("{word} {range}")
            }
            Err(why) => why.to_string(),
        };
        let Entry { at, condition, value, .. } = entry;
        let _ = writeln!(told.text, "{word}: {at} {condition} {value}, {window}");
    }
    told
}

/// Whether a reading of the model is what an entry became.
fn is_of(model: &Model<'_>, reading: &Reading<'_>, entry: &Entry, options: Options) -> bool {
    let name = match reading.at {
        ReadingAt::Terminal(terminal) => model.terminal_name(&terminal),
        ReadingAt::Controller(id) => {
            model.controller(id).map_or_else(String::new, |one| one.name.text.to_owned())
        }
        ReadingAt::Output(id) => {
            model.output(id).map_or_else(String::new, |one| one.name.text.to_owned())
        }
        ReadingAt::Supply(id) => {
            model.supply(id).map_or_else(String::new, |one| one.name.text.to_owned())
        }
    };
    let same = curtilage_units::parse(&entry.value).is_ok_and(|value| {
        value.dimension == reading.tree.dimension && value.value == reading.tree.value.value
    });
    name == entry.at
        && reading.tree.condition.value.word() == entry.condition
        && reading.date == entry.date.unwrap_or(options.today)
        && same
}
