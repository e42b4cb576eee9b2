//! One finding a line, for editors, `grep` and logs: `PATH:LINE:COLUMN: LEVEL: HEADLINE [RULE]`.

use crate::plain::plain;
use crate::report::{Report, Run};
use curtilage_diagnostic::Diagnostic;

/// The lines of a check.
pub(crate) fn report(report: &Report) -> Vec<u8> {
    let mut out = String::new();
    for run in &report.runs {
        for finding in &run.checked.findings {
            out.push_str(&line(run, finding));
            out.push('\n');
        }
    }
    out.into_bytes()
}

/// One finding, on one line whatever its file says.
pub(crate) fn line(run: &Run, finding: &Diagnostic) -> String {
    let at = run.region(finding.at.at);
    let (level, rule) = (finding.level.word(), finding.rule);
    let text =
        format!("{}:{}:{}: {level}: {} [{rule}]", at.path, at.line, at.column, finding.headline);
    one_line(&text)
}

/// Text without line ends and without anything that could move a cursor.
pub(crate) fn one_line(text: &str) -> String {
    plain(text).replace(['\n', '\r', '\t'], " ")
}
