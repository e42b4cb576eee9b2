//! Cables in words, the same way in every rule.

use crate::words::{amps, volts};
use curtilage_circuit::conductor::{Conductor, Size};
use curtilage_facts::{Branch, BranchOf, Cabling, Culprit, Facts, Mend, Power};
use curtilage_model::{CableId, Model, Named, RunOf};
use curtilage_text::Place;

/// Every run of the site, with the thing whose run it is.
pub(crate) fn each_run<'a>(model: &Model<'a>, mut look: impl FnMut(Named<'a>, RunOf<'a>)) {
    let mut run = |name, run: Option<RunOf<'a>>| {
        if let Some(run) = run {
            look(name, run);
        }
    };
    for it in &model.outputs {
        run(it.name, it.fed.as_ref().and_then(|feed| feed.run));
    }
    for it in &model.relays {
        run(it.name, it.fed.as_ref().and_then(|feed| feed.run));
    }
    for it in &model.controllers {
        run(it.name, it.fed.as_ref().and_then(|feed| feed.run));
    }
    for it in &model.cameras {
        run(it.name, it.fed.as_ref().and_then(|feed| feed.run));
    }
    for zone in &model.zones {
        for input in zone.inputs() {
            run(zone.name, input.run);
        }
        run(zone.name, zone.fed().and_then(|feed| feed.run));
    }
}

/// The name of a supply.
pub(crate) fn supply_name<'a>(facts: &Facts<'_, 'a>, power: &Power<'a>) -> Named<'a> {
    let supply = facts.model.supply(power.supply);
    supply.map_or(Named { text: "", at: Place::default() }, |supply| supply.name)
}

/// The name of a cable with taps.
pub(crate) fn cable_name<'a>(facts: &Facts<'_, 'a>, id: CableId) -> Named<'a> {
    let cable = facts.model.cable(id);
    cable.map_or(Named { text: "", at: Place::default() }, |cable| cable.name)
}

/// The cable of a branch, when it is known.
pub(crate) fn cabling<'p, 'a>(branch: &'p Branch<'a>) -> Option<&'p Cabling<'a>> {
    branch.cable.as_ref()?.as_ref().ok()
}

/// "25 m of `pair-0.75`"
pub(crate) fn run_words(facts: &Facts<'_, '_>, cable: &Cabling<'_>) -> String {
    let length = facts.model.text(cable.length_at);
    format!("{length} of `{}`", facts.model.text(cable.named))
}

/// Whose piece of cable a branch is: the consumer that it feeds, or the cable with taps.
pub(crate) fn owner<'a>(facts: &Facts<'_, 'a>, branch: &Branch<'a>) -> &'a str {
    match branch.of {
        BranchOf::Feed(consumer) => consumer.name(facts.model).text,
        BranchOf::Start(id) | BranchOf::Tap(id, _) => cable_name(facts, id).text,
        BranchOf::Outlet(terminal) => facts
            .model
            .controller(terminal.controller)
            .map_or("", |controller| controller.name.text),
    }
}

/// The words to change, and the cable in words: a run, or a cable with taps.
pub(crate) fn culprit_words(
    facts: &Facts<'_, '_>,
    power: &Power<'_>,
    culprit: Culprit,
) -> Option<(Place, String)> {
    let first = *power.pieces(culprit).first()?;
    let cable = cabling(power.branches.get(first)?)?;
    Some(match culprit {
        Culprit::Run(_) => (cable.at(), run_words(facts, cable)),
        Culprit::Cable(id) => (cable.named, format!("cable `{}`", cable_name(facts, id).text)),
    })
}

