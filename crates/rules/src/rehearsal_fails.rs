//! A rehearsal that comes out otherwise than expected, or that means nothing.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_facts::events::{Outcome, Rehearsed, Show, Unplayed};
use curtilage_model::{Rehearsal, StoryThing};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "rehearsal-fails",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a rehearsal comes out otherwise than expected",
    page: include_str!("rehearsal_fails.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (rehearsal, rehearsed) in facts.model.rehearsals.iter().zip(facts.rehearsed()) {
        match &rehearsed.played {
            Ok(_) => fails(facts, rehearsal, rehearsed, out),
            Err(Unplayed::Senseless(found)) => {
                let at = Place::new(rehearsal.file, found.at);
                let headline = format!("this line of a rehearsal means nothing: {}", found.why);
                let finding = RULE.finds(headline, at, "cannot be played");
                out.push(named(facts, rehearsal, None, finding));
            }
            // What is not known is told where it is missing.
            Err(Unplayed::NotKnown(_)) => {}
        }
    }
}

fn fails(
    facts: &Facts<'_, '_>,
    rehearsal: &Rehearsal<'_>,
    rehearsed: &Rehearsed,
    out: &mut Findings,
) {
    let Ok(played) = &rehearsed.played else { return };
    let lines = rehearsal.tree.expectations.iter().zip(&rehearsed.outcomes);
    for (index, (expectation, outcome)) in lines.enumerate() {
        let Outcome::Fails { instead, why } = outcome else { continue };
        let at = Place::new(rehearsal.file, expectation.line);
        let mut finding = RULE.finds(instead, at, format!("expected in \"{}\"", rehearsal.title));
        let drawing = rehearsed.drawing(facts.model, rehearsal, Show::Expectation(index));
        let drawing = drawing.map(|drawing| drawing.text(played));
        let why: Vec<String> = why.iter().cloned().chain(drawing).collect();
        finding = finding.with_why(why.join("\n"));
        out.push(named(facts, rehearsal, rehearsal.expectations.get(index).copied(), finding));
    }
}

/// Names the things of the story, that of the expectation first.
fn named(
    facts: &Facts<'_, '_>,
    rehearsal: &Rehearsal<'_>,
    first: Option<Option<StoryThing>>,
    mut finding: Diagnostic,
) -> Diagnostic {
    let things = first.into_iter().chain(rehearsal.acts.iter().copied()).flatten();
    for thing in things {
        let name = thing_name(facts, thing);
        if !finding.about.iter().any(|known| known == name) {
            finding = finding.with_about(name);
        }
    }
    finding
}

fn thing_name<'a>(facts: &Facts<'_, 'a>, thing: StoryThing) -> &'a str {
    let model = facts.model;
    match thing {
        StoryThing::Zone(id) => model.zone(id).map_or("", |one| one.name.text),
        StoryThing::Output(id) => model.output(id).map_or("", |one| one.name.text),
        StoryThing::Camera(id) => model.camera(id).map_or("", |one| one.name.text),
        StoryThing::Supply(id) => model.supply(id).map_or("", |one| one.name.text),
        StoryThing::People(index) => {
            let person = model.site.as_ref().and_then(|site| site.people.get(index));
            person.map_or("", |person| person.name.text)
        }
    }
}
