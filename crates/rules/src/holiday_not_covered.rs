//! Intrusion zones that are disarmed on a holiday on which nobody is there.

use crate::rule::{Family, Findings, Rule};
use crate::words::and_list;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{ScheduleBody, ScheduleRef};
use curtilage_syntax::tree::zone::Purpose;
use curtilage_text::Place;
use curtilage_units::hours;

pub(crate) static RULE: Rule = Rule {
    name: "holiday-not-covered",
    family: Family::Arming,
    level: Level::Warning,
    about: "intrusion zones are disarmed on a holiday on which nobody is there",
    page: include_str!("holiday_not_covered.md"),
    from_absence: false,
    check,
};

/// At most so many dates are named.
const MOST_DATES: usize = 4;

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let model = facts.model;
    let Some(site) = &model.site else { return };
    let (Some(occupied), Some(said)) = (site.occupied, site.tree.occupied) else { return };
    if !facts.hours.has_holidays() {
        return;
    }
    let mut seen: Vec<(ScheduleRef, Vec<&str>, Place)> = Vec::new();
    for zone in &model.zones {
        let purpose = zone.tree.purpose.map(|said| said.value);
        let Some((armed, at)) = zone.armed.filter(|_| purpose == Some(Purpose::Intrusion)) else {
            continue;
        };
        match seen.iter_mut().find(|(schedule, _, _)| *schedule == armed) {
            Some((_, zones, _)) => zones.push(zone.name.text),
            None => seen.push((armed, vec![zone.name.text], at)),
        }
    }
    for (armed, zones, at) in seen {
        // A zone that is never armed has a rule of its own.
        if armed == ScheduleRef::Never {
            continue;
        }
        let dates = facts.hours.open_holidays(armed, occupied).unwrap_or_default();
        let Some((first, minutes, less)) = dates.first() else { continue };
        let schedule = model.schedule_name(armed);
        let verb = if zones.len() == 1 { "is" } else { "are" };
        let headline = format!(
            "{} {verb} disarmed for {} of the holiday {first}, when nobody is there",
            and_list(zones.iter().copied()),
            hours(*minutes),
        );
        let mut named: Vec<&str> =
            dates.iter().take(MOST_DATES).map(|(date, ..)| date.as_str()).collect();
        let more = format!("{} more", dates.len().saturating_sub(MOST_DATES));
        if dates.len() > MOST_DATES {
            named.push(&more);
        }
        let named = named.join(", ");
        let label = match less {
            true => format!("`{schedule}` covers less than on any weekday on {named}"),
            false => format!("`{schedule}` is as on any weekday on {named}"),
        };
        let people = model.schedule_name(occupied);
        // A schedule that is made of others follows the one in which the holidays are missing.
        let combined = model.schedules_by_id().any(|(id, one)| {
            ScheduleRef::Of(id) == armed && matches!(one.body, ScheduleBody::Combined(_))
        });
        let help = match combined {
            true => "except  holidays    (in the schedule of the hours in which people are there)"
                .to_owned(),
            false => format!("schedule {schedule} is not {people}    (nobody is there then)"),
        };
        let occupied_at = Place::new(site.name.at.file, said.span);
        let mut finding = RULE
            .finds(headline, at, label)
            .with_other(occupied_at, "nobody is there on these dates")
            .with_why("a holiday is the night that lasts a day")
            .with_help(help);
        for zone in zones {
            finding = finding.with_about(zone);
        }
        out.push(finding.with_about(schedule));
    }
}
