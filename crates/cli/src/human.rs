//! Findings for people, drawn on the source by ariadne.

use ariadne::{Cache, Color, Config, IndexType, Report, ReportKind, Source};
use curtilage_diagnostic::{Diagnostic, Label, Level, Step};
use curtilage_project::Checked;
use curtilage_text::{FileId, Place};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::io::{self, Write};
use std::ops::Range;

/// The report of some runs.
pub(crate) fn report(runs: &[Checked], working: bool, color: bool) -> io::Result<Vec<u8>> {
    let mut out = Vec::new();
    for run in runs {
        let mut sources = Sources { run, texts: HashMap::new() };
        for finding in &run.findings {
            one(&mut sources, finding, working, color, &mut out)?;
        }
    }
    let all = || runs.iter().flat_map(|run| &run.findings);
    let files: usize = runs.iter().map(|run| run.files).sum();
    let checked = if files == 1 { "1 file checked".to_owned() } else { format!("{files} files checked") };
    let count = |level| all().filter(|finding| finding.level == level).count();
    let mut parts = Vec::new();
    for level in [Level::Error, Level::Warning, Level::Hint] {
        match count(level) {
            0 => {}
            1 => parts.push(format!("1 {}", level.word())),
            many => parts.push(format!("{many} {}s", level.word())),
        }
    }
    let found = if parts.is_empty() { "nothing found".to_owned() } else { parts.join(", ") };
    writeln!(out, "{checked}: {found}")?;
    Ok(out)
}

/// The colours are those of a traffic sign: what must stop, what to heed, what to know.
fn paint(level: Level) -> Color {
    match level {
        Level::Error => Color::Red,
        Level::Warning => Color::Yellow,
        Level::Hint => Color::Cyan,
    }
}

type Spot = (FileId, Range<usize>);

fn spot(at: Place) -> Spot {
    (at.file, at.span.start as usize..at.span.end as usize)
}

fn one(
    sources: &mut Sources<'_>,
    finding: &Diagnostic,
    working: bool,
    color: bool,
    out: &mut Vec<u8>,
) -> io::Result<()> {
    let config = Config::default().with_index_type(IndexType::Byte).with_color(color);
    let paint = paint(finding.level);
    let kind = ReportKind::Custom(finding.level.word(), paint);
    let label = |label: &Label, color: Color| {
        ariadne::Label::new(spot(label.at)).with_message(&label.text).with_color(color)
    };
    let mut report = Report::build(kind, spot(finding.at.at))
        .with_config(config)
        .with_message(&finding.headline)
        .with_label(label(&finding.at, paint).with_priority(1));
    for other in &finding.others {
        report = report.with_label(label(other, Color::Blue));
    }
    if let Some(why) = &finding.why {
        report = report.with_note(why);
    }
    for help in &finding.help {
        report = report.with_help(help);
    }
    report.finish().write(&mut *sources, &mut *out)?;
    if working {
        for step in &finding.working {
            out.extend_from_slice(steps(step).as_bytes());
        }
    }
    writeln!(out, "    rule {}\n", finding.rule)
}

/// One step of a calculation, as people write it down.
fn steps(step: &Step) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "    working: {}", step.what);
    let _ = writeln!(out, "        {}", step.formula);
    for input in &step.inputs {
        let _ = writeln!(out, "        {}: {}", input.name, input.value);
    }
    let _ = writeln!(out, "        = {}    ({})", step.result, step.source);
    out
}

/// The texts as ariadne wants them, each split into lines once.
struct Sources<'a> {
    run: &'a Checked,
    texts: HashMap<FileId, Source<&'a str>>,
}

impl<'a> Cache<FileId> for &mut Sources<'a> {
    type Storage = &'a str;

    fn fetch(&mut self, id: &FileId) -> Result<&Source<&'a str>, impl std::fmt::Debug> {
        let run = self.run;
        let text = run.sources.get(id).map_or("", |source| source.text.as_str());
        Ok::<_, std::convert::Infallible>(
            self.texts.entry(*id).or_insert_with(|| Source::from(text)),
        )
    }

    fn display<'b>(&self, id: &'b FileId) -> Option<impl std::fmt::Display + 'b> {
        self.run.sources.get(id).map(|source| source.path.clone())
    }
}
