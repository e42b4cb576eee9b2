//! An exception whose last day is past.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_model::Allow;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "exception-expired",
    family: Family::Text,
    level: Level::Warning,
    about: "an exception's last day is past",
    page: include_str!("exception_expired.md"),
    from_absence: false,
    // Exceptions are looked at once all findings are known.
    check: |_: &Facts<'_, '_>, _: &mut Findings| {},
};

pub(crate) fn finding(facts: &Facts<'_, '_>, allow: &Allow<'_>) -> Diagnostic {
    let at = Place::new(allow.line.file, allow.until.span);
    let rule = allow.rule.text;
    RULE.finds(
        format!("the exception to `{rule}` ended on {}", facts.model.text(at)),
        at,
        "its last day is past",
    )
    .with_other(allow.rule.at, "no longer excepted")
    .with_why(format!("the reason was \"{}\"", allow.because))
    .with_help("mend what it excepted, or set a new date with a new reason")
}
