//! Parts, controllers and their terminals, relays, cables, cameras, responses, the site, the policy.

use super::power::far_end;
use super::zone::effects;
use super::{Page, escaped};
use crate::figures::{item_text, load_of, sheet, switched, volts};
use crate::mention::Identity;
use curtilage_facts::{BranchOf, Consumer, Facts, LoadOf};
use curtilage_model::{
    CableId, CameraId, ContactAt, ControllerId, Model, Origin, Reach, RelayId, Terminal,
    TerminalKind,
};
use curtilage_syntax::tree::part;
use curtilage_text::{Place, Span};
use curtilage_units::{Dimension, Quantity, amps, significant};

/// A title in quotes.
fn title<'a>(model: &Model<'a>, name: Place, title: Option<Span>) -> Option<&'a str> {
    let text = model.text(Place::new(name.file, title?));
    Some(crate::navigate::inside(text))
}

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
    let uses = crate::names::Names::of(model);
    let users = uses.list.iter().filter(|known| {
        let identity = Identity {
            at: known.at,
            name: known.name.to_owned(),
            kind: known.kind.noun(),
            of: crate::mention::IdentityOf::Thing(known.kind),
        };
        let own = crate::navigate::part_of(model, &uses, &identity);
        own.is_some_and(|own| own.at == part.name.at)
    });
    let users: Vec<String> = users.map(|known| format!("`{}`", known.name)).collect();
    if !users.is_empty() {
        page.say(format!("used by {}", users.join(", ")));
    }
    page.code(&item_text(model, part.name.at)?);
    Some(page.done())
}

pub(super) fn controller(facts: &Facts<'_, '_>, id: ControllerId) -> String {
    let model = facts.model;
    let Some(controller) = model.controller(id) else { return String::new() };
    let name = controller.name;
    let mut page = Page::new("controller", name.text, title(model, name.at, controller.tree.title));
    if let Some(part) = controller.part {
        page.say(format!("a `{}`", model.part_name(part.id)));
        let rows: Vec<Vec<String>> = model
            .terminals(part)
            .into_iter()
            .filter(|offered| offered.kind != TerminalKind::Common)
            .map(|offered| {
                let users = users(model, id, &offered.name);
                let users = if users.is_empty() { "free".to_owned() } else { users.join(", ") };
                vec![format!("`{}`", offered.name), offered.kind.noun().to_owned(), users]
            })
            .collect();
        // A long panel would fill the screen; its free terminals are what completion offers.
        let (shown, left) = rows.split_at(rows.len().min(MOST_TERMINALS));
        page.table(&["terminal", "", "used by"], shown);
        if !left.is_empty() {
            page.say(format!("{} more terminals", left.len()));
        }
    }
    far_end(facts, Consumer::Controller(id), &mut page);
    page.done()
}

const MOST_TERMINALS: usize = 40;

/// Who uses a terminal of a controller, by name.
pub(crate) fn users(model: &Model<'_>, id: ControllerId, name: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let is = |terminal: Option<Terminal<'_>>| {
        terminal.is_some_and(|at| at.controller == id && at.name == name)
    };
    let mut add = |used: bool, who: &str| {
        if used {
            out.push(format!("`{who}`"));
        }
    };
    for zone in &model.zones {
        add(is(zone.input.and_then(|input| input.terminal)), zone.name.text);
        add(is(zone.tamper.and_then(|input| input.terminal)), zone.name.text);
    }
    let through = |contact: Option<curtilage_model::Contact<'_>>| {
        contact.is_some_and(|contact| match contact.of {
            ContactAt::Terminal(terminal) => is(Some(terminal)),
            ContactAt::Relay(_) => false,
        })
    };
    for output in &model.outputs {
        add(through(output.through), output.name.text);
    }
    for relay in &model.relays {
        add(through(relay.through), relay.name.text);
    }
    for camera in &model.cameras {
        add(is(camera.channel), camera.name.text);
    }
    let from = |origin: Option<Origin<'_>>| match origin {
        Some(Origin::Outlet(terminal)) => is(Some(terminal)),
        _ => false,
    };
    for cable in &model.cables {
        add(from(cable.from), cable.name.text);
    }
    for zone in &model.zones {
        add(from(zone.fed.map(|fed| fed.origin)), zone.name.text);
    }
    for output in &model.outputs {
        add(from(output.fed.map(|fed| fed.origin)), output.name.text);
    }
    out.dedup();
    out
}

