//! The site, and what carries its current: supplies, cables, controllers, relays.

use super::Resolver;
use crate::build::named;
use crate::ids::{CableId, RelayId, SupplyId};
use crate::terminal::TerminalKind;
use crate::things::{Contact, ContactAt, Feed, Origin, RunOf, Tap};
use crate::{Fault, FaultKind, Kind, Named, Source};
use curtilage_syntax::tree::wiring::Side;
use curtilage_syntax::tree::{Path, wiring};
use curtilage_text::Place;

impl<'a> Resolver<'a> {
    pub(super) fn site(&mut self, source: &'a Source) {
        let Some(site) = &self.model.site else { return };
        let (tree, name) = (site.tree, site.name);
        if let Some(occupied) = tree.occupied {
            let occupied = self.schedule(source, occupied).map(|(schedule, _)| schedule);
            if let Some(site) = &mut self.model.site {
                site.occupied = occupied;
            }
        }
        let thing = || format!("site `{}`", name.text);
        if tree.timezone.is_none() {
            self.missing(
                thing(),
                name.text,
                name.at,
                "timezone ZONE",
                "the hours of its schedules are not known on the days when clocks change",
            );
        }
        if tree.ambient.is_none() {
            self.missing(
                thing(),
                name.text,
                name.at,
                "ambient TEMPERATURE to TEMPERATURE",
                "the resistance of its cables and the capacity of its batteries are not known",
            );
        }
    }

    pub(super) fn supplies(&mut self, source: &'a Source) {
        for index in 0..self.model.supplies.len() {
            let Some(tree) = self.model.supplies.get(index).map(|supply| supply.tree) else {
                continue;
            };
            let part = self.supply_part(source, tree.part);
            let battery = tree.battery.and_then(|(count, name)| {
                Some((count.map_or(1, |count| count.value), self.battery(source, name)?))
            });
            if let Some(supply) = self.model.supplies.get_mut(index) {
                supply.part = part;
                supply.battery = battery;
            }
        }
    }

    pub(super) fn cables(&mut self, source: &'a Source) {
        for index in 0..self.model.cables.len() {
            let Some((tree, name)) = self.model.cables.get(index).map(|c| (c.tree, c.name)) else {
                continue;
            };
            let part = self.cable_part(source, tree.part);
            let mut taps: Vec<Tap<'a>> = Vec::new();
            for tap in &tree.taps {
                let tap_name = named(source, tap.name);
                if let Some(first) = taps.iter().find(|known| known.name.text == tap_name.text) {
                    self.faults.push(Fault {
                        kind: FaultKind::DuplicateName {
                            name: tap_name.text.to_owned(),
                            first: Kind::Tap,
                            first_at: first.name.at,
                            second: Kind::Tap,
                        },
                        at: tap_name.at,
                    });
                    continue;
                }
                let from = match tap.from {
                    None => None,
                    Some(before) => {
                        let before = named(source, before);
                        let found = taps.iter().position(|known| known.name.text == before.text);
                        if found.is_none() {
                            self.unknown_tap(name.text, before, &taps);
                            continue;
                        }
                        found
                    }
                };
                taps.push(Tap { name: tap_name, tree: tap, from });
            }
            if tree.from.is_none() {
                self.missing(
                    format!("cable `{}`", name.text),
                    name.text,
                    name.at,
                    "from PLACE",
                    "nothing feeds what hangs on it",
                );
            }
            if tree.taps.is_empty() {
                self.missing(
                    format!("cable `{}`", name.text),
                    name.text,
                    name.at,
                    "tap NAME at LENGTH from start",
                    "nothing can hang on it",
                );
            }
            if let Some(cable) = self.model.cables.get_mut(index) {
                cable.part = part;
                cable.taps = taps;
            }
        }
        for index in 0..self.model.cables.len() {
            let Some(from) = self.model.cables.get(index).and_then(|cable| cable.tree.from) else {
                continue;
            };
            let origin = self.origin(source, from);
            if let Some(cable) = self.model.cables.get_mut(index) {
                cable.from = origin;
            }
        }
    }

