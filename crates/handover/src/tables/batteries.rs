//! How long the battery of a supply lasts, with the full working.

use crate::table::{Cell, Table};
use crate::tables::findings::working_table;
use crate::words::{self, amps, hours};
use curtilage_facts::{Facts, Lasts, Power, Standby};
use curtilage_units::{round_up, significant};

pub(crate) fn table(facts: &Facts<'_, '_>, standby: &Standby<'_>) -> Table {
    let name = words::supply(facts.model, standby.supply);
    let part = facts.model.part_name(standby.battery.id);
    let title = format!("Battery of `{name}`: {} x {part}", standby.count);
    let mut table = Table::new(format!("battery-{name}"), title, &["", ""]);
    let mut row = |what: &str, cell: Cell| table.row(vec![what.into(), cell]);
    row("current at rest", Cell::known(standby.resting.clone(), amps));
    row("current in alarm", Cell::known(standby.alarm.clone(), amps));
    if let Some((wanted, _)) = standby.standby {
        row("standby that the policy wants", hours(wanted).into());
    }
    if let Some((wanted, _)) = standby.alarm_time {
        row("alarm after it that the policy wants", hours(wanted).into());
    }
    let wants = standby.alarm_time.map_or(0.0, |(wanted, _)| wanted);
    row(
        "it lasts, old and cold",
        match &standby.lasts {
            Ok(Lasts::StandbyOnly(value)) => {
                Cell::hole(format!("{} of standby, no alarm", hours(*value)))
            }
            Ok(Lasts::Alarm(value)) => {
                let before = if standby.standby.is_some() { "the standby, then " } else { "" };
                let lasts = format!("{before}{} of alarm", hours(*value));
                if *value < wants { Cell::hole(lasts) } else { lasts.into() }
            }
            Ok(Lasts::ForEver) => "the standby; the alarm draws nothing".into(),
            Err(why) => Cell::hole(why),
        },
    );
    match &standby.needed {
        Ok(Some(needed)) => {
            row(
                "capacity that is needed",
                format!("{} Ah", significant(round_up(*needed), 4)).into(),
            );
        }
        Ok(None) => {}
        Err(why) => row("capacity that is needed", Cell::hole(why)),
    }
    if let Some(sum) = standby.plain_sum {
        row("plain sum of ampere-hours", format!("{} Ah", significant(sum, 4)).into());
    }
    row("recharge from flat", Cell::known(standby.recharge.clone(), hours));
    table
}

pub(crate) fn working(
    facts: &Facts<'_, '_>,
    power: &Power<'_>,
    standby: &Standby<'_>,
) -> Option<Table> {
    let mut steps = standby.working(facts.model, power);
    steps.extend(standby.recharge_working(facts.model, power));
    let name = words::supply(facts.model, standby.supply);
    let title = format!("Working: battery of `{name}`");
    (!steps.is_empty()).then(|| working_table(format!("battery-working-{name}"), title, &steps))
}
