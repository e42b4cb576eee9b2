//! A value that cannot be: a length below zero, 30 February, schedules made of each other.

use crate::no_times::no_times;
use crate::rule::{Family, Findings, Rule};
use crate::runs::each_run;
use crate::standby_too_short::battery_at;
use crate::words::volts;
use curtilage_diagnostic::{Diagnostic, Level};
use curtilage_facts::{Facts, clashes, has_cores, never_measured};
use curtilage_model::{
    FaultKind as ModelFault, Named, PartRef, Reading, ReadingAt, RingOf, Supply, Zone,
};
use curtilage_syntax::FaultKind;
use curtilage_syntax::tree::{Spanned, part};
use curtilage_text::Place;

pub(crate) static RULE: Rule = Rule {
    name: "impossible-value",
    family: Family::Text,
    level: Level::Error,
    about: "a value that cannot be",
    page: include_str!("impossible_value.md"),
    from_absence: false,
    check,
};

fn check(facts: &Facts<'_, '_>, out: &mut Findings) {
    let Some(root) = facts.model.root() else { return };
    for fault in &root.parsed.faults {
        if let FaultKind::BadValue { why, help } = &fault.kind {
            let at = Place::new(root.file, fault.span);
            let written = fault.span.of(&root.text);
            let finding = RULE.finds(format!("`{written}`: {why}"), at, "cannot be");
            out.push(finding.with_help(help.as_str()));
        }
    }
    for fault in &facts.model.faults {
        match &fault.kind {
            ModelFault::BadValue { why, help } => {
                out.push(RULE.finds(why.clone(), fault.at, "cannot be").with_help(help.as_str()));
            }
            ModelFault::ScheduleCycle(chain) => {
                let chain: Vec<String> = chain.iter().map(|name| format!("`{name}`")).collect();
                out.push(
                    RULE.finds(
                        format!("schedules are made of each other: {}", chain.join(" of ")),
                        fault.at,
                        "is made of itself",
                    )
                    .with_help("give one of them hours of its own"),
                );
            }
            ModelFault::Ring(of, chain) => out.push(ring(*of, chain, fault.at)),
            _ => {}
        }
    }
    no_times(facts, out);
    let model = facts.model;
    let own = model.zones_by_id().filter(|(id, zone)| zone.confirmed == Some(*id));
    out.list.extend(own.filter_map(|(_, zone)| by_itself(zone)));
    out.list.extend(model.supplies.iter().filter_map(battery));
    out.list.extend(model.readings.iter().filter_map(|reading| condition(facts, reading)));
    each_run(model, |name, run| {
        let each_way = |count: u32| format!("{count} cores each way");
        if let Some(finding) = cores(facts, name, run.tree.cores, run.cable, each_way) {
            out.push(finding);
        }
    });
    for cable in &model.cables {
        let each_way = |count: u32| format!("cores  {count} each way");
        out.list.extend(cores(facts, cable.name, cable.tree.cores, cable.part, each_way));
    }
}

/// Things that hang on each other; the first stands at the end of the chain again.
fn ring(of: RingOf, chain: &[String], at: Place) -> Diagnostic {
    let (verb, by, why, help) = match of {
        RingOf::Feeds => (
            "fed",
            "from",
            "no supply is on the way: what hangs here gets no current, and no sum counts it",
            "feed one of them from a supply",
        ),
        RingOf::Relays => (
            "switched",
            "by",
            "nothing from outside makes a coil pull in: what they switch stays as it is at rest",
            "hang one of them on a relay of a controller",
        ),
    };
    let links = chain.iter().zip(chain.iter().skip(1)).enumerate();
    let links = links.map(|(place, (name, before))| {
        let verb = if place == 0 { format!("is {verb} ") } else { String::new() };
        let before = if name == before { "itself".to_owned() } else { format!("`{before}`") };
        format!("`{name}` {verb}{by} {before}")
    });
    let headline = links.collect::<Vec<_>>().join(", ");
    let mut finding =
        RULE.finds(headline, at, "comes round to itself").with_why(why).with_help(help);
    finding.about.extend(chain.iter().skip(1).cloned());
    finding
}

