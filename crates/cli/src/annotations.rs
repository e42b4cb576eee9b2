//! Lines in the log of a job, which two families of forges take for more than text.
//!
//! * *Workflow commands* put a note beside the line of the file: `::error file=F,line=L::TEXT`.
//!   Their escapes: `%`, CR and LF in the text; `:` and `,` as well in a property.
//! * *Sections* fold the log: an escape sequence, `section_start:TIME:NAME`, a carriage return, the
//!   heading. There the notes beside the lines come from the code-quality report instead.
//!
//! Sources: the pages on workflow commands and on job logs of those forges.

use crate::lines::{line, one_line};
use crate::plain::plain;
use crate::report::Report;
use curtilage_diagnostic::{Diagnostic, Level};
use std::fmt::Write as _;

/// The findings as workflow commands.
pub(crate) fn workflow(report: &Report) -> Vec<u8> {
    let mut out = String::new();
    for run in &report.runs {
        for finding in &run.checked.findings {
            let command = match finding.level {
                Level::Error => "error",
                Level::Warning => "warning",
                Level::Hint => "notice",
            };
            let at = run.region(finding.at.at);
            let _ = write!(out, "::{command} file={},line={}", property(&at.path), at.line);
            // Columns are taken only within one line.
            if at.line == at.end_line {
                let _ = write!(out, ",col={},endColumn={}", at.column, at.end_column);
            } else {
                let _ = write!(out, ",endLine={}", at.end_line);
            }
            let _ = writeln!(out, ",title={}::{}", property(finding.rule), data(&words(finding)));
        }
    }
    for problem in &report.unreadable {
        let (path, why) = (property(&problem.path), data(&problem.why));
        let _ = writeln!(out, "::error file={path},title=unreadable::{why}");
    }
    out.into_bytes()
}

/// What is said beside the line: what is wrong, why it matters, what to do.
pub(crate) fn words(finding: &Diagnostic) -> String {
    let mut out = finding.headline.clone();
    if let Some(why) = &finding.why {
        let _ = write!(out, "\nwhy: {why}");
    }
    for (index, help) in finding.help.iter().enumerate() {
        let _ = write!(out, "\n{}: {help}", if index == 0 { "do" } else { "or" });
    }
    out
}

fn data(text: &str) -> String {
    plain(text).replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A")
}

fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

/// The findings by file, each file a section of the log. The times are all zero, so that the same
/// findings give the same text; a section then shows that it took no time.
pub(crate) fn section(report: &Report) -> Vec<u8> {
    let mut out = String::new();
    let mut number = 0;
    for run in &report.runs {
        let mut findings = run.checked.findings.iter().peekable();
        while let Some(first) = findings.next() {
            let file = first.at.at.file;
            let mut of_file = vec![first];
            while let Some(next) = findings.next_if(|next| next.at.at.file == file) {
                of_file.push(next);
            }
            number += 1;
            let heading = one_line(&run.path(run.file(first)));
            let _ = writeln!(
                out,
                "{CLEAR}section_start:0:curtilage_{number}\r{CLEAR}{heading}: {}",
                of_file.len()
            );
            for finding in of_file {
                let _ = writeln!(out, "{}", line(run, finding));
                for line in words(finding).lines().skip(1) {
                    let _ = writeln!(out, "    {}", one_line(line));
                }
            }
            let _ = writeln!(out, "{CLEAR}section_end:0:curtilage_{number}\r{CLEAR}");
        }
    }
    let _ = writeln!(out, "{}", report.summary());
    out.into_bytes()
}

/// Erases the rest of the line; with it a section's mark begins.
const CLEAR: &str = "\u{1b}[0K";

#[cfg(test)]
mod tests {
    use super::{data, property};

    #[test]
    fn user_text_cannot_end_a_command() {
        assert_eq!(data("50 %\r\n::error::x"), "50 %25%0D%0A::error::x");
        assert_eq!(property("a,line=9::b%\n"), "a%2Cline=9%3A%3Ab%25%0A");
        assert_eq!(data("\u{1b}[2J"), "?[2J");
    }
}
