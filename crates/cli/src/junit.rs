//! JUnit XML, as servers of builds read it: a suite for each file that was checked, in it a case for
//! each finding, or one case that passes. What makes the run fail is a failure; what does not is in
//! the output of a case that passes; what a baseline knows is skipped, and so is a file that no change
//! can have touched; what cannot be read is an error. What `--max` holds back is one case a file, which
//! fails when one of them makes the run fail.
//!
//! Source: `junit-10.xsd` of the xUnit plugin (MIT), against which the tests hold it.

use crate::annotations::words;
use crate::plain::plain;
use crate::report::{Report, Run, count};
use curtilage_diagnostic::Diagnostic;
use std::fmt::Write as _;

#[derive(Clone, Copy, Default)]
struct Tally {
    tests: usize,
    failures: usize,
    errors: usize,
    skipped: usize,
}

impl Tally {
    fn add(&mut self, other: Self) {
        self.tests += other.tests;
        self.failures += other.failures;
        self.errors += other.errors;
        self.skipped += other.skipped;
    }
}

/// The document of a check.
pub(crate) fn report(report: &Report) -> Vec<u8> {
    let mut all = Tally::default();
    let mut suites = String::new();
    for run in &report.runs {
        for shown in &run.checked.paths {
            if report.unreadable.iter().any(|problem| problem.path == *shown) {
                continue;
            }
            all.add(file(report, run, shown, &mut suites));
        }
    }
    all.add(untouched(report, &mut suites));
    for problem in &report.unreadable {
        let tally = Tally { tests: 1, errors: 1, ..Tally::default() };
        let path = escape(&problem.path);
        open_suite(&mut suites, &path, tally);
        let why = escape(&problem.why);
        let _ = writeln!(
            suites,
            "    <testcase name=\"readable\" classname=\"{path}\" time=\"0\">\n      \
             <error type=\"unreadable\" message=\"{why}\">{why}</error>\n    </testcase>\n  </testsuite>"
        );
        all.add(tally);
    }
    let Tally { tests, failures, errors, .. } = all;
    let head = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"curtilage\" tests=\"{tests}\" \
         failures=\"{failures}\" errors=\"{errors}\" time=\"0\">\n"
    );
    (head + &suites + "</testsuites>\n").into_bytes()
}

fn open_suite(out: &mut String, path: &str, tally: Tally) {
    let Tally { tests, failures, errors, skipped } = tally;
    let _ = writeln!(
        out,
        "  <testsuite name=\"{path}\" tests=\"{tests}\" failures=\"{failures}\" \
         errors=\"{errors}\" skipped=\"{skipped}\" time=\"0\" file=\"{path}\">"
    );
}

/// One suite for all files that were left out. Without it a change that touches no site would give
/// a report without a case, which some servers take for a run that broke.
fn untouched(report: &Report, out: &mut String) -> Tally {
    let files: Vec<String> = report
        .runs
        .iter()
        .flat_map(|run| run.untouched.iter().map(|shown| escape(&run.path(shown))))
        .collect();
    let count = files.len();
    if count == 0 {
        return Tally::default();
    }
    let tally = Tally { tests: count, skipped: count, ..Tally::default() };
    let since = escape(report.since.as_deref().unwrap_or_default());
    let _ = writeln!(
        out,
        "  <testsuite name=\"untouched since {since}\" tests=\"{count}\" failures=\"0\" \
         errors=\"0\" skipped=\"{count}\" time=\"0\">"
    );
    for path in files {
        let _ = writeln!(
            out,
            "    <testcase name=\"untouched\" classname=\"{path}\" time=\"0\">\n      \
             <skipped message=\"no change since {since} can affect it\"/>\n    </testcase>"
        );
    }
    out.push_str("  </testsuite>\n");
    tally
}

/// The suite of one file.
fn file(report: &Report, run: &Run, shown: &str, out: &mut String) -> Tally {
    let mut tally = Tally::default();
    let mut cases = String::new();
    let path = escape(&run.path(shown));
    let mut case = |finding: &Diagnostic, body: &str| {
        let at = run.region(finding.at.at);
        let name = format!("{} at {}:{}", finding.rule, at.line, at.column);
        let _ = writeln!(
            cases,
            "    <testcase name=\"{}\" classname=\"{path}\" time=\"0\">\n      {body}\n    </testcase>",
            escape(&name)
        );
    };
    for finding in run.checked.findings.iter().filter(|finding| run.file(finding) == shown) {
        let at = run.region(finding.at.at);
        let text = format!("{}:{}:{}\n{}", at.path, at.line, at.column, words(finding));
        let text = escape(&text);
        tally.tests += 1;
        if finding.level >= report.bar {
            tally.failures += 1;
            let (level, message) = (finding.level.word(), escape(&finding.headline));
            case(
                finding,
                &format!("<failure type=\"{level}\" message=\"{message}\">{text}</failure>"),
            );
        } else {
            case(finding, &format!("<system-out>{text}</system-out>"));
        }
    }
    for known in run.known.iter().filter(|known| run.file(&known.finding) == shown) {
        tally.tests += 1;
        tally.skipped += 1;
        let message = escape(&format!("known: {}", known.finding.headline));
        case(&known.finding, &format!("<skipped message=\"{message}\"/>"));
    }
    let held_back = run.held_back.iter().filter(|finding| run.file(finding) == shown);
    let (fail, pass): (Vec<_>, Vec<_>) = held_back.partition(|one| one.level >= report.bar);
    if !fail.is_empty() || !pass.is_empty() {
        tally.tests += 1;
        tally.failures += usize::from(!fail.is_empty());
        let more = count(fail.len() + pass.len(), "more finding");
        let told = format!("held back by --max, {} of which make the run fail", fail.len());
        let body = if fail.is_empty() {
            "<system-out>held back by --max</system-out>".to_owned()
        } else {
            format!("<failure type=\"not printed\" message=\"{told}\">{told}</failure>")
        };
        let _ = writeln!(
            cases,
            "    <testcase name=\"{more}\" classname=\"{path}\" time=\"0\">\n      {body}\n    </testcase>"
        );
    }
    if tally.tests == 0 {
        tally.tests = 1;
        let _ = writeln!(
            cases,
            "    <testcase name=\"nothing found\" classname=\"{path}\" time=\"0\"/>"
        );
    }
    open_suite(out, &path, tally);
    out.push_str(&cases);
    out.push_str("  </testsuite>\n");
    tally
}

/// Text for XML 1.0, inside an element or an attribute in double quotes. What XML cannot hold (2.2,
/// Char) is shown as a sign; a line end in an attribute is kept as a reference (3.3.3).
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in plain(text).chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("&#10;"),
            '\r' => out.push_str("&#13;"),
            '\t' => out.push_str("&#9;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::escape;

    #[test]
    fn user_text_stays_text() {
        assert_eq!(
            escape("]]><a b=\"c\">&\n\u{0}\u{ffff}"),
            "]]&gt;&lt;a b=&quot;c&quot;&gt;&amp;&#10;?\u{fffd}"
        );
    }
}
