//! `curtilage figures`: what a site amounts to, in tables: hours, loops, contacts, power, battery,
//! footage. The tables are those of the papers; a figure that is not known says why.

use crate::arguments::{Figures, Style};
use crate::plain::plain;
use crate::{Ending, check, compare, figures_json, output, table};
use curtilage_facts::{Facts, Options};
use curtilage_handover::{Cell, Shape, Table};
use curtilage_project::{Loader, Unreadable, scope, today};
use std::fmt::Write as _;
use std::io;

pub(crate) fn run(arguments: &Figures) -> io::Result<Ending> {
    let options = Options { today: arguments.date.unwrap_or_else(today) };
    let mut unreadable = Vec::new();
    let (mut out, mut sites) = (String::new(), Vec::new());
    let mut groups = Vec::new();
    if arguments.textconv {
        for path in &arguments.paths {
            groups.push(compare::stand_in(path)?);
        }
    } else {
        for (root, files) in check::by_root(&arguments.paths, &mut unreadable)? {
            groups.push((Loader::new(root), files));
        }
    }
    let mut shared = false;
    for (loader, files) in groups {
        for file in files {
            match scope(&loader, &file) {
                Ok(scope) => {
                    let model = curtilage_model::build(&scope);
                    if model.site.is_none() {
                        shared = true;
                        continue;
                    }
                    let (facts, path) = (Facts::new(&model, options), loader.shown(&file));
                    match arguments.format {
                        Style::Human => site(&facts, &path, &mut out),
                        Style::Json => sites.push(figures_json::site(&facts, path)),
                    }
                }
                Err(problem) => {
                    unreadable
                        .push(Unreadable { path: loader.shown(&file), why: problem.to_string() });
                }
            }
        }
    }
    for problem in &unreadable {
        output::complain(&format!("{}: {}", problem.path, problem.why));
    }
    if out.is_empty() && sites.is_empty() && unreadable.is_empty() {
        if arguments.textconv && shared {
            // Git shows what is printed: a file of parts is its own best picture.
            for path in &arguments.paths {
                output::print(plain(&String::from_utf8_lossy(&std::fs::read(path)?)).as_bytes())?;
            }
            return Ok(Ending::Clean);
        }
        output::complain("there is no site here");
        return Ok(Ending::Unreadable);
    }
    match arguments.format {
        Style::Human => output::tell(&out)?,
        Style::Json => output::print(&figures_json::report(sites)?)?,
    }
    Ok(if unreadable.is_empty() { Ending::Clean } else { Ending::Unreadable })
}

fn site(facts: &Facts<'_, '_>, path: &str, out: &mut String) {
    let Some(site) = &facts.model.site else { return };
    let title = site.title.unwrap_or(site.name.text);
    let _ = writeln!(out, "{title} ({path})\n");
    for table in curtilage_handover::figures(facts).iter().chain(&answers(facts)) {
        table::write(table, out);
    }
}

/// What holds for every sequence of activations, in an ordinary week.
fn answers(facts: &Facts<'_, '_>) -> [Table; 2] {
    let model = facts.model;
    let head = ["zone", "while one sensor stays active", "most in an hour", "comes to nothing"];
    let mut zones = table("zones, whatever happens in an ordinary week", &head);
    for (id, zone) in model.zones_by_id() {
        let held = match facts.held_for_ever(id) {
            Ok(Some(_)) => "registers for ever".to_owned(),
            Ok(None) => "comes to an end".to_owned(),
            Err(why) => why.to_string(),
        };
        let most = facts.most_in_an_hour(id).map_or_else(
            |why| why.to_string(),
            |most| bounds(most.at_least, most.at_most, |count| count.to_string()),
        );
        let deaf = match facts.deaf(id) {
            Ok(deaf) => {
                let total: i64 = deaf.iter().map(|deaf| deaf.until - deaf.from).sum();
                if total == 0 { "never".to_owned() } else { format!("{} a week", time(total)) }
            }
            Err(why) => why.to_string(),
        };
        zones.rows.push([zone.name.text, &held, &most, &deaf].map(Cell::from).into());
    }
    let mut outputs = table(
        "outputs, whatever happens in an ordinary week",
        &["output", "driven, most in a day"],
    );
    for (id, output) in model.outputs_by_id() {
        let longest = facts.longest_in_a_day(id);
        let longest = longest
            .map_or_else(|why| why.to_string(), |most| bounds(most.at_least, most.at_most, time));
        outputs.rows.push([output.name.text, &longest].map(Cell::from).into());
    }
    [zones, outputs]
}

fn table(title: &str, head: &[&str]) -> Table {
    Table {
        id: String::new(),
        title: title.to_owned(),
        about: String::new(),
        shape: Shape::Plain,
        head: head.iter().map(|cell| (*cell).to_owned()).collect(),
        rows: Vec::new(),
        notes: Vec::new(),
    }
}

#[expect(clippy::cast_precision_loss, reason = "a week is far below 2^53 ms")]
fn time(milliseconds: i64) -> String {
    curtilage_units::duration(milliseconds as f64)
}

/// A figure that is known to lie between two.
fn bounds(least: i64, most: i64, show: impl Fn(i64) -> String) -> String {
    if least == most { show(most) } else { format!("{} to {}", show(least), show(most)) }
}
