//! Findings for people, drawn on the source by ariadne.

use crate::lines::one_line;
use crate::plain::{plain, plain_source};
use ariadne::{Cache, Color, Config, Fmt, IndexType, Report, ReportKind, Source};
use curtilage_diagnostic::{Diagnostic, Label, Level, Step};
use curtilage_project::Checked;
use curtilage_text::{FileId, Place};
use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::io::{self, Write};
use std::ops::Range;

/// The findings of a check, then what they come to.
pub(crate) fn report(
    report: &crate::report::Report,
    working: bool,
    color: bool,
) -> io::Result<Vec<u8>> {
    let mut out = Vec::new();
    for run in &report.runs {
        let mut sources = Sources { run: &run.checked, texts: HashMap::new() };
        for finding in &run.checked.findings {
            one(&mut sources, finding, working, color, &mut out)?;
        }
    }
    if !report.quiet {
        writeln!(out, "{}", report.summary())?;
    }
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

/// A place as ariadne can draw it: on character boundaries, without a line break at its end (it
/// would look for the column in the text of the line), and not behind the last line.
fn spot(run: &Checked, at: Place) -> Spot {
    let text = run.sources.get(&at.file).map_or("", |source| source.text.as_str());
    let end = text.floor_char_boundary(at.span.end as usize);
    let mut start = text.floor_char_boundary((at.span.start as usize).min(end));
    let shown = text.get(start..end).unwrap_or_default();
    let mut end = start + shown.trim_end_matches(BREAKS).len();
    let last = text.trim_end_matches(BREAKS).len();
    if start > last {
        start = text.floor_char_boundary(last.saturating_sub(1));
        end = last;
    }
    (at.file, start..end)
}

/// What ariadne takes for line ends.
const BREAKS: &[char] = &['\n', '\r', '\u{b}', '\u{c}', '\u{85}', '\u{2028}', '\u{2029}'];

/// A line with more bytes is not drawn: nobody would find the place in it.
const LONGEST: usize = 2_000;

/// Whether a place begins or ends on a line that is too long to be drawn.
fn is_long(run: &Checked, at: Place) -> bool {
    let bytes = run.sources.get(&at.file).map_or(&[][..], |source| source.text.as_bytes());
    let part = |from: usize, to: usize| bytes.get(from.min(bytes.len())..to.min(bytes.len()));
    [at.span.start, at.span.end].into_iter().any(|at| {
        let at = at as usize;
        let before = part(at.saturating_sub(LONGEST), at).unwrap_or_default();
        let after = part(at, at.saturating_add(LONGEST)).unwrap_or_default();
        let is_break = |byte: &u8| *byte == b'\n' || *byte == b'\r';
        let back = before.iter().rev().position(is_break).unwrap_or(before.len());
        let on = after.iter().position(is_break).unwrap_or(after.len());
        back + on >= LONGEST
    })
}

/// Where a place begins: path, line and column.
fn place(run: &Checked, at: Place) -> String {
    let Some(source) = run.sources.get(&at.file) else { return String::new() };
    let start = source.lines().position_chars(&source.text, at.span.start);
    format!("{}:{}:{}", one_line(&source.path), start.line + 1, start.column + 1)
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
    let run = sources.run;
    let label = |label: &Label, color: Color| {
        let spot = spot(run, label.at);
        ariadne::Label::new(spot).with_message(plain(&label.text)).with_color(color)
    };
    let main = &finding.at;
    let mut report = Report::build(ReportKind::Advice, spot(run, main.at)).with_config(config);
    // The file of the finding first, each file in one piece and from its top to its end.
    let mut labels: Vec<(&Label, Color)> = vec![(main, paint)];
    labels.extend(finding.others.iter().map(|other| (other, Color::Blue)));
    labels.sort_by_key(|(label, _)| (label.at.file != main.at.file, label.at));
    for (one, color) in &labels {
        report = report.with_label(label(one, *color));
    }
    // The first line is ours: ariadne has words and colours of its own for it.
    let word = finding.level.word();
    if color {
        writeln!(out, "{}: {}", word.fg(paint), plain(&finding.headline))?;
    } else {
        writeln!(out, "{word}: {}", plain(&finding.headline))?;
    }
    let mut below = String::new();
    if labels.iter().any(|(label, _)| is_long(run, label.at)) {
        for (label, _) in &labels {
            entry(&mut below, "at", &format!("{}: {}", place(run, label.at), label.text));
        }
    } else {
        let mut drawing = Vec::new();
        report.finish().write(&mut *sources, &mut drawing)?;
        let first = drawing.iter().position(|byte| *byte == b'\n').map_or(0, |end| end + 1);
        out.extend_from_slice(drawing.get(first..).unwrap_or_default());
    }
    if let Some(why) = &finding.why {
        entry(&mut below, "why", why);
    }
    for (index, help) in finding.help.iter().enumerate() {
        entry(&mut below, if index == 0 { "do" } else { "or" }, help);
    }
    if working {
        for step in &finding.working {
            entry(&mut below, "from", &steps(step));
        }
    }
    entry(&mut below, "rule", finding.rule);
    writeln!(out, "{below}")
}

/// One entry below the drawing: a short word, then text whose further lines stand below its first.
fn entry(out: &mut String, word: &str, text: &str) {
    for (index, line) in plain(text).lines().enumerate() {
        let word = if index == 0 { word } else { "" };
        let _ = writeln!(out, "  {word:<5} {line}");
    }
}

/// One step of a calculation, as people write it down.
fn steps(step: &Step) -> String {
    let mut out = format!("{}: {}\n", step.what, step.formula);
    for input in &step.inputs {
        let _ = writeln!(out, "    {}: {}", input.name, input.value);
    }
    let _ = writeln!(out, "    = {}    ({})", step.result, step.source);
    out
}

/// The texts as ariadne wants them, each split into lines once.
struct Sources<'a> {
    run: &'a Checked,
    texts: HashMap<FileId, Source<Cow<'a, str>>>,
}

impl<'a> Cache<FileId> for &mut Sources<'a> {
    type Storage = Cow<'a, str>;

    fn fetch(&mut self, id: &FileId) -> Result<&Source<Cow<'a, str>>, impl std::fmt::Debug> {
        let run = self.run;
        let text = run.sources.get(id).map_or("", |source| source.text.as_str());
        Ok::<_, std::convert::Infallible>(
            self.texts.entry(*id).or_insert_with(|| Source::from(plain_source(text))),
        )
    }

    fn display<'b>(&self, id: &'b FileId) -> Option<impl std::fmt::Display + 'b> {
        self.run.sources.get(id).map(|source| one_line(&source.path))
    }
}
