//! One activation that is counted more than once.

use crate::endless_retrigger::{can_count, period_step};
use crate::rule::{Family, Findings, Rule};
use crate::words::{time, times};
use curtilage_diagnostic::Level;
use curtilage_facts::Facts;
use curtilage_syntax::tree::part::ActiveFor;

pub(crate) static RULE: Rule = Rule {
    name: "counted-twice",
    family: Family::Behaviour,
    level: Level::Warning,
    about: "one activation is counted more than once",
    page: include_str!("counted_twice.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    for (zone, registering) in facts.model.zones.iter().zip(&facts.registering) {
        let (Some(ActiveFor::Time(active)), Some(count), Some(period)) =
            (registering.active, registering.counts(), registering.period)
        else {
            continue;
        };
        if registering.level != Some(true)
            || count < 2
            || registering.responses.is_empty()
            || !can_count(facts, zone)
        {
            continue;
        }
        let name = zone.name.text;
        let longest = curtilage_units::duration(active.high);
        let (headline, label) = if registering.unpaused() {
            (
                format!(
                    "one activation of `{name}` counts as long as it lasts, up to {longest}: there is no lockout"
                ),
                "registers without pause".to_owned(),
            )
        } else {
            let (count, period) = (times(count), time(period));
            (
                format!(
                    "one activation of `{name}` counts {count}: it lasts up to {longest}, and registers every {period}"
                ),
                format!("registers again every {period}"),
            )
        };
        let mut finding = RULE
            .finds(headline, zone.name.at, label)
            .with_why("one event stands in the log, and in the alarms sent, as several")
            .with_help(format!("lockout  {longest}"))
            .with_help("a controller that repeats `once an activation`")
            .with_working([period_step(zone, registering, period)])
            .with_about(name);
        if let Some(at) = registering.active_at {
            finding = finding.with_other(at, format!("active for up to {longest}"));
        }
        if let Some(at) = registering.level_at {
            finding = finding.with_other(at, "registers again while active");
        }
        out.push(finding);
    }
}
