//! Intrusion zones that are armed while people are there.

use crate::rule::{Family, Findings, Rule};
use crate::words::uncovered;
use curtilage_diagnostic::Level;
use curtilage_facts::{Facts, Uncovered, WeekSet};
use curtilage_model::ScheduleRef;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "armed-while-occupied",
    family: Family::Arming,
    level: Level::Warning,
    about: "an intrusion zone is armed while people are there",
    page: include_str!("armed_while_occupied.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(site) = &facts.model.site else { return };
    let (Some(occupied), Some(said)) = (site.occupied, site.tree.occupied) else { return };
    let Some(people) = facts.hours.ordinary(occupied) else { return };
    // Many zones are armed by one schedule.
    let mut known: Vec<(ScheduleRef, Uncovered)> = Vec::new();
    for zone in &facts.model.zones {
        let purpose = zone.tree.purpose.map(|said| said.value);
        let Some((armed, at)) = zone.armed.filter(|_| purpose == Some(Purpose::Intrusion)) else {
            continue;
        };
        // Who arms a zone at all hours means all hours: a vault, a roof hatch.
        if facts.hours.ordinary(armed).is_some_and(WeekSet::is_full) {
            continue;
        }
        let at_hand = known.iter().position(|(schedule, _)| *schedule == armed);
        let index = at_hand.unwrap_or_else(|| {
            let week = facts.hours.ordinary(armed);
            let week = week.map_or(WeekSet::EMPTY, |week| week.intersection(people));
            // What cannot be read may leave out a date.
            let dates = (week.is_empty() && !facts.doubt.anything())
                .then(|| facts.hours.armed_on_dates(armed, occupied));
            known.push((armed, Uncovered { week, dates: dates.flatten().unwrap_or_default() }));
            known.len() - 1
        });
        let Some((_, shared)) = known.get(index) else { continue };
        if shared.is_empty() {
            continue;
        }
        let name = zone.name.text;
        let (total, when) = uncovered(shared);
        let headline = format!("zone `{name}` is armed {total} while people are there");
        out.push(
            RULE.finds(headline, at, format!("armed and occupied {when}"))
                .with_other(Place::new(site.name.at.file, said.span), "when people are there")
                .with_why("staff set off the alarm, and learn to ignore it")
                .with_help("armed  SCHEDULE    (one that leaves these hours out)")
                .with_about(name),
        );
    }
}