/// A terminal of a controller of the site, or where its part declares it.
pub(super) fn terminal(
    facts: &Facts<'_, '_>,
    identity: &Identity,
    controller: Option<&str>,
) -> Option<String> {
    let model = facts.model;
    let mut page = Page::new(identity.kind, &identity.name, None);
    let found = controller.and_then(|name| {
        let mut all = model.controllers_by_id();
        all.find(|(_, controller)| controller.name.text == name)
    });
    let part = match &found {
        Some((_, controller)) => controller.part,
        None => None,
    };
    if let Some((id, controller)) = &found {
        let users = users(model, *id, &identity.name);
        page.say(match users.as_slice() {
            [] => format!("of `{}`, free", controller.name.text),
            users => format!("of `{}`, used by {}", controller.name.text, users.join(", ")),
        });
    }
    if let Some(part) = part {
        let all = model.terminals(part);
        let offered = all.iter().find(|offered| offered.name == identity.name)?;
        let text = |span| model.text(part.place(span)).to_owned();
        if let Some(common) = offered.group.common.filter(|_| offered.kind == TerminalKind::Input) {
            page.say(format!("returns to `{}`", text(common.span)));
        }
        if let Some(most) = offered.group.most {
            page.say(format!("gives at most {}", amps(most.value)));
        }
        match offered.kind {
            TerminalKind::Input => {
                if let Some(spec) = &part.sheet.input {
                    page.say(format!("reads as `{}`", crate::symbols::one_line(&text(spec.span))));
                }
            }
            TerminalKind::Relay => {
                for rating in &part.sheet.relay {
                    page.say(format!("carries {}", text(rating.span)));
                }
            }
            _ => {}
        }
        page.say(format!("of the part `{}`", model.part_name(part.id)));
    } else {
        page.code(model.text(identity.at));
    }
    Some(page.done())
}

pub(super) fn relay(facts: &Facts<'_, '_>, id: RelayId) -> String {
    let model = facts.model;
    let Some(relay) = model.relay(id) else { return String::new() };
    let name = relay.name;
    let mut page = Page::new("relay", name.text, title(model, name.at, relay.tree.title));
    if let Some(part) = relay.part {
        page.say(format!("a `{}`", model.part_name(part.id)));
    }
    if let Some(coil) = switched(facts, LoadOf::Coil(id)) {
        let contact = model.text(coil.contact.at);
        page.say(format!("its coil hangs on `{contact}`, which carries {}", load_of(coil)));
    }
    let own = facts
        .switched
        .iter()
        .filter(|switched| matches!(switched.contact.of, ContactAt::Relay(relay) if relay == id));
    for switched in own {
        page.say(format!("its contact carries **{}**", load_of(switched)));
    }
    far_end(facts, Consumer::Coil(id), &mut page);
    page.done()
}

pub(super) fn cable(facts: &Facts<'_, '_>, id: CableId) -> String {
    let model = facts.model;
    let Some(cable) = model.cable(id) else { return String::new() };
    let name = cable.name;
    let mut page = Page::new("cable", name.text, title(model, name.at, cable.tree.title));
    if let Some(part) = cable.part {
        let figures = sheet(model, part.id.index());
        let figures = figures.map_or_else(String::new, |figures| format!(": {figures}"));
        page.say(format!("a `{}`{figures}", model.part_name(part.id)));
    }
    if let Some(from) = cable.tree.from {
        page.say(format!("from `{}`", model.text(Place::new(name.at.file, from.span()))));
    }
    let rows = (0..cable.taps.len()).filter_map(|index| tap_row(facts, id, index));
    page.table(
        &["tap", "from the tap before", "most current", "least voltage"],
        &rows.collect::<Vec<_>>(),
    );
    page.done()
}

fn tap_row(facts: &Facts<'_, '_>, id: CableId, index: usize) -> Option<Vec<String>> {
    let tap = facts.model.cable(id)?.taps.get(index)?;
    let length = Quantity::new(tap.tree.length.value, Dimension::Length).to_string();
    let mut row = vec![format!("`{}`", tap.name.text), length];
    for power in &facts.power {
        let is = |of: &BranchOf<'_>| matches!(of, BranchOf::Tap(cable, at) if *cable == id && *at == index);
        let Some(branch) = power.branches.iter().position(|branch| is(&branch.of)) else {
            continue;
        };
        let most = power.most_amps(branch).map(|(current, _)| amps(current));
        let known = power.unknown_on_way(branch).is_none();
        let least = power.worst.as_ref().ok().filter(|_| known);
        let least = least.and_then(|case| case.volts(branch)).map(volts);
        row.extend([most, least].map(|found| found.unwrap_or_else(|| "not known".to_owned())));
        return Some(row);
    }
    row.extend(["not known".to_owned(), "not known".to_owned()]);
    Some(row)
}

pub(super) fn tap(facts: &Facts<'_, '_>, identity: &Identity, page: &mut Page) {
    for (id, cable) in facts.model.cables_by_id() {
        let Some(index) = cable.taps.iter().position(|tap| tap.name.at == identity.at) else {
            continue;
        };
        page.say(format!("of cable `{}`", cable.name.text));
        if let Some(row) = tap_row(facts, id, index) {
            let head = ["tap", "from the tap before", "most current", "least voltage"];
            page.table(&head, &[row]);
        }
    }
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
    let mut page = Page::new("policy", name.text, title(facts.model, name.at, policy.tree.title));
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
