//! Outputs and supplies: loads, voltages, batteries.

use super::Page;
use crate::figures::{hours, lasts, load_of, span, switched, time, volts};
use curtilage_facts::{Consumer, Drawing, Facts, LoadOf, When};
use curtilage_model::{OutputId, SupplyId};
use curtilage_units::{amps, round_up, significant};

pub(super) fn output(facts: &Facts<'_, '_>, id: OutputId) -> String {
    let model = facts.model;
    let Some(output) = model.output(id) else { return String::new() };
    let mut page = Page::new("output", output.name.text, output.title);
    let loads = output.loads.iter().flatten().map(|(count, part)| match count {
        1 => format!("`{}`", model.part_name(part.id)),
        count => format!("{count} of `{}`", model.part_name(part.id)),
    });
    let loads: Vec<String> = loads.collect();
    if !loads.is_empty() {
        page.say(format!("drives {}", loads.join(", ")));
    }
    if let Some(switched) = switched(facts, LoadOf::Output(id)) {
        let contact = model.text(switched.contact.at);
        let mut words = format!("`{contact}` carries **{}**", load_of(switched));
        if let Some((rating, share)) = switched.limit() {
            words.push_str(&format!(
                " at {} {} {}, {} % used",
                volts(rating.voltage.value),
                rating.kind.word(),
                rating.load.word(),
                significant(share * 100.0, 3)
            ));
            if switched.kind_is_open() {
                words.push_str(" if it counts as resistive: its part does not say");
            }
        }
        if switched.inrush > switched.running {
            words.push_str(&format!("; {} at switching on", amps(switched.inrush)));
        }
        page.say(words);
    }
    far_end(facts, Consumer::Output(id), &mut page);
    on_time(facts, id, &mut page);
    let reached = facts.paths().into_iter().filter(|(from, _, _)| *from == id);
    let zones: Vec<String> = reached
        .filter_map(|(_, zone, _)| Some(format!("`{}`", model.zone(zone)?.name.text)))
        .collect();
    if !zones.is_empty() {
        page.say(format!("comes back to {}", zones.join(", ")));
    }
    page.done()
}

/// The voltage where something hangs, with its working.
pub(super) fn far_end(facts: &Facts<'_, '_>, of: Consumer, page: &mut Page) {
    for power in &facts.power {
        for drawing in power.drawings.iter().filter(|drawing| drawing.of == of) {
            let supply = facts.model.supply(power.supply).map_or("", |supply| supply.name.text);
            let mut works = drawing.works.map_or_else(String::new, |(works, _)| {
                format!("; it works from {}", span(works.low, works.high, volts))
            });
            if let Some(needs) = drawing.least().filter(|needs| needs.pulls_in) {
                works.push_str(&format!("; it pulls in at {}", volts(needs.volts)));
            }
            let words = match (power.lowest(drawing), power.highest(drawing)) {
                (Ok(Some((low, case))), Ok(high)) => {
                    page.working(power.working(facts.model, drawing.branch, &case));
                    let high = high.map_or(low, |(high, _)| high);
                    format!("**{}** at the far end, from `{supply}`{works}", span(low, high, volts))
                }
                (Err(why), _) | (_, Err(why)) => format!("the voltage at the far end is {why}"),
                (Ok(None), _) => format!("never on, from `{supply}`"),
            };
            page.say(words);
        }
        for (_, why) in power.left_out.iter().filter(|(consumer, _)| *consumer == of) {
            page.say(format!("it is in no sum of currents: {}", why.because));
        }
    }
}

/// How long an output is on after a registration, and at most in a day.
fn on_time(facts: &Facts<'_, '_>, id: OutputId, page: &mut Page) {
    let mut longest: Option<(u64, Vec<&str>)> = None;
    let mut latched: Vec<&str> = Vec::new();
    for (zone, registering) in facts.model.zones.iter().zip(&facts.registering) {
        for driven in registering.drives.iter().filter(|driven| driven.output == id) {
            if driven.latched {
                latched.push(zone.name.text);
            }
            let Some(length) = driven.length else { continue };
            match &mut longest {
                Some((most, zones)) if *most == length => zones.push(zone.name.text),
                Some((most, _)) if *most > length => {}
                _ => longest = Some((length, vec![zone.name.text])),
            }
        }
    }
    if let Some((length, zones)) = longest {
        let zones: Vec<String> = zones.iter().map(|zone| format!("`{zone}`")).collect();
        page.say(format!(
            "on for at most **{}** after one registration, of {}",
            time(length),
            zones.join(", ")
        ));
    }
    if !latched.is_empty() {
        page.say(format!("stays on after `{}` until it is switched off", latched.join("`, `")));
    }
    match facts.longest_in_a_day(id) {
        Ok(most) => {
            let show = |ms: i64| time(u64::try_from(ms).unwrap_or(0));
            let words = if most.at_least == most.at_most {
                show(most.at_most)
            } else {
                format!("{} to {}", show(most.at_least), show(most.at_most))
            };
            page.say(format!("driven at most **{words}** in any day, whatever happens"));
        }
        Err(why) => page.say(format!("the longest on-time in a day is {why}")),
    }
    let limit = facts.model.output(id).and_then(|output| output.tree.most);
    if let Some(limit) = limit {
        page.say(format!("runs at most {} at a stretch", time(limit.value)));
    }
}

