//! The terminals of each controller: what lands on each, over which cable. Those that are free are
//! listed too.

use crate::table::{Table, cells};
use crate::wires::{For, Wire, Wires};
use crate::words;
use curtilage_facts::{Consumer, Facts};
use curtilage_model::{Contact, ContactAt, ControllerId, Model, Offered, Origin, TerminalKind};

/// What lands on one terminal.
pub(crate) struct Landed {
    /// What it is, in words.
    pub(crate) what: String,
    /// The tag and the run of its cable.
    pub(crate) cable: String,
    /// The terminal that its wires return to.
    pub(crate) returns: String,
}

/// What lands on a terminal of a controller.
pub(crate) fn landed(
    model: &Model<'_>,
    wires: &Wires<'_>,
    id: ControllerId,
    Offered { kind, name, group, .. }: &Offered<'_>,
) -> Vec<Landed> {
    let mut out = Vec::new();
    match kind {
        TerminalKind::Input => {
            let common = group.common.and_then(|common| {
                let part = model.controller(id)?.part?;
                Some(model.text(part.place(common.span)).to_owned())
            });
            for (zone_id, zone) in model.zones_by_id() {
                for (input, of, tamper) in [
                    (zone.input, For::Contact(zone_id), ""),
                    (zone.tamper(), For::Tamper(zone_id), ", tamper contact"),
                ] {
                    let Some(input) = input else { continue };
                    let here = |at: &curtilage_model::Terminal<'_>| {
                        at.controller == id && at.name == name.as_str()
                    };
                    if !input.terminal.as_ref().is_some_and(here) {
                        continue;
                    }
                    let written = input.common.map(|common| common.name.to_owned());
                    out.push(Landed {
                        what: format!("{}{tamper}", words::titled(zone.name.text, zone.title)),
                        cable: cable(wires, of),
                        returns: written.or_else(|| common.clone()).unwrap_or_default(),
                    });
                }
            }
        }
        TerminalKind::Relay => {
            let here = |contact: &&Contact<'_>| {
                matches!(contact.of, ContactAt::Terminal(at)
                    if at.controller == id && at.name == name.as_str())
            };
            for (output_id, output) in model.outputs_by_id() {
                if let Some(contact) = output.through.as_ref().filter(here) {
                    let side = words::side(contact.side);
                    out.push(Landed {
                        what: format!("{}, {side}", words::titled(output.name.text, output.title)),
                        cable: cable(wires, For::Feed(Consumer::Output(output_id))),
                        returns: String::new(),
                    });
                }
            }
            for (relay_id, relay) in model.relays_by_id() {
                if let Some(contact) = relay.through.as_ref().filter(here) {
                    out.push(Landed {
                        what: format!("coil of {}, {}", relay.name.text, words::side(contact.side)),
                        cable: cable(wires, For::Feed(Consumer::Coil(relay_id))),
                        returns: String::new(),
                    });
                }
            }
        }
        TerminalKind::Outlet => {
            let here = |origin: &Origin<'_>| {
                matches!(origin, Origin::Outlet(at)
                    if at.controller == id && at.name == name.as_str())
            };
            for (index, known) in model.cables.iter().enumerate() {
                if known.from.as_ref().is_some_and(here) {
                    let taps = known.taps.iter().map(|tap| tap.name.text);
                    out.push(Landed {
                        what: format!("cable {} to {}", known.name.text, words::list(taps)),
                        cable: cable(wires, For::Piece(index, 0)),
                        returns: String::new(),
                    });
                }
            }
            for of in consumers(model) {
                if of.feed(model).is_some_and(|feed| here(&feed.origin)) {
                    out.push(Landed {
                        what: format!("feed of {}", of.name(model).text),
                        cable: cable(wires, For::Feed(of)),
                        returns: String::new(),
                    });
                }
            }
        }
        TerminalKind::Channel => {
            for camera in &model.cameras {
                let here = camera
                    .channel
                    .is_some_and(|at| at.controller == id && at.name == name.as_str());
                if here {
                    out.push(Landed {
                        what: words::titled(camera.name.text, camera.title),
                        cable: String::new(),
                        returns: String::new(),
                    });
                }
            }
        }
        TerminalKind::Common => {}
    }
    out
}

/// Everything that can have a feed of its own.
pub(crate) fn consumers<'m, 'a>(
    model: &'m Model<'a>,
) -> impl Iterator<Item = Consumer> + use<'m, 'a> {
    let controllers = model.controllers_by_id().map(|(id, _)| Consumer::Controller(id));
    let sensors = model.zones_by_id().map(|(id, _)| Consumer::Sensor(id));
    let coils = model.relays_by_id().map(|(id, _)| Consumer::Coil(id));
    let outputs = model.outputs_by_id().map(|(id, _)| Consumer::Output(id));
    let cameras = model.cameras_by_id().map(|(id, _)| Consumer::Camera(id));
    controllers.chain(sensors).chain(coils).chain(outputs).chain(cameras)
}

fn cable(wires: &Wires<'_>, of: For) -> String {
    wires.find(of).map_or_else(|| "on the spot".to_owned(), Wire::words)
}

pub(crate) fn table(facts: &Facts<'_, '_>, wires: &Wires<'_>, id: ControllerId) -> Table {
    let model = facts.model;
    let name = words::controller(model, id);
    let title = model
        .controller(id)
        .and_then(|controller| words::quoted(model, controller.name.at, controller.tree.title));
    let head = ["terminal", "is", "lands there", "cable", "returns to"];
    let title =
        format!("Terminals of `{name}`{}", title.map_or_else(String::new, |t| format!(", {t}")));
    let mut table = Table::new(format!("terminals-{name}"), title, &head);
    let Some(controller) = model.controller(id) else { return table };
    match controller.part {
        Some(part) => {
            let mut about = format!("part {}", model.part_name(part.id));
            if let Some(fed) = &controller.fed {
                about.push_str(&format!(", fed from {}", super::outputs::feed(model, fed)));
            }
            if let Some(fuse) = controller.tree.fuse {
                about.push_str(&format!(", fuse {}", words::amps(fuse.value)));
            }
            table.about = about;
        }
        None => table.note(crate::Cell::hole("not known: its part, and so its terminals")),
    }
    for declared in words::terminals(model, id) {
        let Offered { kind, name: terminal, .. } = &declared;
        let is = match kind {
            TerminalKind::Input => "input",
            TerminalKind::Common => "common",
            TerminalKind::Relay => "relay",
            TerminalKind::Outlet => "outlet",
            TerminalKind::Channel => "channel",
        };
        let landed = landed(model, wires, id, &declared);
        if landed.is_empty() {
            let free = if *kind == TerminalKind::Common { "" } else { "free" };
            table.row(cells![terminal, is, free]);
        }
        for (at, one) in landed.iter().enumerate() {
            let (terminal, is) = if at == 0 { (terminal.as_str(), is) } else { ("", "") };
            table.row(cells![terminal, is, &one.what, &one.cable, &one.returns]);
        }
    }
    table
}
