//! Intrusion zones that are disarmed on a holiday on which nobody is there.

use crate::rule::{Family, Findings, Rule};
use crate::words::and_list;
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_model::{Schedule, ScheduleBody, ScheduleId, ScheduleRef};
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
        let Some(first) = dates.first() else { continue };
        let schedule = model.schedule_name(armed);
        let verb = if zones.len() == 1 { "is" } else { "are" };
        let headline = format!(
            "{} {verb} disarmed for {} of the holiday {}, when nobody is there",
            and_list(zones.iter().copied()),
            hours(first.minutes),
            first.date,
        );
        let mut named: Vec<String> =
            dates.iter().take(MOST_DATES).map(|holiday| holiday.date.to_string()).collect();
        if dates.len() > MOST_DATES {
            named.push(format!("{} more", dates.len() - MOST_DATES));
        }
        let named = named.join(", ");
        let label = match first.less {
            true => format!("`{schedule}` covers less than on any weekday on {named}"),
            false => format!("`{schedule}` is as on any weekday on {named}"),
        };
        let people = model.schedule_name(occupied);
        let parts = model.made_of(armed);
        // A line of them that cannot be read may be the one that is missing.
        let of_people = model.made_of(occupied);
        let unread = |(id, _): &(ScheduleId, bool)| {
            model.schedules.get(id.index()).is_some_and(|one| facts.doubt.holds(one.name.at))
        };
        if parts.iter().chain(&of_people).any(unread) {
            continue;
        }
        let lacks = |id: ScheduleId| {
            let schedule = model.schedules.get(id.index())?;
            let ScheduleBody::Written(written) = &schedule.body else { return None };
            let id = ScheduleRef::Of(id);
            let more = facts.hours.covers_more_on(first.date, id, armed) == Some(true);
            (more && written.except_holidays.is_none()).then_some(schedule)
        };
        let lack = parts.iter().filter(|(_, away)| *away).filter_map(|(id, _)| lacks(*id));
        let lack: Vec<&Schedule<'_>> = lack.collect();
        let help = match lack.as_slice() {
            [] => format!("schedule {schedule} is not {people}    (nobody is there then)"),
            lack => {
                let names = and_list(lack.iter().map(|schedule| schedule.name.text));
                format!("except  holidays    (in {names})")
            }
        };
        let occupied_at = Place::new(site.name.at.file, said.span);
        let mut finding = RULE
            .finds(headline, at, label)
            .with_other(occupied_at, "nobody is there on these dates")
            .with_why("a holiday is the night that lasts a day")
            .with_help(help);
        for schedule in lack {
            finding = finding.with_other(schedule.name.at, "its hours count on holidays too");
        }
        for zone in zones {
            finding = finding.with_about(zone);
        }
        out.push(finding.with_about(schedule));
    }
}
