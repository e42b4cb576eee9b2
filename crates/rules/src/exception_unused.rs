//! An exception that excepts nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Fix, Level};
use curtilage_facts::Facts;
use curtilage_model::Allow;

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

pub(crate) fn finding(allow: &Allow<'_>) -> Diagnostic {
    let rule = allow.rule.text;
    let headline = match allow.on {
        Some(on) => format!("there is no `{rule}` on `{}` to except", on.text),
        None => format!("there is no `{rule}` to except"),
    };
    RULE.finds(headline, allow.line, "excepts nothing")
        .with_why("the fault is mended, or it is not the fault that was meant")
        .with_help("take the line out")
        .with_fix(Fix::one("take the exception out", allow.line, "", true))
}
