//! The open findings: what has to be mended before anybody works from these papers.

use crate::table::{Cell, Table, cells};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_text::Place;

/// `examples/sites/museum.site, line 12`
pub(crate) fn place(facts: &Facts<'_, '_>, at: Place) -> String {
    let source = facts.model.sources().iter().find(|source| source.file == at.file);
    source.map_or_else(String::new, |source| {
        let line = source.lines().position(at.span.start).line + 1;
        format!("{}, line {line}", source.path)
    })
}

pub(crate) fn table(facts: &Facts<'_, '_>, findings: &[Diagnostic]) -> Table {
    let head = ["level", "finding", "where", "do", "rule"];
    let mut table = Table::new("findings", "Open findings", &head);
    if findings.is_empty() {
        table.note("none: nothing was found when these papers were made");
    }
    // The gravest first; within a level they stand in the order of the file.
    for level in [Level::Error, Level::Warning, Level::Hint] {
        for finding in findings.iter().filter(|finding| finding.level == level) {
            let help = finding.help.join("; or ");
            let headline = match level {
                Level::Error => Cell::hole(&finding.headline),
                _ => Cell::from(&finding.headline),
            };
            table.row(cells![
                level.word(),
                headline,
                place(facts, finding.at.at),
                help,
                finding.rule
            ]);
        }
    }
    table
}

/// How each figure of the findings came about.
pub(crate) fn working(findings: &[Diagnostic]) -> Vec<Table> {
    let with = findings.iter().filter(|finding| !finding.working.is_empty());
    with.enumerate()
        .map(|(number, finding)| {
            let id = format!("finding-{}", number + 1);
            working_table(id, finding.headline.clone(), &finding.working)
        })
        .collect()
}

/// Steps of a calculation as a table; a step that stands there already is not repeated.
pub(crate) fn working_table(
    id: impl Into<String>,
    title: impl Into<String>,
    steps: &[curtilage_diagnostic::Step],
) -> Table {
    let head = ["what", "formula", "with", "gives", "source"];
    let mut table = Table::new(id, title, &head);
    let mut seen: Vec<&curtilage_diagnostic::Step> = Vec::new();
    for step in steps {
        if seen.contains(&step) {
            continue;
        }
        seen.push(step);
        let inputs = step.inputs.iter().map(|input| format!("{}: {}", input.name, input.value));
        let inputs: Vec<String> = inputs.collect();
        table.row(cells![&step.what, &step.formula, inputs.join("; "), &step.result, &step.source]);
    }
    table
}
