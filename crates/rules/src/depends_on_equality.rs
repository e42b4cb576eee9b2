//! A rehearsal that turns on an activation at the very end of a lockout.

use crate::rule::{Family, Findings, Rule};
use crate::words::time;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::Facts;
use curtilage_facts::events::{Played, Show};
use curtilage_model::{Rehearsal, StoryThing, Zone};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "depends-on-equality",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "a rehearsal activates a zone at the very end of its lockout",
    page: include_str!("depends_on_equality.md"),
    from_absence: true,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (rehearsal, rehearsed) in facts.model.rehearsals.iter().zip(facts.rehearsed()) {
        let Ok(played) = &rehearsed.played else { continue };
        let zones = facts.model.zones_by_id().zip(&played.zones);
        for ((id, zone), line) in zones {
            let inside = |at: &&i64| (played.from..played.until).contains(*at);
            let Some(at) = line.equal.iter().find(inside) else { continue };
            let mut finding = find(rehearsal, zone, StoryThing::Zone(id), *at, played);
            if let Some(drawing) = rehearsed.drawing(facts.model, rehearsal, Show::Acts) {
                finding = finding.with_why(format!(
                    "one controller counts an activation at that instant and another does not, so the rehearsal shows nothing\n{}",
                    drawing.text(played)
                ));
            }
            out.push(finding);
        }
    }
}

fn find(
    rehearsal: &Rehearsal<'_>,
    zone: &Zone<'_>,
    thing: StoryThing,
    at: i64,
    played: &Played,
) -> Diagnostic {
    let name = zone.name.text;
    let lockout = zone.tree.lockout.map_or(0, |lockout| lockout.value);
    let headline = format!(
        "`{name}` is activated exactly when its lockout of {} ends, at {}",
        time(lockout),
        played.clock.show(at)
    );
    // The last line that moves the zone before the instant is the one that does it.
    let lines = rehearsal.tree.acts.iter().zip(&rehearsal.acts).zip(&played.acts);
    let own = lines.filter(|((_, subject), instant)| **subject == Some(thing) && **instant <= at);
    let act = own.max_by_key(|(_, instant)| **instant).map(|((act, _), _)| act.line);
    let place = act.map_or(zone.name.at, |line| Place::new(rehearsal.file, line));
    let mut finding = RULE
        .finds(headline, place, "counts or not, as the controller likes")
        .with_help("a moment a little earlier or later, or another lockout")
        .with_about(name);
    if let Some(lockout) = zone.tree.lockout {
        let at = Place::new(zone.name.at.file, lockout.span);
        finding = finding.with_other(at, "the lockout");
    }
    finding
}
