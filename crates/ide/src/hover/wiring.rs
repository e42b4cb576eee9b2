//! Controllers and their terminals, relays, cables and taps.

use super::Page;
use super::power::far_end;
use crate::figures::{load_of, sheet, switched, volts};
use crate::mention::Identity;
use curtilage_facts::{BranchOf, Consumer, Facts, LoadOf};
use curtilage_model::{
    CableId, ContactAt, ControllerId, Feed, Input, Model, Origin, RelayId, Terminal, TerminalKind,
};
use curtilage_text::Place;
use curtilage_units::{Dimension, Quantity, amps};

pub(super) fn controller(facts: &Facts<'_, '_>, id: ControllerId) -> String {
    let model = facts.model;
    let Some(controller) = model.controller(id) else { return String::new() };
    let name = controller.name;
    let mut page =
        Page::new("controller", name.text, super::title(model, name.at, controller.tree.title));
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
    let lands = |input: Option<Input<'_>>| {
        input.is_some_and(|input| {
            is(input.terminal) || is(input.common) || returns(model, &input, id, name)
        })
    };
    let through = |contact: Option<curtilage_model::Contact<'_>>| {
        contact.is_some_and(|contact| match contact.of {
            ContactAt::Terminal(terminal) => is(Some(terminal)),
            ContactAt::Relay(_) => false,
        })
    };
    let from = |origin: Option<Origin<'_>>| match origin {
        Some(Origin::Outlet(terminal)) => is(Some(terminal)),
        _ => false,
    };
    let fed = |feed: Option<Feed<'_>>| from(feed.map(|feed| feed.origin));
    let mut add = |used: bool, who: &str| {
        if used {
            out.push(format!("`{who}`"));
        }
    };
    for zone in &model.zones {
        add(lands(zone.input) || lands(zone.tamper()), zone.name.text);
    }
    for output in &model.outputs {
        add(through(output.through), output.name.text);
    }
    for relay in &model.relays {
        add(through(relay.through), relay.name.text);
    }
    for camera in &model.cameras {
        add(is(camera.channel), camera.name.text);
    }
    for cable in &model.cables {
        add(from(cable.from), cable.name.text);
    }
    for controller in &model.controllers {
        add(fed(controller.fed), controller.name.text);
    }
    for zone in &model.zones {
        add(fed(zone.fed()), zone.name.text);
    }
    for output in &model.outputs {
        add(fed(output.fed), output.name.text);
    }
    for relay in &model.relays {
        add(fed(relay.fed), relay.name.text);
    }
    for camera in &model.cameras {
        add(fed(camera.fed), camera.name.text);
    }
    out.dedup();
    out
}

/// Whether a contact that names no common returns to this one, the common of its input.
fn returns(model: &Model<'_>, input: &Input<'_>, id: ControllerId, name: &str) -> bool {
    let Some(terminal) = input.terminal.filter(|at| at.controller == id) else { return false };
    let Some(common) = terminal.group.common.filter(|_| input.tree.common.is_none()) else {
        return false;
    };
    model.text(Place::new(terminal.file, common.span)) == name
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
    let mut page = Page::new("relay", name.text, super::title(model, name.at, relay.tree.title));
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
    let mut page = Page::new("cable", name.text, super::title(model, name.at, cable.tree.title));
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
