//! Parts, cameras, responses, areas, people, the site, the policy.

use super::power::far_end;
use super::zone::effects;
use super::{Page, escaped};
use crate::figures::{item_text, sheet};
use crate::line::{first_word, name_of};
use crate::mention::mentions_of;
use crate::names::Names;
use curtilage_facts::{Consumer, Facts};
use curtilage_model::{CameraId, Model, Named, Reach};
use curtilage_syntax::tree::part;
use curtilage_units::{Dimension, Quantity, significant};

pub(super) fn part(facts: &Facts<'_, '_>, index: usize) -> Option<String> {
    let model = facts.model;
    let part = model.parts.get(index)?;
    let kind = format!("{} part", part.body.word());
    let mut page = Page::new(&kind, part.name.text, part.title);
    if let Some(figures) = sheet(model, index) {
        let jargon = match part.body {
            part::Body::Sensor(sheet) => sheet.rests.map(|rests| rests.value.jargon()),
            _ => None,
        };
        let jargon = jargon.map_or_else(String::new, |jargon| format!(" ({jargon})"));
        page.say(format!("{figures}{jargon}"));
    }
    let users = users(model, part.name);
    if !users.is_empty() {
        page.say(format!("used by {}", users.join(", ")));
    }
    page.code(&item_text(model, part.name.at)?);
    Some(page.done())
}

/// The things of the site that name a part, on their first lines or in their blocks.
fn users(model: &Model<'_>, part: Named<'_>) -> Vec<String> {
    let Some(root) = model.root() else { return Vec::new() };
    let names = Names::of(model);
    let mut out: Vec<String> = Vec::new();
    for mention in mentions_of(root, part.text) {
        let item = mention.line.item;
        // An exception to a rule is no use.
        if mention.declares || first_word(root, item) == "allow" {
            continue;
        }
        let found = mention.identity(model, &names, root.file);
        if found.is_none_or(|found| found.at != part.at) {
            continue;
        }
        let user = format!("`{}`", name_of(root, item));
        if out.last() != Some(&user) {
            out.push(user);
        }
    }
    out
}

pub(super) fn camera(facts: &Facts<'_, '_>, id: CameraId) -> String {
    let model = facts.model;
    let Some(camera) = model.camera(id) else { return String::new() };
    let mut page = Page::new("camera", camera.name.text, camera.title);
    if let Some(channel) = camera.channel {
        page.say(format!("on `{}`", model.terminal_name(&channel)));
    }
    if let Some(rate) = camera.bit_rate() {
        page.say(format!("streams {}", Quantity::new(rate, Dimension::BitRate)));
    }
    for store in &facts.stores {
        for one in store.footage.iter().filter(|one| one.camera == id) {
            page.say(format!(
                "{} footage: {} a week, **{}** a day",
                one.class.word(),
                curtilage_units::hours(u64::from(one.minutes)),
                Quantity::new(one.a_day, Dimension::Data)
            ));
        }
        if store.footage.iter().any(|one| one.camera == id)
            && let Some(days) = store.days(0.0)
        {
            page.say(format!("the store lasts {} d, events not counted", significant(days, 3)));
        }
    }
    for refusal in facts.refusals.iter().filter(|refusal| refusal.camera == id) {
        page.say(format!(
            "a recording is asked for and not kept: `{}`",
            crate::symbols::one_line(model.text(refusal.at))
        ));
    }
    far_end(facts, Consumer::Camera(id), &mut page);
    page.done()
}

pub(super) fn response(facts: &Facts<'_, '_>, index: usize) -> Option<String> {
    let response = facts.model.responses.get(index)?;
    let mut page = Page::new("response", response.name?.text, None);
    let causes = response.causes.iter().map(|(_, at)| format!("`{}`", facts.model.text(*at)));
    page.say(format!("to {}", causes.collect::<Vec<_>>().join(", ")));
    for line in effects(facts, index, None) {
        page.say(line);
    }
    Some(page.done())
}

