//! `curtilage rehearse`: plays the rehearsals of sites, or a story that is typed in.

use crate::arguments::Rehearse;
use crate::{Ending, check, output};
use curtilage_facts::events::{Drawing, Outcome, Played, Rehearsed, Show, Unplayed, refusal};
use curtilage_facts::{Facts, Options};
use curtilage_handover::timeline;
use curtilage_model::{Model, Rehearsal, Source};
use curtilage_project::{Loader, Unreadable, create, scope, today};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The title of a story that is typed in.
const WHAT_IF: &str = "what if";

/// What came of all rehearsals so far.
#[derive(Default)]
struct Told {
    text: String,
    holds: usize,
    fails: usize,
    open: usize,
    /// Pictures, when one is wanted.
    pictures: Vec<String>,
    /// Of the words from titles, those that a rehearsal has, by their place.
    found: BTreeSet<usize>,
}

pub(crate) fn run(arguments: &Rehearse) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let (paths, titles): (Vec<&String>, Vec<&String>) =
        arguments.what.iter().partition(|what| Path::new(what).exists());
    let paths: Vec<PathBuf> = paths.into_iter().map(PathBuf::from).collect();
    let mut unreadable = Vec::new();
    let groups = check::by_root(&paths, &mut unreadable)?;
    if !arguments.what_if.is_empty() {
        let typed = typed(&arguments.what_if);
        if typed.is_empty() {
            output::complain("`--what-if` says nothing that happens");
            return Ok(Ending::Usage);
        }
        if let Some(words) = titles.first() {
            output::complain(&format!("`--what-if` plays its own line, and `{words}` is no file"));
            return Ok(Ending::Usage);
        }
        let files = groups.iter().flat_map(|(root, files)| files.iter().map(move |f| (root, f)));
        let files: Vec<(&PathBuf, &PathBuf)> = files.collect();
        let [(root, file)] = files.as_slice() else {
            output::complain("`--what-if` wants the one site file that it is for");
            return Ok(Ending::Usage);
        };
        return what_if(root, file, &typed, options, arguments.picture.as_deref());
    }
    let mut told = Told::default();
    for (root, files) in groups {
        let loader = Loader::new(root);
        for file in files {
            if let Err(why) = site(&loader, &file, &titles, options, &mut told) {
                unreadable.push(Unreadable { path: loader.shown(&file), why });
            }
        }
    }
    let all = told.holds + told.fails + told.open;
    // Words that nothing here is called by may be a file that is gone: nobody is to take that for
    // having been played.
    let lost = titles.iter().enumerate().find(|(at, _)| !told.found.contains(at));
    let lost =
        lost.map(|(_, title)| format!("there is no file and no rehearsal here like `{title}`"));
    let none = (all == 0).then(|| "there are no rehearsals here".to_owned());
    let wrong = lost.or(none).filter(|_| unreadable.is_empty());
    if let (0, Some(why)) = (all, &wrong) {
        output::complain(why);
        return Ok(Ending::Usage);
    }
    if let Some(path) = &arguments.picture {
        let [picture] = told.pictures.as_slice() else {
            output::complain("`--picture` draws one rehearsal: add words from its title");
            return Ok(Ending::Usage);
        };
        draw(path, picture)?;
    }
    let mut parts = Vec::new();
    for (count, word) in
        [(told.holds, "as expected"), (told.fails, "otherwise"), (told.open, "not known")]
    {
        if count > 0 {
            parts.push(format!("{count} {word}"));
        }
    }
    let one = if all == 1 { "rehearsal" } else { "rehearsals" };
    let _ = writeln!(told.text, "{all} {one}: {}", parts.join(", "));
    output::tell(&told.text)?;
    for problem in &unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
    }
    if let Some(why) = &wrong {
        output::complain(why);
    }
    Ok(if !unreadable.is_empty() {
        Ending::Unreadable
    } else if wrong.is_some() {
        Ending::Usage
    } else if told.fails + told.open > 0 {
        Ending::Findings
    } else {
        Ending::Clean
    })
}

