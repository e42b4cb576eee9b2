//! Outputs, cameras, controllers and supplies: what a meter shows at each.

use super::Test;
use super::answers::answers;
use super::seen::seen;
use crate::words;
use curtilage_facts::Facts;
use curtilage_model::{Camera, Cause, Output, OutputId, ReadingAt};
use curtilage_syntax::tree::measured::Condition;
use curtilage_units::{Dimension, Quantity};

/// A voltage that is held against its window.
fn voltage(
    facts: &Facts<'_, '_>,
    at: (ReadingAt<'_>, &str),
    condition: Condition,
    action: String,
) -> Test {
    let expect = match facts.expected(at.0, condition, Dimension::Voltage) {
        Ok(window) => Ok(format!("within {}", words::window(window, Dimension::Voltage))),
        Err(why) => Err(why.to_string()),
    };
    Test {
        thing: at.1.to_owned(),
        kind: "voltage",
        action,
        expect,
        at: at.1.to_owned(),
        condition: condition.word(),
        unit: "V",
    }
}

pub(super) fn output(
    facts: &Facts<'_, '_>,
    id: OutputId,
    output: &Output<'_>,
    out: &mut Vec<Test>,
) {
    let name = output.name.text;
    let loud = output.loads.iter().flatten().filter_map(|(_, part)| part.sheet.loudness);
    let loud = loud.map(|(level, at)| {
        let level = Quantity::new(level.value, Dimension::SoundLevel);
        format!("{level} at {}", words::metres(at.value))
    });
    let loud: Vec<String> = loud.collect();
    let ears = if loud.is_empty() {
        String::new()
    } else {
        format!(" (it gives {}: stand off, warn people, protect your ears)", loud.join(", "))
    };
    let action = format!("let it run; measure volts at the load{ears}");
    out.push(voltage(facts, (ReadingAt::Output(id), name), Condition::Running, action));
}

pub(super) fn camera(facts: &Facts<'_, '_>, camera: &Camera<'_>, out: &mut Vec<Test>) {
    let channel = camera.channel.map(|channel| facts.model.terminal_name(&channel));
    let expect = match channel {
        Some(channel) => Ok(format!("its picture on {channel}")),
        None => Err("not known: its channel".to_owned()),
    };
    out.push(Test {
        thing: words::titled(camera.name.text, camera.title),
        kind: "picture",
        action: "look at its picture, by day and by night".to_owned(),
        expect,
        ..Test::default()
    });
    for preset in &camera.tree.presets {
        let place = curtilage_text::Place::new(camera.name.at.file, preset.span);
        out.push(Test {
            thing: camera.name.text.to_owned(),
            kind: "picture",
            action: format!("turn it to {}", facts.model.text(place)),
            expect: Ok("shows what the preset is for".to_owned()),
            ..Test::default()
        });
    }
}

pub(super) fn controllers(facts: &Facts<'_, '_>, out: &mut Vec<Test>) {
    for (id, controller) in facts.model.controllers_by_id() {
        let name = controller.name.text;
        let feeding =
            controller.fed.and_then(|fed| curtilage_facts::feeding(facts.model, fed.origin));
        let supply = feeding.and_then(|feeding| facts.model.supply(feeding.supply));
        let has_battery = supply.is_some_and(|supply| supply.battery.is_some());
        for (condition, action) in [
            (Condition::Floating, "on mains; measure volts at its supply terminals"),
            (Condition::Battery, "mains off; measure volts at its supply terminals"),
        ] {
            if condition == Condition::Battery && !has_battery {
                continue;
            }
            let at = (ReadingAt::Controller(id), name);
            out.push(voltage(facts, at, condition, action.to_owned()));
        }
    }
}

pub(super) fn supplies(facts: &Facts<'_, '_>, out: &mut Vec<Test>) {
    for (id, supply) in facts.model.supplies_by_id() {
        let name = supply.name.text;
        let at = (ReadingAt::Supply(id), name);
        let full = if supply.battery.is_some() { ", battery full" } else { "" };
        let action = format!("on mains{full}; measure volts at its output");
        out.push(voltage(facts, at, Condition::Floating, action));
        if supply.battery.is_some() {
            let action = "mains off; measure volts at its output".to_owned();
            out.push(voltage(facts, at, Condition::Battery, action));
        }
        let lost = answers(facts, &[Cause::SupplyLost(id)], &|_| None);
        let lost = seen(facts, &lost, &|_| true, &|_| false);
        let feeds = match supply.battery {
            Some(_) => "what it feeds goes on",
            None => "what it feeds stops",
        };
        out.push(Test {
            thing: name.to_owned(),
            kind: "fault",
            action: "switch its mains off, wait a minute, switch it on again".to_owned(),
            expect: Ok(if lost.is_empty() { feeds.to_owned() } else { format!("{feeds}; {lost}") }),
            ..Test::default()
        });
    }
}