pub(super) fn site(facts: &Facts<'_, '_>) -> Option<String> {
    let model = facts.model;
    let site = model.site.as_ref()?;
    let mut page = Page::new("site", site.name.text, site.title);
    if let Some(zone) = site.timezone {
        page.say(format!("time zone `{}`", zone.text));
    }
    let count = |number: usize, one: &str| {
        let plural = if number == 1 { "" } else { "s" };
        format!("{number} {one}{plural}")
    };
    page.say(format!(
        "{}, {}, {}, {}",
        count(model.zones.len(), "zone"),
        count(model.outputs.len(), "output"),
        count(model.cameras.len(), "camera"),
        count(model.responses.len(), "response"),
    ));
    for (power, standby) in facts.power.iter().zip(&facts.standby) {
        let Some(supply) = model.supply(power.supply) else { continue };
        let load = crate::figures::supply_load(facts, power.supply);
        let lasts = standby.as_ref().and_then(crate::figures::lasts).map(|(short, _)| short);
        let words: Vec<String> = [load, lasts].into_iter().flatten().collect();
        if !words.is_empty() {
            page.say(format!("`{}`: {}", supply.name.text, words.join(", ")));
        }
    }
    if let Some(policy) = &model.policy {
        page.say(format!("under the policy `{}`", policy.name.text));
    }
    Some(page.done())
}

pub(super) fn policy(facts: &Facts<'_, '_>) -> Option<String> {
    let policy = facts.model.policy.as_ref()?;
    let name = policy.name;
    let mut page =
        Page::new("policy", name.text, super::title(facts.model, name.at, policy.tree.title));
    page.say("the only place that limits come from");
    page.code(&item_text(facts.model, name.at)?);
    Some(page.done())
}

/// What stands in an area, and what reaches it.
pub(super) fn area(facts: &Facts<'_, '_>, name: &str, page: &mut Page) {
    let model = facts.model;
    let Some(site) = &model.site else { return };
    let Some(index) = site.areas.iter().position(|area| area.name.text == name) else { return };
    let list = |names: Vec<&str>| {
        names.into_iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
    };
    let zones = model.zones.iter().filter(|zone| zone.area == Some(index));
    let zones: Vec<&str> = zones.map(|zone| zone.name.text).collect();
    let outputs = model.outputs.iter().filter(|output| {
        output.reaches.iter().any(|reach| matches!(reach, Reach::Area(area, _) if *area == index))
    });
    let outputs: Vec<&str> = outputs.map(|output| output.name.text).collect();
    if !zones.is_empty() {
        page.say(format!("zones: {}", list(zones)));
    }
    let standing = model.outputs.iter().filter(|output| output.area == Some(index));
    let standing: Vec<&str> = standing.map(|output| output.name.text).collect();
    if !standing.is_empty() {
        page.say(format!("outputs: {}", list(standing)));
    }
    let cameras = model.cameras.iter().filter(|camera| camera.area == Some(index));
    let cameras: Vec<&str> = cameras.map(|camera| camera.name.text).collect();
    if !cameras.is_empty() {
        page.say(format!("cameras: {}", list(cameras)));
    }
    if !outputs.is_empty() {
        page.say(format!("reached by {}", list(outputs)));
    }
}

/// Which responses tell somebody.
pub(super) fn people(facts: &Facts<'_, '_>, name: &str, page: &mut Page) {
    let model = facts.model;
    let Some(site) = &model.site else { return };
    let Some(index) = site.people.iter().position(|people| people.name.text == name) else {
        return;
    };
    let tells = |effect: &curtilage_model::Effect| matches!(effect, curtilage_model::Effect::Tell(who) if *who == index);
    for response in &model.responses {
        if response.effects.iter().any(|(effect, _)| tells(effect)) {
            let line = crate::symbols::one_line(model.text(response.line));
            page.say(format!("told by {}", escaped(&line)));
        }
    }
}
