//! What the name in an exception stands for where a thing, a schedule and a part may have it alike.
//!
//! The exception hides whatever its rule finds about the name, so what the rule finds decides.

use crate::line::first_word;
use crate::mention::{Identity, IdentityOf, Mention, What};
use crate::names::{Names, Scope};
use crate::navigate::whole;
use curtilage_diagnostic::Diagnostic;
use curtilage_model::{Kind, Model, Source};
use curtilage_rules::Rule;
use curtilage_text::Place;

/// What a name in an exception stands for.
pub(crate) enum Meant {
    /// What any name stands for: it is no exception, or one thing alone has the name.
    Plainly,
    /// The one of several that is named here.
    One(Place),
    /// Any of those named here: nothing tells which.
    Any(Vec<Place>),
}

/// What a mention stands for when it is the name in an exception. Only where several things have the
/// name is its rule asked what it finds.
pub(crate) fn meant<'a>(
    model: &Model<'a>,
    names: &Names<'a>,
    source: &Source,
    mention: &Mention<'_>,
    detect: impl FnOnce(&'static Rule) -> Vec<Diagnostic>,
) -> Meant {
    let statement = mention.line.statement;
    if mention.what != What::Thing(Kind::Anything) || first_word(source, statement) != "allow" {
        return Meant::Plainly;
    }
    let scopes = [Scope::Things, Scope::Schedules, Scope::Parts].into_iter();
    let all: Vec<Identity> = scopes
        .filter_map(|scope| names.get(scope, mention.text))
        .map(|found| Identity {
            at: found.at,
            name: found.name.to_owned(),
            kind: found.kind.noun(),
            of: IdentityOf::Thing(found.kind),
        })
        .collect();
    if all.len() < 2 {
        return Meant::Plainly;
    }
    let rule = statement.atoms.get(1).map_or("", |atom| source.text(atom.span));
    let findings = curtilage_rules::rule(rule).map_or_else(Vec::new, detect);
    match decided(model, &all, mention.text, &findings) {
        Some(one) => Meant::One(one),
        None => Meant::Any(all.into_iter().map(|one| one.at).collect()),
    }
}

/// The only one in whose lines the findings about the name stand.
fn decided(
    model: &Model<'_>,
    all: &[Identity],
    name: &str,
    findings: &[Diagnostic],
) -> Option<Place> {
    let mut meant = None;
    for finding in findings {
        let at = finding.at.at;
        let mut within = all.iter().filter(|one| {
            let lines = whole(model, one);
            lines.file == at.file
                && lines.span.start <= at.span.start
                && at.span.end <= lines.span.end
        });
        match (within.next(), within.next()) {
            (Some(one), None) if meant.is_none_or(|meant| meant == one.at) => meant = Some(one.at),
            (None, _) if !finding.about.iter().any(|about| about == name) => {}
            _ => return None,
        }
    }
    meant
}
