//! Findings for programs. The schema is `docs/schema/findings-1.json`; its number rises when a
//! reader of the old one would misread the new.

use crate::report::Report;
use curtilage_diagnostic::{Diagnostic, Label, Step};
use curtilage_project::Checked;
use curtilage_text::Place;
use serde::Serialize;
use std::io;

/// The number of the schema.
const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    tool: Tool,
    files: usize,
    findings: Vec<Finding<'a>>,
    unreadable: Vec<Problem<'a>>,
}

#[derive(Serialize)]
struct Tool {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct Problem<'a> {
    path: &'a str,
    why: &'a str,
}

#[derive(Serialize)]
struct Finding<'a> {
    rule: &'a str,
    level: &'static str,
    headline: &'a str,
    at: Spot<'a>,
    others: Vec<Spot<'a>>,
    why: Option<&'a str>,
    help: &'a [String],
    about: &'a [String],
    working: Vec<Working<'a>>,
    fixes: Vec<Mend<'a>>,
}

#[derive(Serialize)]
struct Spot<'a> {
    #[serde(flatten)]
    place: Range<'a>,
    text: &'a str,
}

/// Lines and columns count from 1, columns in characters; offsets count bytes from 0.
#[derive(Serialize)]
struct Range<'a> {
    path: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    offset: u32,
    end_offset: u32,
}

#[derive(Serialize)]
struct Working<'a> {
    what: &'a str,
    formula: &'a str,
    inputs: Vec<Input<'a>>,
    result: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
struct Input<'a> {
    name: &'a str,
    value: &'a str,
    at: Option<Range<'a>>,
}

#[derive(Serialize)]
struct Mend<'a> {
    title: &'a str,
    safe: bool,
    edits: Vec<Spot<'a>>,
}

/// The document of a check.
pub(crate) fn report(report: &Report) -> io::Result<Vec<u8>> {
    let findings = report.runs.iter().flat_map(|run| {
        let checked = &run.checked;
        checked.findings.iter().map(move |finding| one(checked, finding))
    });
    let document = Document {
        schema: SCHEMA,
        tool: Tool { name: "curtilage", version: env!("CARGO_PKG_VERSION") },
        files: report.files(),
        findings: findings.collect(),
        unreadable: report
            .unreadable
            .iter()
            .map(|problem| Problem { path: &problem.path, why: &problem.why })
            .collect(),
    };
    let mut out = serde_json::to_vec_pretty(&document).map_err(io::Error::other)?;
    out.push(b'\n');
    Ok(out)
}

fn one<'a>(run: &'a Checked, finding: &'a Diagnostic) -> Finding<'a> {
    let spot = |label: &'a Label| Spot { place: range(run, label.at), text: &label.text };
    Finding {
        rule: finding.rule,
        level: finding.level.word(),
        headline: &finding.headline,
        at: spot(&finding.at),
        others: finding.others.iter().map(spot).collect(),
        why: finding.why.as_deref(),
        help: &finding.help,
        about: &finding.about,
        working: finding.working.iter().map(|step| working(run, step)).collect(),
        fixes: finding
            .fixes
            .iter()
            .map(|fix| Mend {
                title: &fix.title,
                safe: fix.safe,
                edits: fix
                    .edits
                    .iter()
                    .map(|edit| Spot { place: range(run, edit.at), text: &edit.text })
                    .collect(),
            })
            .collect(),
    }
}

fn working<'a>(run: &'a Checked, step: &'a Step) -> Working<'a> {
    Working {
        what: &step.what,
        formula: &step.formula,
        inputs: step
            .inputs
            .iter()
            .map(|input| Input {
                name: &input.name,
                value: &input.value,
                at: input.at.map(|at| range(run, at)),
            })
            .collect(),
        result: &step.result,
        source: &step.source,
    }
}

fn range(run: &Checked, at: Place) -> Range<'_> {
    let Some(source) = run.sources.get(&at.file) else {
        let (line, column) = (1, 1);
        let (end_line, end_column, offset, end_offset) = (1, 1, 0, 0);
        return Range { path: "", line, column, end_line, end_column, offset, end_offset };
    };
    let start = source.lines().position_chars(&source.text, at.span.start);
    let end = source.lines().position_chars(&source.text, at.span.end);
    Range {
        path: &source.path,
        line: start.line + 1,
        column: start.column + 1,
        end_line: end.line + 1,
        end_column: end.column + 1,
        offset: at.span.start,
        end_offset: at.span.end,
    }
}
