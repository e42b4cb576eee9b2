//! An exception that excepts nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::Allow;
use curtilage_text::{Place, Span};

pub(crate) static RULE: Rule = Rule {
    name: "exception-unused",
    family: Family::Text,
    level: Level::Hint,
    about: "an exception excepts nothing",
    page: include_str!("exception_unused.md"),
    from_absence: true,
    // Exceptions are looked at once all findings are known.
    check: |_: &Facts<'_, '_>, _: &mut Findings| {},
};

pub(crate) fn finding(facts: &Facts<'_, '_>, allow: &Allow<'_>) -> Diagnostic {
    let rule = allow.rule.text;
    let headline = match allow.on {
        Some(on) => format!("there is no `{rule}` on `{}` to except", on.text),
        None => format!("there is no `{rule}` to except"),
    };
    let (why, help) = match facts.model.site {
        Some(_) => {
            ("the fault is mended, or it is not the fault that was meant", "take the line out")
        }
        None => (
            "an exception counts in the file in which it stands: the sites that use this one are told all the same",
            "put the line into the site that it is for, or take it out",
        ),
    };
    RULE.finds(headline, allow.line, "excepts nothing")
        .with_why(why)
        .with_help(help)
        .with_fix(Fix::one("take the exception out", whole(facts, allow.line), "", true))
}

/// The lines of a statement with their end and with what is noted behind it, where nothing else stands on
/// them.
fn whole(facts: &Facts<'_, '_>, line: Place) -> Place {
    let source = facts.model.sources().iter().find(|source| source.file == line.file);
    let around = source.and_then(|source| {
        let before = source.text.get(..line.span.start as usize)?;
        let behind = source.text.get(line.span.end as usize..)?;
        let start = before.trim_end_matches([' ', '\t']);
        let noted = behind.trim_start_matches([' ', '\t']);
        let rest = match noted.starts_with('#') {
            true => noted.trim_start_matches(|c| !matches!(c, '\n' | '\r')),
            false => noted,
        };
        let end = ["\r\n", "\n"].iter().find(|end| rest.starts_with(**end));
        let end = behind.len() - rest.len() + end.map_or(0, |end| end.len());
        let alone = start.is_empty() || start.ends_with('\n');
        let ends = rest.is_empty() || rest.starts_with(['\n', '\r']);
        (alone && ends).then(|| (start.len(), line.span.end as usize + end))
    });
    let offset = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    around.map_or(line, |(start, end)| Place::new(line.file, Span::new(offset(start), offset(end))))
}
