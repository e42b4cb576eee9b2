//! Terminals that are still free, with what the controller offers at them.

use super::{CompletionKind, List};
use crate::hover::users;
use crate::line::Expected;
use curtilage_model::{Offered, PartRef, TerminalKind};
use curtilage_syntax::tree::part;
use curtilage_units::amps;

impl<'a> List<'a> {
    /// The terminals of a kind of every controller that nothing uses but the thing at the cursor.
    /// An outlet may feed several, and a common takes many.
    pub(super) fn terminals(&mut self, wanted: TerminalKind, shared: bool, expected: &Expected) {
        let model = self.view.model();
        let item = self.cursor.line.map(|line| line.item).or(self.cursor.item);
        let own = item.map_or("", |item| crate::line::name_of(self.source, item));
        let own = format!("`{own}`");
        for (id, controller) in model.controllers_by_id() {
            let Some(part) = controller.part else { continue };
            for offered in model.terminals(part) {
                if offered.kind != wanted {
                    continue;
                }
                let is_common = wanted == TerminalKind::Common;
                if is_common && !self.common_fits(controller.name.text, &offered, expected) {
                    continue;
                }
                let mut users = users(model, id, &offered.name);
                users.retain(|user| *user != own);
                let many = shared || matches!(wanted, TerminalKind::Common | TerminalKind::Outlet);
                // The other side of a changeover contact is free.
                let sides = match offered.group.contacts {
                    Some(part::Contacts::Changeover) => 2,
                    _ => 1,
                };
                if !many && users.len() >= sides {
                    continue;
                }
                let mut detail = self.offers(part, &offered);
                if !users.is_empty() {
                    detail.push_str(&format!(", used by {}", users.join(", ")));
                }
                let label = format!("{}.{}", controller.name.text, offered.name);
                self.push(CompletionKind::Terminal, label, detail, "");
            }
        }
    }

    /// What a controller offers at a terminal.
    fn offers(&self, part: PartRef<'a, part::Controller>, offered: &Offered<'a>) -> String {
        let text = |span| crate::symbols::one_line(self.view.model().text(part.place(span)));
        let mut words = vec![offered.kind.noun().to_owned()];
        match offered.kind {
            TerminalKind::Input => {
                words.extend(
                    offered.group.common.map(|common| format!("common {}", text(common.span))),
                );
                words.extend(
                    part.sheet.input_rests.map(|rests| format!("rests {}", rests.value.word())),
                );
                let bands = part.sheet.input.as_ref().map(|spec| {
                    let names: Vec<&str> = spec.bands.iter().map(|band| band.name.word()).collect();
                    format!("tells {}", names.join(", "))
                });
                words.extend(bands.filter(|words| words.len() > "tells ".len()));
            }
            TerminalKind::Relay => {
                words.extend(offered.group.contacts.map(|contacts| {
                    match contacts {
                        part::Contacts::Make => "make",
                        part::Contacts::Break => "break",
                        part::Contacts::Changeover => "changeover",
                    }
                    .to_owned()
                }));
                words.extend(part.sheet.relay.first().map(|rating| text(rating.span)));
            }
            TerminalKind::Outlet => {
                words
                    .extend(offered.group.most.map(|most| format!("at most {}", amps(most.value))));
            }
            _ => {}
        }
        words.join(", ")
    }

    /// The taps of all cables but the one that is written: it does not begin at itself.
    pub(super) fn taps(&mut self, expected: &Expected) {
        let cable = (expected.form.block == "a cable").then(|| self.item_name());
        let all: Vec<_> = self.names().list.clone();
        for known in all {
            if known.kind == curtilage_model::Kind::Tap
                && let Some(of) = known.of
                && cable != Some(of)
            {
                let label = format!("{of}.{}", known.name);
                self.push(CompletionKind::Terminal, label, "tap", "");
            }
        }
    }

    /// The inputs on which a zone lands: what a meter can be held to.
    pub(super) fn measured_terminals(&mut self) {
        let model = self.view.model();
        for (id, zone) in model.zones_by_id() {
            let Some(terminal) = zone.input.and_then(|input| input.terminal) else { continue };
            let label = model.terminal_name(&terminal);
            let reads = crate::figures::rest_reading(self.view.facts(), id);
            let reads = reads.map_or_else(String::new, |reads| format!(", {reads}"));
            let detail = format!("zone `{}`{reads}", zone.name.text);
            self.push(CompletionKind::Terminal, label, detail, "");
        }
    }
}
