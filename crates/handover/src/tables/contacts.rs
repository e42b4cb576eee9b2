//! What each contact carries, and how near to its rating that is.

use crate::table::{Cell, Table, cells};
use crate::words::{amps, percent, volts};
use curtilage_facts::{Current, Facts, LoadOf, NotRated, Switched, Verdict};
use curtilage_syntax::tree::wiring::Rating;

pub(crate) fn table(facts: &Facts<'_, '_>) -> Table {
    let head =
        ["contact", "switches", "carries", "at switching on", "up to", "rated", "of its rating"];
    let mut table = Table::new("contacts", "Contacts", &head);
    table.about = "Of its rating is the running current or the one at switching on, whichever comes nearer to what the row of the rating allows.".to_owned();
    for switched in &facts.switched {
        let mut names: Vec<&str> = switched
            .loads
            .iter()
            .map(|load| match load.of {
                LoadOf::Output(id) => facts.model.output(id).map_or("", |thing| thing.name.text),
                LoadOf::Coil(id) => facts.model.relay(id).map_or("", |thing| thing.name.text),
            })
            .collect();
        // An output of several loads is one name.
        names.dedup();
        let highest = switched.loads.iter().map(|load| load.volts).fold(0.0, f64::max);
        let ratings: Vec<String> = switched.ratings.iter().map(rating).collect();
        let rated = match ratings.is_empty() {
            true => Cell::hole("not known"),
            false => ratings.join("; ").into(),
        };
        let names = match switched.complete {
            true => names.join(", ").into(),
            false if names.is_empty() => Cell::hole("not known: what it carries"),
            false => Cell::hole(format!("{}; not known: what else it carries", names.join(", "))),
        };
        let carries = |current: f64| match (switched.complete, current > 0.0) {
            (true, _) => amps(current).into(),
            (false, true) => Cell::hole(format!("not known, at least {}", amps(current))),
            (false, false) => Cell::hole("not known"),
        };
        let highest = match switched.loads.is_empty() {
            true => Cell::hole("not known"),
            false => volts(highest).into(),
        };
        table.row(cells![
            facts.model.text(switched.contact.at),
            names,
            carries(switched.running),
            carries(switched.inrush),
            highest,
            rated,
            margin(switched)
        ]);
    }
    table
}

fn rating(rating: &Rating) -> String {
    let (current, limit) = (amps(rating.current.value), volts(rating.voltage.value));
    format!("{current} at {limit} {} {}", rating.kind.word(), rating.load.word())
}

fn margin(switched: &Switched<'_>) -> Cell {
    let by = |by: Current| match by {
        Current::Running => "",
        Current::Inrush => " at switching on",
    };
    match switched.verdict {
        None => Cell::hole("not known"),
        Some(Verdict::Within { .. }) if !switched.complete => Cell::hole("not known"),
        Some(Verdict::Within { used, by: current, .. }) => {
            let open = if switched.kind_is_open() { ", if it counts as resistive" } else { "" };
            format!("{}{}{open}", percent(used), by(current)).into()
        }
        Some(Verdict::Exceeds { factor, by: current, .. }) => {
            Cell::hole(format!("{}{}: too much", percent(factor), by(current)))
        }
        Some(Verdict::OverVoltage { factor, .. }) => {
            Cell::hole(format!("{} of its voltage: too much", percent(factor)))
        }
        Some(Verdict::NotRated(why)) => Cell::hole(match why {
            NotRated::NoRows => "not known: it has no rating",
            NotRated::OtherCurrent => "not rated for this kind of current",
            NotRated::OtherLoad => "not rated for this kind of load",
            NotRated::AboveAc14 { .. } => "above the 72 VA of AC-14",
            NotRated::SlowerThanDc13 { .. } => "slower than DC-13 covers",
        }),
    }
}