/// What would mend a cable, as text to type, one way a line.
pub(crate) fn mend_words(
    facts: &Facts<'_, '_>,
    power: &Power<'_>,
    culprit: Culprit,
    mend: &Mend,
) -> Vec<String> {
    let pieces = power.pieces(culprit);
    let first = pieces.first().and_then(|first| power.branches.get(*first));
    let Some(cable) = first.and_then(cabling) else { return Vec::new() };
    let mut out = Vec::new();
    let length = facts.model.text(cable.length_at);
    match (mend.part, culprit) {
        (Some((part, cores)), Culprit::Run(_)) => {
            out.push(thicker_run(length, facts.model.part_name(part), cores, cable));
        }
        (Some((part, cores)), Culprit::Cable(id)) => {
            out.push(thicker_cable(
                cable_name(facts, id).text,
                facts.model.part_name(part),
                cores,
                cable,
            ));
        }
        (None, _) => {
            if let Some(size) = mend.size.and_then(|size| size_words(size, cable)) {
                out.push(format!("a thicker cable: its part needs {size}"));
            }
        }
    }
    if let Some(length) = mend.length {
        let length = curtilage_units::significant(length, 4);
        let part = facts.model.text(cable.named);
        let cores = each_way(cable.cores);
        out.push(format!("a shorter run: `over {length} m of {part}{cores}` at most"));
    }
    if out.is_empty() {
        out.push("no standard size of this cable is enough: feed it from a supply that is nearer, or at a higher voltage".to_owned());
    }
    out
}

/// ", 3 cores each way", when there is more than one.
fn each_way(cores: u32) -> String {
    if cores == 1 { String::new() } else { format!(", {cores} cores each way") }
}

/// A run of another cable, as text to type. It takes as many cores each way, or one in place of several.
pub(crate) fn thicker_run(length: &str, part: &str, cores: u32, wired: &Cabling<'_>) -> String {
    let without = match cores == wired.cores {
        true => String::new(),
        false => format!(" without `{} cores each way`", wired.cores),
    };
    format!("a thicker cable: `over {length} of {part}{}`{without}", each_way(cores))
}

/// Another cable with taps, as text to type. Its cores are a statement of their own.
pub(crate) fn thicker_cable(name: &str, part: &str, cores: u32, wired: &Cabling<'_>) -> String {
    let without = match cores == wired.cores {
        true => String::new(),
        false => format!(" without `cores  {} each way`", wired.cores),
    };
    format!("a thicker cable: `cable {name} is {part}`{without}")
}

/// What the part of a cable has to say. What it states of its resistance stands before its size.
fn size_words(size: Size, wired: &Cabling<'_>) -> Option<String> {
    if wired.part.sheet.resistance.is_none() {
        return Some(format!("`conductor {}` or more", area_words(size)?));
    }
    let Size::Mm2 { area, class } = size else { return None };
    let most = Conductor::iec60228(area, class).ok()?.ohm_per_m_at_20() * 1000.0;
    Some(format!("`resistance {} ohm/km` or less", curtilage_units::significant(most, 4)))
}

fn area_words(size: Size) -> Option<String> {
    use curtilage_circuit::conductor::Class;
    Some(match size {
        Size::Mm2 { area, class } => {
            let class = match class {
                Class::One => 1,
                Class::Two => 2,
                Class::Five => 5,
            };
            format!("{} mm2 class {class}", curtilage_units::significant(area, 4))
        }
        Size::Awg(gauge) if gauge >= 0 => format!("{gauge} AWG"),
        _ => return None,
    })
}

/// Where a supply's voltage in a case is said, and "gives 10.5 V at the end of discharge".
pub(crate) fn source_label(
    facts: &Facts<'_, '_>,
    power: &Power<'_>,
    case: &curtilage_facts::Case,
) -> Option<(Place, String)> {
    let at = power.volts_at(facts.model, case)?;
    let empty = facts.model.supply(power.supply)?.part?.sheet.empty;
    let last = empty.is_some_and(|empty| empty.value == case.scene.volts);
    let when = if last { " at the end of discharge" } else { "" };
    Some((at, format!("gives {}{when}", volts(case.scene.volts))))
}

/// Where it is said what a supply gives in operation.
pub(crate) fn gives_at(facts: &Facts<'_, '_>, power: &Power<'_>) -> Option<Place> {
    let part = facts.model.supply(power.supply)?.part?;
    Some(part.place(part.sheet.gives?.span))
}

/// "carries 6 A"
pub(crate) fn carries(limit: f64) -> String {
    format!("carries {}", amps(limit))
}
