//! A panic zone that registers at hours at which no response works.

use crate::rule::{Family, Findings, Rule};
use crate::words::{self, uncovered};
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::events::{Clock, Deafness, WhyDeaf, moves, rests_on};
use curtilage_facts::{Facts, Registering};
use curtilage_model::{Effect, Response, Zone, ZoneId};
use curtilage_syntax::tree::output::Mode;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;
use curtilage_units::duration;

pub(crate) static RULE: Rule = Rule {
    name: "unanswered-panic",
    family: Family::Behaviour,
    level: Level::Error,
    about: "a panic zone registers at hours at which no response works",
    page: include_str!("unanswered_panic.md"),
    from_absence: true,
    check,
};

/// ms
const WEEK: i64 = 7 * 24 * 60 * 60 * 1000;

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for ((id, zone), registering) in facts.model.zones_by_id().zip(&facts.registering) {
        if zone.tree.purpose.is_none_or(|said| said.value != Purpose::Panic) {
            continue;
        }
        let responses = registering.responses.iter();
        let responses: Vec<&Response<'_>> =
            responses.filter_map(|index| facts.model.responses.get(*index)).collect();
        // One response that always works settles it; a zone without any has a rule of its own.
        let works = |one: &&Response<'_>| {
            let always = one.tree.during.is_none() && one.all_within.is_none();
            always && one.effects.iter().any(|effect| idle(facts, registering, effect).is_none())
        };
        if !responses.is_empty() && !responses.iter().any(works) {
            out.list.extend(find(facts, id, zone, &responses));
        }
    }
}

/// Why an effect does nothing at any hour, where that is sure.
fn idle(
    facts: &Facts<'_, '_>,
    registering: &Registering,
    (effect, line): &(Effect, Place),
) -> Option<String> {
    let (id, on) = match effect {
        Effect::Switch { output, on, .. } => (*output, *on),
        Effect::Pulse { output, .. } => (*output, true),
        _ => return None,
    };
    let output = facts.model.output(id)?;
    // One that is forced has a rule of its own.
    if output.tree.mode.is_some_and(|mode| mode.value != Mode::Automatic) {
        return None;
    }
    let drives = registering.drives.iter().find(|driven| driven.line == *line);
    if drives.is_some_and(|driven| driven.length == Some(0)) {
        return Some("for no time at all".to_owned());
    }
    // Behind a contact that is not known it may rest either way.
    output.through.and_then(|contact| facts.model.root_of(contact))?;
    let rests_on = rests_on(facts.model, id);
    let leaves_rest = |effect: &Effect| moves(effect, id, rests_on) == Some(true);
    let mut all = facts.model.responses.iter().flat_map(|response| &response.effects);
    let stays = on == rests_on && !all.any(|(effect, _)| leaves_rest(effect));
    let state = if rests_on { "on" } else { "off" };
    stays.then(|| format!("`{}` is {state} at rest, and stays so", output.name.text))
}

fn find(
    facts: &Facts<'_, '_>,
    id: ZoneId,
    zone: &Zone<'_>,
    responses: &[&Response<'_>],
) -> Option<Diagnostic> {
    let deaf = facts.deaf(id).ok()?;
    let without: Vec<&Deafness> =
        deaf.iter().filter(|deaf| deaf.why == WhyDeaf::NoEffect).collect();
    let name = zone.name.text;
    let (how_long, label) = match without.first() {
        Some(first) => {
            let total = without.iter().map(|deaf| deaf.until - deaf.from).sum::<i64>();
            if total >= WEEK {
                (", at any hour".to_owned(), "no response does anything for it alone".to_owned())
            } else {
                let (from, until) = (Clock::Week.show(first.from), Clock::Week.show(first.until));
                (format!(", {} a week", time(total)), no_response(&from, &until))
            }
        }
        None => {
            let found = on_dates(facts, id, zone).or_else(|| at_a_clock_change(facts, id));
            let (how_long, when) = found?;
            (how_long, format!("no response works {when}"))
        }
    };
    let headline = format!("panic zone `{name}` is heard and nothing happens{how_long}");
    let mut finding = RULE
        .finds(headline, zone.name.at, label)
        .with_why("it stands in the log, and nobody comes")
        .with_about(name);
    let mut helps: Vec<String> = Vec::new();
    let mut missing: Vec<&str> = Vec::new();
    let registering = facts.registering.get(id.index())?;
    for response in responses {
        if let Some((_, at)) = response.during {
            finding = finding.with_other(Place::new(at.file, at.span), "answers only then");
            missing.push("`during`");
        }
        if response.all_within.is_some() {
            finding = finding.with_other(response.line, "waits for others as well");
            missing.push("`all of`");
        }
        for effect in &response.effects {
            if let Some(why) = idle(facts, registering, effect) {
                finding = finding.with_other(effect.1, why);
                helps.extend(turned(facts, &effect.0));
            }
        }
    }
    missing.sort_unstable();
    missing.dedup();
    let note = match missing.as_slice() {
        [] => "    (one that does something)".to_owned(),
        list => format!("    (one without {})", list.join(" and ")),
    };
    helps.push(format!("response to {name} {{ ... }}{note}"));
    Some(helps.into_iter().fold(finding, Diagnostic::with_help))
}

/// The other way round, of an effect that takes away what is not there, or gives what is.
fn turned(facts: &Facts<'_, '_>, effect: &Effect) -> Option<String> {
    let Effect::Switch { output, on, hold } = effect else { return None };
    if *on != rests_on(facts.model, *output) {
        return None;
    }
    let verb = if *on { "open" } else { "close" };
    let hold = hold.map_or(String::new(), |hold| format!(" for {}", words::time(hold)));
    let name = facts.model.output(*output)?.name.text;
    Some(format!("{verb}  {name}{hold}    (`close` gives it current, `open` takes it away)"))
}

fn no_response(from: &str, until: &str) -> String {
    format!("no response works from {from} to {until}")
}

/// The dates of the two years on which no response works at hours at which one does in other weeks.
fn on_dates(facts: &Facts<'_, '_>, id: ZoneId, zone: &Zone<'_>) -> Option<(String, String)> {
    // What cannot be read may add a date.
    if zone.tree.confirmed.is_some() || zone.tree.entry.is_some() || facts.doubt.anything() {
        return None;
    }
    let mut answers = Vec::new();
    for index in &facts.registering.get(id.index())?.responses {
        let response = facts.model.responses.get(*index)?;
        if response.all_within.is_none() {
            answers.push(response.during?.0);
        }
    }
    let left = facts.hours.left(zone.armed?.0, &answers)?;
    if !left.week.is_empty() || left.dates.is_empty() {
        return None;
    }
    let (total, when) = uncovered(&left);
    Some((format!(" {total}"), when))
}

/// The first such stretch that only a clock change makes.
fn at_a_clock_change(facts: &Facts<'_, '_>, id: ZoneId) -> Option<(String, String)> {
    let all = facts.deaf_at_clock_changes(id).ok()?;
    let first = all.iter().find(|deaf| deaf.why == WhyDeaf::NoEffect)?;
    let clock = facts.real_time();
    let how_long = format!(", {} when the clocks change", time(first.until - first.from));
    let (from, until) = (clock.show(first.from), clock.show(first.until));
    Some((how_long, format!("from {from} to {until}")))
}

#[expect(clippy::cast_precision_loss, reason = "two years are far below 2^53 ms")]
fn time(milliseconds: i64) -> String {
    duration(milliseconds as f64)
}
