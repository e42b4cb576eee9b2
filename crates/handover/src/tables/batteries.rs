//! How long the battery of a supply lasts, with the full working.

use crate::table::{Cell, Table};
use crate::tables::findings::working_table;
use crate::words::{self, amps, hours};
use curtilage_facts::{Facts, Known, Lasts, Power, Standby};
use curtilage_units::{round_up, significant};

/// Where something hangs on the supply that is in no sum, currents are the least that can be, and it
/// lasts so long at most.
pub(crate) fn table(facts: &Facts<'_, '_>, power: &Power<'_>, standby: &Standby<'_>) -> Table {
    let whole = power.left_out.is_empty();
    let least = |shown: String| match whole {
        true => Cell::from(shown),
        false => Cell::hole(format!("not known, at least {shown}")),
    };
    let name = words::supply(facts.model, standby.supply);
    let part = facts.model.part_name(standby.battery.id);
    let title = format!("Battery of `{name}`: {} x {part}", standby.count);
    let mut table = Table::new(format!("battery-{name}"), title, &["", ""]);
    let mut row = |what: &str, cell: Cell| table.row(vec![what.into(), cell]);
    let current = |known: &Known<f64>| match known {
        Ok(value) if whole || *value > 0.0 => least(amps(*value)),
        Ok(_) => Cell::hole("not known"),
        Err(why) => Cell::hole(why),
    };
    row("current at rest", current(&standby.resting));
    row("current in alarm", current(&standby.alarm));
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
                match whole {
                    true if *value < wants => Cell::hole(lasts),
                    true => lasts.into(),
                    false => Cell::hole(format!("not known, at most {lasts}")),
                }
            }
            Ok(Lasts::ForEver) if whole => "the standby; the alarm draws nothing".into(),
            Ok(Lasts::ForEver) => Cell::hole("not known"),
            Err(why) => Cell::hole(why),
        },
    );
    match &standby.needed {
        Ok(Some(needed)) => {
            let needed = format!("{} Ah", significant(round_up(*needed), 4));
            row("capacity that is needed", least(needed));
        }
        Ok(None) => {}
        Err(why) => row("capacity that is needed", Cell::hole(why)),
    }
    if let Some(sum) = standby.plain_sum {
        row("plain sum of ampere-hours", least(format!("{} Ah", significant(sum, 4))));
    }
    let recharge = standby.recharge.as_ref();
    row("recharge from flat", recharge.map_or_else(Cell::hole, |value| least(hours(*value))));
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