pub(super) fn supply(facts: &Facts<'_, '_>, id: SupplyId) -> String {
    let model = facts.model;
    let Some(supply) = model.supply(id) else { return String::new() };
    let title = supply.tree.title;
    let title = title.map(|span| {
        let at = curtilage_text::Place::new(supply.name.at.file, span);
        model.quoted(at)
    });
    let mut page = Page::new("supply", supply.name.text, title);
    if let Some(part) = supply.part {
        page.say(format!("a `{}`", model.part_name(part.id)));
    }
    let Some(power) = facts.power.get(id.index()) else { return page.done() };
    match &power.volts {
        Ok(range) => page.say(format!("gives {}", span(range.lo(), range.hi(), volts))),
        Err(why) => page.say(format!("its voltage is {why}")),
    }
    let cases = [("at rest", &power.quiet), ("with all on that can be on together", &power.worst)];
    for (words, case) in cases {
        page.say(match case {
            Ok(case) => match (case.source_amps(), case.source_volts()) {
                (Some(current), Some(at)) if power.left_out.is_empty() => {
                    format!("{words}: **{}** at {}", amps(current), volts(at))
                }
                (Some(0.0), Some(_)) => format!("{words}: not known"),
                (Some(current), Some(_)) => {
                    format!("{words}: not known, at least **{}**", amps(current))
                }
                _ => format!("{words}: the voltage collapses"),
            },
            Err(why) => format!("{words}: {why}"),
        });
    }
    let most = power.most_source_amps().filter(|_| !power.collapses());
    if let (Some((rated, _)), Some((most, _))) = (power.rated, most) {
        let spare = rated - most;
        page.say(if spare >= 0.0 {
            let share = significant(spare / rated * 100.0, 3);
            let most = if power.left_out.is_empty() { "" } else { "at most " };
            format!("rated {}, {most}**{}** spare ({share} %)", amps(rated), amps(spare))
        } else {
            format!("rated {}, **{}** too little", amps(rated), amps(-spare))
        });
    }
    for (who, why) in &power.left_out {
        page.say(format!("`{}` is in no sum: {}", who.name(model).text, why.because));
    }
    let rows: Vec<Vec<String>> = power
        .drawings
        .iter()
        .map(|drawing| {
            let least = power.lowest(drawing).ok().flatten();
            vec![
                format!("`{}`", drawing.of.name(model).text),
                draws(drawing),
                when(drawing.when).to_owned(),
                least.map_or_else(|| "not known".to_owned(), |(least, _)| volts(least)),
            ]
        })
        .collect();
    page.table(&["consumer", "draws", "when", "least voltage"], &rows);
    battery(facts, id, &mut page);
    if let Ok(case) = &power.worst {
        page.working(vec![power.currents(model, case, None)]);
    }
    page.done()
}

/// What all of a consumer draw by one line of a sheet, on and off.
fn draws(drawing: &Drawing) -> String {
    let one = crate::figures::amount(&drawing.draw);
    let all = if drawing.count == 1 { one } else { format!("{} x {one}", drawing.count) };
    match drawing.idles {
        Some(idles) => format!("{all}, idles at {}", amps(idles)),
        None => all,
    }
}

fn when(when: When) -> &'static str {
    match when {
        When::Always => "always",
        When::Switched(_) => "when on",
        When::Unknown => "not known",
    }
}

fn battery(facts: &Facts<'_, '_>, id: SupplyId, page: &mut Page) {
    let Some(standby) = facts.standby.get(id.index()).and_then(Option::as_ref) else {
        page.say("it has no battery");
        return;
    };
    let part = facts.model.part_name(standby.battery.id);
    page.say(format!("battery: {} of `{part}`", standby.count));
    match (lasts(standby), &standby.lasts) {
        (Some((_, words)), _) => {
            let power = facts.power.get(id.index());
            let whole = power.is_none_or(|power| power.left_out.is_empty());
            let most = if whole { "" } else { "at most " };
            page.say(format!("old and cold it lasts {most}**{words}**"));
        }
        (None, Err(why)) => page.say(format!("how long it lasts is {why}")),
        (None, Ok(_)) => {}
    }
    if let Ok(Some(needed)) = standby.needed {
        page.say(format!("{} Ah is needed", significant(round_up(needed), 4)));
    }
    match &standby.recharge {
        Ok(value) => page.say(format!("recharges from flat in {}", hours(*value))),
        Err(why) => page.say(format!("the time to recharge is {why}")),
    }
    if let Some(power) = facts.power.get(id.index()) {
        page.working(standby.working(facts.model, power));
    }
}
