//! A comparison for programs. The schema is `docs/schema/compare-1.json`; its number rises when a
//! reader of the old one would misread the new. A figure has the shape in which `figures --format
//! json` prints it.

use super::sides::Names;
use crate::figures_json::{Figure, Place, Tool, figure};
use curtilage_change::{
    Cell, Change, FindingChange, HoursChange, LineChange, Portfolio, SiteChange, Told,
};
use curtilage_facts::Options;
use serde::Serialize;
use std::io;

const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    tool: Tool,
    old: &'a str,
    new: &'a str,
    date: String,
    gravest: Option<&'static str>,
    sites: Vec<Site<'a>>,
    shared: Vec<Shared<'a>>,
    added: Vec<Named<'a>>,
    removed: Vec<Named<'a>>,
    untouched: usize,
    notes: &'a [String],
}

#[derive(Serialize)]
struct Named<'a> {
    path: &'a str,
    title: &'a str,
}

#[derive(Serialize)]
struct Site<'a> {
    old_path: Option<&'a str>,
    new_path: Option<&'a str>,
    name: &'a str,
    title: &'a str,
    renames: Vec<Rename<'a>>,
    changes: Vec<ChangeOf>,
    findings: Vec<Finding<'a>>,
    lines: Vec<Line<'a>>,
    groups: Vec<Group<'a>>,
    repeat: Vec<Retest<'a>>,
    keep: Vec<Kept>,
    unknown: Vec<Unknown<'a>>,
}

#[derive(Serialize)]
struct Rename<'a> {
    kind: &'static str,
    old: &'a str,
    new: &'a str,
    at: Option<Place>,
}

#[derive(Serialize)]
struct ChangeOf {
    weight: &'static str,
    says: String,
    before: Option<Figure>,
    after: Option<Figure>,
    hours: Option<Hours>,
    causes: Vec<usize>,
}

#[derive(Serialize)]
struct Hours {
    gone: bool,
    week_minutes: u32,
    week: String,
    dated_minutes: u64,
    dates: Vec<String>,
    /// Seven days of 48 half hours: `=` kept, `-` gone, `+` new, `.` never.
    strip: Option<Vec<String>>,
}

#[derive(Serialize)]
struct Finding<'a> {
    rule: &'static str,
    weight: &'static str,
    before: Option<&'static str>,
    after: Option<&'static str>,
    headline: &'a str,
    about: &'a [String],
    note: Option<&'a str>,
    at: Option<Place>,
    causes: &'a [usize],
}

#[derive(Serialize)]
struct Line<'a> {
    item: &'a str,
    name: &'a str,
    word: &'a str,
    shared: bool,
    before: Option<Side<'a>>,
    after: Option<Side<'a>>,
}

#[derive(Serialize)]
struct Side<'a> {
    text: &'a str,
    at: Place,
}

#[derive(Serialize)]
struct Group<'a> {
    weight: &'static str,
    headline: &'a str,
    changes: &'a [usize],
    causes: &'a [usize],
}

#[derive(Serialize)]
struct Retest<'a> {
    kind: &'static str,
    thing: String,
    what: &'static str,
    because: &'a [usize],
}

#[derive(Serialize)]
struct Kept {
    kind: &'static str,
    what: &'static str,
    things: Vec<String>,
    why: &'static str,
}

#[derive(Serialize)]
struct Unknown<'a> {
    side: &'static str,
    why: &'a str,
    figures: usize,
}

#[derive(Serialize)]
struct Shared<'a> {
    item: &'a str,
    name: &'a str,
    lines: Vec<Line<'a>>,
    touches: Vec<Touched<'a>>,
    unmoved: &'a [usize],
}

#[derive(Serialize)]
struct Touched<'a> {
    site: usize,
    breaks: bool,
    groups: &'a [usize],
    findings: &'a [usize],
}

