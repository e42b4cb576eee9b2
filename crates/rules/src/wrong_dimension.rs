//! A quantity of the wrong kind, without a unit, or with one that is not known.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Fix, Level};
use curtilage_facts::Facts;
use curtilage_syntax::FaultKind;
use curtilage_text::Place;
use curtilage_units::Dimension;

pub(crate) static RULE: Rule = Rule {
    name: "wrong-dimension",
    family: Family::Text,
    level: Level::Error,
    about: "a quantity is of the wrong kind, or has no unit",
    page: include_str!("wrong_dimension.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(root) = facts.model.root() else { return };
    for fault in &root.parsed.faults {
        let at = Place::new(root.file, fault.span);
        let written = fault.span.of(&root.text);
        let finding = match &fault.kind {
            FaultKind::WrongDimension { wanted, found } => RULE
                .finds(
                    format!("`{written}` is {}, {} is wanted here", found.words(), wanted.words()),
                    at,
                    found.words(),
                )
                .with_help(match written.strip_suffix(" m") {
                    Some(number) if *wanted == Dimension::Time => format!("did you mean `{number} min`?"),
                    _ => format!("write {}, such as `{}`", wanted.words(), wanted.example()),
                }),
            FaultKind::NoUnit { wanted } => RULE
                .finds(
                    format!("`{written}` has no unit, {} is wanted here", wanted.words()),
                    at,
                    "no unit",
                )
                .with_why(
                    "a bare number means one thing to the one who wrote it and another to the one who reads it",
                )
                .with_help(format!("write {}, such as `{}`", wanted.words(), wanted.example())),
            FaultKind::UnknownUnit { word, nearest, wanted } => {
                let finding = RULE.finds(
                    format!("`{word}` is no unit, {} is wanted here", wanted.words()),
                    at,
                    "not a unit",
                );
                match nearest {
                    // `MOHM` is as near to `Mohm` as to `mohm`, a thousand million times apart.
                    Some(_) if word.eq_ignore_ascii_case("mohm") => {
                        finding.with_help("did you mean `Mohm` or `mohm`? capital letters count")
                    }
                    Some(near) => {
                        let number = written.strip_suffix(word.as_str()).unwrap_or("").trim_end();
                        finding
                            .with_help(format!("did you mean `{near}`? capital letters count"))
                            .with_fix(Fix::one(
                                format!("write `{near}`"),
                                at,
                                format!("{number} {near}"),
                                false,
                            ))
                    }
                    None => finding.with_help(format!(
                        "write {}, such as `{}`",
                        wanted.words(),
                        wanted.example()
                    )),
                }
            }
            _ => continue,
        };
        out.push(finding);
    }
}
