//! Markers: `# <- rule-name` at the end of a line says that a finding of that rule begins on it; a
//! line that is nothing but a marker speaks of the line below.

/// An expected finding.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Expected {
    /// The line, from 1.
    pub line: usize,
    /// The rule.
    pub rule: String,
}

const MARK: &str = "# <- ";

/// The findings that a text's markers expect.
#[must_use]
pub fn expected(text: &str) -> Vec<Expected> {
    let mut out = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let Some((before, rules)) = line.split_once(MARK) else { continue };
        let line = if before.trim().is_empty() { index + 2 } else { index + 1 };
        for rule in rules.split(',') {
            out.push(Expected { line, rule: rule.trim().to_owned() });
        }
    }
    out.sort();
    out
}

/// The text without its markers; lines keep their numbers.
#[must_use]
pub fn unmarked(text: &str) -> String {
    let lines = text.lines().map(|line| match line.split_once(MARK) {
        Some((before, _)) => before.trim_end(),
        None => line,
    });
    let mut out = lines.collect::<Vec<_>>().join("\n");
    out.push('\n');
    out
}
