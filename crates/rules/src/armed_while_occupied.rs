//! Intrusion zones that are armed while people are there.

use crate::rule::{Family, Findings, Rule};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::ScheduleRef;
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;
use curtilage_units::hours;

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
    let Some(people) = facts.hours.week(occupied) else { return };
    for zone in &facts.model.zones {
        let purpose = zone.tree.purpose.map(|said| said.value);
        let Some((armed, at)) = zone.armed.filter(|_| purpose == Some(Purpose::Intrusion)) else {
            continue;
        };
        // Who arms a zone at all hours means all hours: a vault, a roof hatch.
        if armed == ScheduleRef::Always {
            continue;
        }
        let Some(week) = facts.hours.week(armed) else { continue };
        let shared = week.intersection(&people);
        if shared.is_empty() {
            continue;
        }
        let name = zone.name.text;
        let total = hours(u64::from(shared.minutes()));
        let headline = format!("zone `{name}` is armed {total} a week while people are there");
        out.push(
            RULE.finds(headline, at, format!("armed and occupied {shared}"))
                .with_other(Place::new(site.name.at.file, said.span), "when people are there")
                .with_why("staff set off the alarm, and learn to ignore it")
                .with_help("armed  SCHEDULE    (one that leaves these hours out)")
                .with_about(name),
        );
    }
}