pub(super) fn report(
    portfolio: &Portfolio,
    names: &Names,
    options: Options,
) -> io::Result<Vec<u8>> {
    let day = options.today;
    let document = Document {
        schema: SCHEMA,
        tool: Tool::own(),
        old: &names.old,
        new: &names.new,
        date: format!("{:04}-{:02}-{:02}", day.year, day.month, day.day),
        gravest: portfolio.gravest().map(curtilage_change::Weight::word),
        sites: portfolio.sites.iter().map(site).collect(),
        shared: portfolio
            .shared
            .iter()
            .map(|shared| Shared {
                item: &shared.item,
                name: &shared.name,
                lines: shared.lines.iter().map(line).collect(),
                touches: shared
                    .touches
                    .iter()
                    .map(|touched| Touched {
                        site: touched.site,
                        breaks: touched.breaks,
                        groups: &touched.groups,
                        findings: &touched.findings,
                    })
                    .collect(),
                unmoved: &shared.unmoved,
            })
            .collect(),
        added: named(&portfolio.added),
        removed: named(&portfolio.removed),
        untouched: portfolio.untouched,
        notes: &portfolio.notes,
    };
    let mut out = serde_json::to_vec_pretty(&document).map_err(io::Error::other)?;
    out.push(b'\n');
    Ok(out)
}

fn named(list: &[(String, String)]) -> Vec<Named<'_>> {
    list.iter().map(|(path, title)| Named { path, title }).collect()
}

fn site(site: &SiteChange) -> Site<'_> {
    Site {
        old_path: site.old_path.as_deref(),
        new_path: site.new_path.as_deref(),
        name: &site.name,
        title: &site.title,
        renames: site
            .renames
            .iter()
            .map(|rename| Rename {
                kind: rename.kind.word(),
                old: &rename.old,
                new: &rename.new,
                at: rename.at.as_ref().map(Place::of),
            })
            .collect(),
        changes: site.changes.iter().map(change).collect(),
        findings: site.findings.iter().map(finding).collect(),
        lines: site.lines.iter().map(line).collect(),
        groups: site
            .groups
            .iter()
            .map(|group| Group {
                weight: group.weight.word(),
                headline: &group.headline,
                changes: &group.members,
                causes: &group.causes,
            })
            .collect(),
        repeat: site
            .tests
            .repeat
            .iter()
            .map(|test| Retest {
                kind: test.thing.kind.word(),
                thing: test.thing.name.bare(),
                what: test.what,
                because: &test.because,
            })
            .collect(),
        keep: site
            .tests
            .kept
            .iter()
            .map(|kept| Kept {
                kind: kept.kind.word(),
                what: kept.what,
                things: kept.things.iter().map(curtilage_change::Words::bare).collect(),
                why: kept.why,
            })
            .collect(),
        unknown: site
            .unknown
            .iter()
            .map(|unknown| Unknown {
                side: if unknown.before { "before" } else { "after" },
                why: &unknown.why,
                figures: unknown.figures,
            })
            .collect(),
    }
}

fn change(change: &Change) -> ChangeOf {
    let told = |told: &Told| {
        figure(&told.thing, change.aspect.word(), &told.detail, &told.value, told.at.as_ref())
    };
    ChangeOf {
        weight: change.weight.word(),
        says: change.sentence(),
        before: change.before.as_ref().map(told),
        after: change.after.as_ref().map(told),
        hours: change.hours.as_ref().map(hours),
        causes: change.causes.clone(),
    }
}

fn hours(hours: &HoursChange) -> Hours {
    let sign = |cell: &Cell| match cell {
        Cell::Never => '.',
        Cell::Kept => '=',
        Cell::Gone => '-',
        Cell::New => '+',
    };
    let strip = hours.strip.as_ref().map(|strip| {
        let days = strip.days.iter();
        days.map(|(_, cells)| cells.iter().map(sign).collect::<String>()).collect()
    });
    Hours {
        gone: hours.gone,
        week_minutes: hours.week_minutes,
        week: hours.week.clone(),
        dated_minutes: hours.dated_minutes,
        dates: hours.dates.clone(),
        strip,
    }
}

fn finding(finding: &FindingChange) -> Finding<'_> {
    Finding {
        rule: finding.rule,
        weight: finding.weight.word(),
        before: finding.before.map(curtilage_diagnostic::Level::word),
        after: finding.after.map(curtilage_diagnostic::Level::word),
        headline: &finding.headline,
        about: &finding.about,
        note: finding.note.as_deref(),
        at: finding.at.as_ref().map(Place::of),
        causes: &finding.causes,
    }
}

fn line(line: &LineChange) -> Line<'_> {
    fn side(line: &curtilage_change::Line) -> Side<'_> {
        Side { text: &line.text, at: Place::of(&line.spot) }
    }
    Line {
        item: &line.item,
        name: &line.name,
        word: &line.word,
        shared: line.shared,
        before: line.before.as_ref().map(side),
        after: line.after.as_ref().map(side),
    }
}