/// The lines of a typed story.
fn typed(arguments: &[String]) -> Vec<String> {
    let lines = arguments.iter().flat_map(|lines| lines.split([';', '\n']));
    lines.map(str::trim).filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

fn read(loader: &Loader, file: &Path) -> Result<curtilage_model::Scope, String> {
    scope(loader, file).map_err(|problem| problem.to_string())
}

/// Plays the rehearsals of one file.
fn site(
    loader: &Loader,
    file: &Path,
    titles: &[&String],
    options: Options,
    told: &mut Told,
) -> Result<(), String> {
    let scope = read(loader, file)?;
    let model = curtilage_model::build(&scope);
    if model.rehearsals.is_empty() {
        return Ok(());
    }
    let facts = Facts::new(&model, options);
    let mut named = false;
    for (rehearsal, rehearsed) in model.rehearsals.iter().zip(facts.rehearsed()) {
        let parts = titles.iter().enumerate();
        let found: Vec<usize> = parts
            .filter(|(_, part)| rehearsal.title.contains(part.as_str()))
            .map(|(at, _)| at)
            .collect();
        if !titles.is_empty() && found.is_empty() {
            continue;
        }
        told.found.extend(found);
        if !std::mem::replace(&mut named, true) {
            let _ = writeln!(told.text, "{}", loader.shown(file));
        }
        one(&model, rehearsal, rehearsed, told);
    }
    Ok(())
}

fn one(model: &Model<'_>, rehearsal: &Rehearsal<'_>, rehearsed: &Rehearsed, told: &mut Told) {
    let word = match &rehearsed.played {
        Err(Unplayed::NotKnown(_)) => "not known",
        _ if rehearsed.holds() => "as expected",
        _ => "otherwise",
    };
    *match word {
        "as expected" => &mut told.holds,
        "otherwise" => &mut told.fails,
        _ => &mut told.open,
    } += 1;
    let _ = writeln!(told.text, "  {word}: \"{}\"", rehearsal.title);
    match &rehearsed.played {
        Ok(played) => {
            for outcome in &rehearsed.outcomes {
                if let Outcome::Fails { instead, why } = outcome {
                    let _ = writeln!(told.text, "      {instead}");
                    if let Some(why) = why {
                        let _ = writeln!(told.text, "          {why}");
                    }
                }
            }
            if let Some(drawing) = rehearsed.drawing(model, rehearsal, Show::Everything) {
                indent(&mut told.text, &drawing.text(played), "      ");
                told.pictures.push(timeline::draw(rehearsal.title, played, &drawing));
            }
        }
        Err(Unplayed::Senseless(found)) => {
            let _ = writeln!(told.text, "      {}", found.why);
        }
        Err(Unplayed::NotKnown(why)) => {
            let _ = writeln!(told.text, "      {why}");
        }
    }
    told.text.push('\n');
}

fn draw(path: &Path, picture: &str) -> io::Result<()> {
    create(path, picture).map_err(|error| output::at(path.display(), &error))
}

fn indent(out: &mut String, text: &str, by: &str) {
    for line in text.lines() {
        let _ = writeln!(out, "{by}{}", line.trim_end());
    }
}

/// Plays a typed story against a site. It stands behind the last line of the file, so that it is
/// read as a rehearsal there would be.
fn what_if(
    root: &Path,
    file: &Path,
    lines: &[String],
    options: Options,
    picture: Option<&Path>,
) -> io::Result<Ending> {
    let loader = Loader::new(root.to_path_buf());
    let unreadable = |why: &str| {
        output::complain(&format!("{}: {why}", loader.shown(file)));
        Ok(Ending::Unreadable)
    };
    let source = match loader.source(file) {
        Ok(source) => source,
        Err(problem) => return unreadable(&problem.to_string()),
    };
    let block = format!("\nrehearsal \"{WHAT_IF}\" {{\n    {}\n}}\n", lines.join("\n    "));
    let mut loader = Loader::new(root.to_path_buf());
    loader.overlay(file.to_path_buf(), format!("{}{block}", source.text));
    let scope = match read(&loader, file) {
        Ok(scope) => scope,
        Err(why) => {
            output::complain(&why);
            return Ok(Ending::Unreadable);
        }
    };
    let model = curtilage_model::build(&scope);
    let facts = Facts::new(&model, options);
    if let Some(complaint) = complaint(&facts, &scope.files, source.text.len()) {
        output::complain(&complaint);
        return Ok(Ending::Usage);
    }
    let Some((rehearsal, rehearsed)) = model.rehearsals.iter().zip(facts.rehearsed()).next_back()
    else {
        output::complain("the story cannot be read");
        return Ok(Ending::Usage);
    };
    let played = match &rehearsed.played {
        Ok(played) => played,
        Err(Unplayed::Senseless(found)) => {
            output::complain(&found.why);
            return Ok(Ending::Usage);
        }
        Err(Unplayed::NotKnown(why)) => {
            output::complain(&why.to_string());
            return Ok(Ending::Findings);
        }
    };
    let mut text = String::new();
    if let Some(drawing) = rehearsed.drawing(&model, rehearsal, Show::Everything) {
        text.push_str(&happenings(&model, played, &drawing));
        text.push('\n');
        indent(&mut text, &drawing.text(played), "");
        if let Some(path) = picture {
            draw(path, &timeline::draw(&lines.join("; "), played, &drawing))?;
        }
    }
    for outcome in &rehearsed.outcomes {
        if let Outcome::Fails { instead, .. } = outcome {
            let _ = writeln!(text, "otherwise: {instead}");
        }
    }
    output::tell(&text)?;
    Ok(if rehearsed.holds() { Ending::Clean } else { Ending::Findings })
}

/// What is wrong with the typed lines, or with the file that keeps them from being played.
fn complaint(facts: &Facts<'_, '_>, files: &[Arc<Source>], behind: usize) -> Option<String> {
    let root = files.first()?.file;
    let findings = curtilage_rules::check(facts);
    let behind = u32::try_from(behind).unwrap_or(u32::MAX);
    // That it expects nothing is what a question is.
    let of_lines = findings.iter().find(|finding| {
        finding.at.at.file == root
            && finding.at.at.span.start > behind
            && !matches!(finding.rule, "missing-fact" | "rehearsal-fails")
    });
    of_lines.map(|finding| finding.headline.clone())
}

/// The most lines of a list of what happens.
const MOST: usize = 120;

/// What happens, line by line.
fn happenings(model: &Model<'_>, played: &Played, drawing: &Drawing) -> String {
    let mut list: Vec<(i64, String)> = Vec::new();
    let inside = |at: i64| (played.from..played.until).contains(&at);
    for row in &drawing.rows {
        let end = match row.state {
            "closed" => "open",
            "lost" => "back",
            _ => "at rest",
        };
        for (start, over) in &row.runs {
            list.push((*start, format!("{} {}", row.name, row.state)));
            list.push((*over, format!("{} {end}", row.name)));
        }
        list.extend(row.marks.iter().map(|at| (*at, format!("{} {}", row.name, row.mark))));
    }
    for (zone, line) in model.zones.iter().zip(&played.zones) {
        for (at, why) in &line.refused {
            let why = refusal(*why);
            list.push((*at, format!("{} does not register: {why}", zone.name.text)));
        }
    }
    list.retain(|(at, _)| inside(*at));
    list.sort_by_key(|(at, _)| *at);
    let mut out = String::new();
    for (at, what) in list.iter().take(MOST) {
        let _ = writeln!(out, "{}  {what}", played.clock.show(*at));
    }
    if list.len() > MOST {
        let _ = writeln!(out, "and {} more", list.len() - MOST);
    }
    if let Some(at) = played.never_settles {
        let _ = writeln!(out, "{}  never settles", played.clock.show(at));
    }
    out
}
