//! The code-quality report of merge requests: a JSON list with a description, a name of the check, a
//! fingerprint, a severity and a place. The forge compares two reports by their fingerprints.
//!
//! Source: the forge's page on code quality, "code quality report format".

use crate::lines::one_line;
use crate::report::Report;
use curtilage_diagnostic::Level;
use serde::Serialize;
use std::io;

#[derive(Serialize)]
struct Issue {
    description: String,
    check_name: &'static str,
    fingerprint: String,
    severity: &'static str,
    location: Location,
}

#[derive(Serialize)]
struct Location {
    path: String,
    lines: Lines,
}

#[derive(Serialize)]
struct Lines {
    begin: u32,
    end: u32,
}

/// The report of a check.
pub(crate) fn report(report: &Report) -> io::Result<Vec<u8>> {
    let issues = report.runs.iter().flat_map(|run| {
        run.findings().map(move |(finding, mark)| {
            let at = run.region(finding.at.at);
            Issue {
                description: one_line(&finding.headline),
                check_name: finding.rule,
                fingerprint: run.fingerprint(finding, mark),
                severity: match finding.level {
                    Level::Error => "critical",
                    Level::Warning => "major",
                    Level::Hint => "info",
                },
                location: Location {
                    path: at.path,
                    lines: Lines { begin: at.line, end: at.end_line },
                },
            }
        })
    });
    let mut out =
        serde_json::to_vec_pretty(&issues.collect::<Vec<_>>()).map_err(io::Error::other)?;
    out.push(b'\n');
    Ok(out)
}