    pub(super) fn unknown_tap(&mut self, cable: &str, tap: Named<'_>, taps: &[Tap<'a>]) {
        let known = taps.iter().map(|tap| tap.name.text.to_owned()).collect();
        self.faults.push(Fault {
            kind: FaultKind::UnknownTap {
                cable: cable.to_owned(),
                tap: tap.text.to_owned(),
                known,
            },
            at: tap.at,
        });
    }

    pub(super) fn origin(&mut self, source: &'a Source, path: Path) -> Option<Origin<'a>> {
        let kinds = [Kind::Supply, Kind::Cable, Kind::Controller];
        let (kind, index) = self.thing(source, path.head, Kind::Source, &kinds)?;
        match kind {
            Kind::Supply => {
                if let Some(tail) = path.tail {
                    let why = "a supply has no terminals to name".to_owned();
                    let supply = source.text(path.head.span);
                    let help = format!("write `{supply}` alone, or the outlet of a controller");
                    let at = Place::new(source.file, tail.span);
                    self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
                    return None;
                }
                Some(Origin::Supply(SupplyId::new(index)))
            }
            Kind::Cable => {
                let cable = self.model.cables.get(index)?;
                let tap = path.tail.map(|tail| named(source, tail));
                let found = tap.and_then(|tap| {
                    cable.taps.iter().position(|known| known.name.text == tap.text)
                });
                if found.is_none() {
                    // A tap whose own line is faulty has been told there.
                    let written = |tap: Named<'_>| {
                        cable.tree.taps.iter().any(|t| source.text(t.name.span) == tap.text)
                    };
                    if !tap.is_some_and(written) {
                        let known = cable.taps.iter().map(|tap| tap.name.text.to_owned()).collect();
                        let (cable, at) =
                            (cable.name.text.to_owned(), Place::new(source.file, path.span()));
                        let tap = tap.map_or(String::new(), |tap| tap.text.to_owned());
                        self.faults
                            .push(Fault { kind: FaultKind::UnknownTap { cable, tap, known }, at });
                    }
                }
                Some(Origin::Tap(CableId::new(index), found?))
            }
            _ => self.terminal_at(source, path, index, TerminalKind::Outlet).map(Origin::Outlet),
        }
    }

    pub(super) fn run(&mut self, source: &'a Source, run: &'a wiring::Run) -> RunOf<'a> {
        RunOf { tree: run, cable: self.cable_part(source, run.cable) }
    }

    pub(super) fn feed(&mut self, source: &'a Source, feed: &'a wiring::Feed) -> Option<Feed<'a>> {
        let origin = self.origin(source, feed.from);
        let run = feed.run.as_ref().map(|run| self.run(source, run));
        Some(Feed { origin: origin?, run, at: Place::new(source.file, feed.from.span()) })
    }

    /// What feeds a thing that has to be fed; told when nothing does.
    pub(super) fn needed_feed(
        &mut self,
        source: &'a Source,
        feed: Option<&'a wiring::Feed>,
        thing: (&str, Named<'a>),
        what: &'static str,
        consequence: &'static str,
    ) -> Option<Feed<'a>> {
        if feed.is_none() {
            self.missing_of(thing, what, consequence);
        }
        self.feed(source, feed?)
    }

    /// The contact that switches a thing; told when there is none.
    pub(super) fn needed_contact(
        &mut self,
        source: &'a Source,
        contact: Option<&wiring::Contact>,
        thing: (&str, Named<'a>),
        consequence: &'static str,
    ) -> Option<Contact<'a>> {
        if contact.is_none() {
            self.missing_of(thing, "through CONTACT closing", consequence);
        }
        self.contact(source, contact?)
    }

    fn missing_of(
        &mut self,
        (kind, name): (&str, Named<'a>),
        what: &'static str,
        consequence: &'static str,
    ) {
        let thing = format!("{kind} `{}`", name.text);
        self.missing(thing, name.text, name.at, what, consequence);
    }

    pub(super) fn controllers(&mut self, source: &'a Source) {
        for index in 0..self.model.controllers.len() {
            let Some((tree, name)) = self.model.controllers.get(index).map(|c| (c.tree, c.name))
            else {
                continue;
            };
            let fed = self.needed_feed(
                source,
                tree.fed.as_ref(),
                ("controller", name),
                "fed from SUPPLY",
                "what it draws is in no supply's sum",
            );
            if let Some(controller) = self.model.controllers.get_mut(index) {
                controller.fed = fed;
            }
        }
    }

    pub(super) fn relays(&mut self, source: &'a Source) {
        for index in 0..self.model.relays.len() {
            let Some((tree, name)) = self.model.relays.get(index).map(|r| (r.tree, r.name)) else {
                continue;
            };
            let part = self.relay_part(source, tree.part);
            let through = self.needed_contact(
                source,
                tree.through.as_ref(),
                ("relay", name),
                "nothing makes it pull in",
            );
            let fed = self.needed_feed(
                source,
                tree.fed.as_ref(),
                ("relay", name),
                "fed from SUPPLY",
                "nothing feeds its coil",
            );
            if let Some(relay) = self.model.relays.get_mut(index) {
                relay.part = part;
                relay.through = through;
                relay.fed = fed;
            }
        }
    }

    pub(super) fn contact(
        &mut self,
        source: &'a Source,
        contact: &wiring::Contact,
    ) -> Option<Contact<'a>> {
        let at = Place::new(source.file, contact.path.span());
        let kinds = [Kind::Controller, Kind::Relay];
        let (kind, index) = self.thing(source, contact.path.head, Kind::ContactSource, &kinds)?;
        let of = if kind == Kind::Relay {
            if let Some(tail) = contact.path.tail {
                let why = "a relay has one contact; name the relay alone".to_owned();
                let relay = source.text(contact.path.head.span);
                let help = format!("through  {relay} closing | opening");
                let at = Place::new(source.file, tail.span);
                self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
            }
            ContactAt::Relay(RelayId::new(index))
        } else {
            let terminal = self.terminal_at(source, contact.path, index, TerminalKind::Relay)?;
            ContactAt::Terminal(terminal)
        };
        let side = contact.side.map_or(Side::Closing, |side| side.value);
        Some(Contact { of, side, at })
    }
}