/// A battery of another voltage than its supply has.
fn battery(supply: &Supply<'_>) -> Option<Diagnostic> {
    let (part, (_, battery)) = (supply.part?, supply.battery?);
    if !clashes(part.sheet, battery.sheet) {
        return None;
    }
    let (gives, nominal) = (part.sheet.gives?, battery.sheet.voltage?);
    let shown = volts(nominal.value);
    let charges = match volts(gives.value.low) {
        low if gives.value.high > gives.value.low => {
            format!("{low} to {}", volts(gives.value.high))
        }
        only => only,
    };
    let name = supply.name.text;
    let why = if nominal.value > gives.value.high {
        "it is never charged: when the mains fails, nothing watches and nothing sounds"
    } else {
        "it is charged with far more than it stands: it gases, dries out, and may burn"
    };
    let finding = RULE
        .finds(
            format!("a battery of {shown} on `{name}`, which gives {charges}"),
            battery_at(supply),
            format!("of {shown}"),
        )
        .with_other(battery.place(nominal.span), "its voltage")
        .with_other(part.place(gives.span), format!("gives {charges}"))
        .with_why(why)
        .with_help("a battery of the supply's voltage; several in series are a part of their own")
        .with_about(name);
    Some(finding)
}

/// A reading in a condition in which such a thing is never measured.
fn condition(facts: &Facts<'_, '_>, reading: &Reading<'_>) -> Option<Diagnostic> {
    let said = reading.tree.condition;
    let why = never_measured(reading.at, said.value)?;
    let at = Place::new(reading.line.file, said.span);
    let of = facts.model.text(Place::new(at.file, reading.tree.at.span()));
    let headline = format!("`{of} {}`: {why}", said.value.word());
    let finding = RULE
        .finds(headline, at, "cannot be")
        .with_why("the reading is held against nothing, and nobody notices when it is wrong")
        .with_help(format!("{of}  {} READING", conditions(reading.at)));
    Some(finding)
}

/// The conditions in which a thing is measured.
fn conditions(at: ReadingAt<'_>) -> &'static str {
    match at {
        ReadingAt::Terminal(_) => "resting | active | tamper | cut | shorted",
        ReadingAt::Output(_) => "running",
        ReadingAt::Controller(_) | ReadingAt::Supply(_) => "floating | on-battery",
    }
}

/// A zone that waits for itself.
fn by_itself(zone: &Zone<'_>) -> Option<Diagnostic> {
    let (by, _) = zone.tree.confirmed?;
    let name = zone.name.text;
    let at = Place::new(zone.name.at.file, by.span);
    Some(
        RULE.finds(format!("zone `{name}` is confirmed by itself"), at, "the same zone")
            .with_why("it waits for a second zone, which never comes: it never registers")
            .with_help("confirmed  by ZONE within TIME    (another zone), or take the line out")
            .with_about(name),
    )
}

/// Cores in parallel that the cable does not have, and how a number of them is written there.
fn cores(
    facts: &Facts<'_, '_>,
    owner: Named<'_>,
    each_way: Option<Spanned<u32>>,
    part: Option<PartRef<'_, part::Cable>>,
    written: impl Fn(u32) -> String,
) -> Option<Diagnostic> {
    let (each_way, part) = (each_way?, part?);
    let has = part.sheet.cores?;
    if has_cores(part.sheet, each_way.value) {
        return None;
    }
    let takes = each_way.value.saturating_mul(2);
    let name = facts.model.part_name(part.id);
    let cores = |count: u32| if count == 1 { "core" } else { "cores" };
    let headline = format!(
        "{} {} each way take {takes} cores, `{name}` has {}",
        each_way.value,
        cores(each_way.value),
        has.value
    );
    let at = Place::new(owner.at.file, each_way.span);
    let most = has.value / 2;
    let fits = match most {
        0 => format!("a cable of {takes} cores"),
        1 => format!("a cable of {takes} cores, or take `{}` out", written(each_way.value)),
        most => format!("a cable of {takes} cores, or `{}`", written(most)),
    };
    Some(
        RULE.finds(headline, at, format!("takes {takes} cores"))
            .with_other(part.place(has.span), format!("{} {}", has.value, cores(has.value)))
            .with_why("its resistance is worked out from cores that are not there: the voltage is lower than it says")
            .with_help(fits)
            .with_about(owner.text),
    )
}
