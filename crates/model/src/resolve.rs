//! Resolves the names of every thing of the root file, and tells facts that have to be said.

use crate::build::named;
use crate::ids::{
    CableId, CameraId, ControllerId, OutputId, PartId, RelayId, ScheduleId, SupplyId, ZoneId,
};
use crate::schedule::{ScheduleBody, ScheduleRef, ScheduleTerm};
use crate::scope::Names;
use crate::terminal::{self, Terminal, TerminalKind};
use crate::things::{
    Cause, Contact, ContactAt, Effect, Feed, Input, Keep, Model, Origin, PartRef, Reach, Reading,
    ReadingAt, RunOf, StoryThing, Tap,
};
use crate::{Fault, FaultKind, Kind, Named, Source};
use curtilage_syntax::tree::schedule::{Body, Combination};
use curtilage_syntax::tree::wiring::{self, Side};
use curtilage_syntax::tree::{self, Item, Name, Path, part};
use curtilage_syntax::{Parsed, nearest};
use curtilage_text::{Place, Span};
use std::collections::HashMap;

pub(crate) struct Resolver<'a> {
    pub(crate) model: Model<'a>,
    pub(crate) parts: Names<'a>,
    pub(crate) schedules: Names<'a>,
    pub(crate) things: Names<'a>,
    pub(crate) faults: Vec<Fault>,
}

/// Looks up a part of one kind and gives its sheet.
macro_rules! part_lookup {
    ($($method:ident, $variant:ident, $kind:ident);* $(;)?) => { $(
        fn $method(&mut self, source: &'a Source, name: Name) -> Option<PartRef<'a, part::$variant>> {
            let name = named(source, name);
            let entry = self.parts.find(name, Kind::$kind, &[Kind::$kind], &mut self.faults)?;
            let part = self.model.parts.get(entry.index)?;
            match part.body {
                part::Body::$variant(sheet) => {
                    Some(PartRef { id: PartId::new(entry.index), sheet, file: part.name.at.file })
                }
                _ => None,
            }
        }
    )* };
}

impl<'a> Resolver<'a> {
    part_lookup! {
        sensor, Sensor, SensorPart;
        controller_part, Controller, ControllerPart;
        supply_part, Supply, SupplyPart;
        battery, Battery, BatteryPart;
        load, Load, LoadPart;
        relay_part, Relay, RelayPart;
        cable_part, Cable, CablePart;
        camera_part, Camera, CameraPart;
        store, Store, StorePart;
    }

    pub(crate) fn all(&mut self) {
        let sources = self.model.sources;
        self.schedule_bodies();
        let Some(source) = sources.first() else { return };
        let source: &'a Source = source;
        let parsed: &'a Parsed = &source.parsed;
        for item in &parsed.file.items {
            if let Item::Part(part) = item {
                self.sheet(source, part);
            }
        }
        self.site(source);
        self.supplies(source);
        // Controllers, cables and relays refer to each other; their parts come first.
        for index in 0..self.model.controllers.len() {
            let tree = self.model.controllers.get(index).map(|c| c.tree);
            let part = tree.and_then(|tree| self.controller_part(source, tree.part));
            if let Some(controller) = self.model.controllers.get_mut(index) {
                controller.part = part;
            }
        }
        self.cables(source);
        self.controllers(source);
        self.relays(source);
        self.zones(source);
        self.outputs(source);
        self.cameras(source);
        self.recordings(source);
        self.responses(source);
        self.rehearsals(source);
        for item in &parsed.file.items {
            if let Item::Measured(measured) = item {
                self.measured(source, measured);
            }
        }
    }

    fn missing(
        &mut self,
        thing: String,
        name: &str,
        at: Place,
        what: &'static str,
        consequence: &'static str,
    ) {
        let kind = FaultKind::MissingFact { thing, what, consequence, name: name.to_owned() };
        self.faults.push(Fault { kind, at });
    }

    fn thing(
        &mut self,
        source: &'a Source,
        name: Name,
        wanted: Kind,
        kinds: &[Kind],
    ) -> Option<(Kind, usize)> {
        let name = named(source, name);
        let entry = self.things.find(name, wanted, kinds, &mut self.faults)?;
        Some((entry.kind, entry.index))
    }

    /// The index of a thing of one kind.
    fn one(&mut self, source: &'a Source, name: Name, kind: Kind) -> Option<usize> {
        self.thing(source, name, kind, &[kind]).map(|(_, index)| index)
    }

    // Schedules

    fn schedule_ref(&mut self, name: Named<'_>) -> Option<ScheduleRef> {
        match name.text {
            "always" => Some(ScheduleRef::Always),
            "never" => Some(ScheduleRef::Never),
            _ => {
                let kinds = [Kind::Schedule];
                let entry = self.schedules.find(name, Kind::Schedule, &kinds, &mut self.faults)?;
                Some(ScheduleRef::Of(ScheduleId::new(entry.index)))
            }
        }
    }

    fn schedule(&mut self, source: &'a Source, name: Name) -> Option<(ScheduleRef, Place)> {
        let name = named(source, name);
        self.schedule_ref(name).map(|schedule| (schedule, name.at))
    }

    fn schedule_bodies(&mut self) {
        let mut index = 0;
        for source in self.model.sources {
            let items = source.parsed.file.items.iter();
            for item in items {
                let Item::Schedule(tree) = item else { continue };
                if let Body::Combined(combination) = &tree.body {
                    let body = self.term(source, combination);
                    if let Some(schedule) = self.model.schedules.get_mut(index) {
                        schedule.body = body.map_or(ScheduleBody::Unknown, ScheduleBody::Combined);
                    }
                }
                index += 1;
            }
        }
        self.schedule_cycles();
    }

    fn term(&mut self, source: &'a Source, combination: &'a Combination) -> Option<ScheduleTerm> {
        // Both sides are read even when one fails, so that every unknown name is told.
        let mut both = |left: &'a Combination, right: &'a Combination| {
            let (left, right) = (self.term(source, left), self.term(source, right));
            Some((Box::new(left?), Box::new(right?)))
        };
        Some(match combination {
            Combination::Named(name) => {
                ScheduleTerm::Named(self.schedule_ref(named(source, *name))?)
            }
            Combination::Not(inner) => ScheduleTerm::Not(Box::new(self.term(source, inner)?)),
            Combination::Plus(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Plus(left, right)
            }
            Combination::Minus(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Minus(left, right)
            }
            Combination::Within(left, right) => {
                let (left, right) = both(left, right)?;
                ScheduleTerm::Within(left, right)
            }
        })
    }

    /// Takes apart schedules that are made of each other, so that those left form no ring.
    fn schedule_cycles(&mut self) {
        let uses: Vec<Vec<usize>> = self
            .model
            .schedules
            .iter()
            .map(|schedule| {
                let mut out = Vec::new();
                if let ScheduleBody::Combined(term) = &schedule.body {
                    named_in(term, &mut out);
                }
                out
            })
            .collect();
        // 0 not seen, 1 on the way, 2 done.
        let mut state = vec![0u8; uses.len()];
        for start in 0..uses.len() {
            let mut path: Vec<(usize, usize)> = vec![(start, 0)];
            if state.get(start).copied() != Some(0) {
                continue;
            }
            while let Some((node, next)) = path.pop() {
                if let Some(slot) = state.get_mut(node) {
                    *slot = 1;
                }
                match uses.get(node).and_then(|list| list.get(next)).copied() {
                    None => {
                        if let Some(slot) = state.get_mut(node) {
                            *slot = 2;
                        }
                    }
                    Some(used) => {
                        path.push((node, next + 1));
                        match state.get(used).copied() {
                            Some(0) => path.push((used, 0)),
                            Some(1) => self.break_ring(&path, used),
                            _ => {}
                        }
                    }
                }
            }
        }
    }

    fn break_ring(&mut self, path: &[(usize, usize)], back_to: usize) {
        let name = |index: usize| {
            self.model.schedules.get(index).map_or("", |schedule| schedule.name.text).to_owned()
        };
        let from = path.iter().position(|(node, _)| *node == back_to).unwrap_or(0);
        let ring: Vec<usize> = path.iter().skip(from).map(|(node, _)| *node).collect();
        let mut chain: Vec<String> = ring.iter().map(|index| name(*index)).collect();
        chain.push(name(back_to));
        if let Some(schedule) = self.model.schedules.get(back_to) {
            let at = schedule.name.at;
            self.faults.push(Fault { kind: FaultKind::ScheduleCycle(chain), at });
        }
        for index in ring {
            if let Some(schedule) = self.model.schedules.get_mut(index) {
                schedule.body = ScheduleBody::Unknown;
            }
        }
    }

    // The site and its current

    fn site(&mut self, source: &'a Source) {
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

    fn supplies(&mut self, source: &'a Source) {
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

    fn cables(&mut self, source: &'a Source) {
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
                    "tap NAME LENGTH from start",
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

    fn unknown_tap(&mut self, cable: &str, tap: Named<'_>, taps: &[Tap<'a>]) {
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

    fn origin(&mut self, source: &'a Source, path: Path) -> Option<Origin<'a>> {
        let kinds = [Kind::Supply, Kind::Cable, Kind::Controller];
        let (kind, index) = self.thing(source, path.head, Kind::Source, &kinds)?;
        match kind {
            Kind::Supply => {
                if let Some(tail) = path.tail {
                    let why = "a supply has no terminals to name".to_owned();
                    let at = Place::new(source.file, tail.span);
                    self.faults.push(Fault { kind: FaultKind::BadValue { why }, at });
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

    fn run(&mut self, source: &'a Source, run: &'a wiring::Run) -> RunOf<'a> {
        RunOf { tree: run, cable: self.cable_part(source, run.cable) }
    }

    fn feed(&mut self, source: &'a Source, feed: &'a wiring::Feed) -> Option<Feed<'a>> {
        let origin = self.origin(source, feed.from);
        let run = feed.run.as_ref().map(|run| self.run(source, run));
        Some(Feed { origin: origin?, run, at: Place::new(source.file, feed.from.span()) })
    }

    fn controllers(&mut self, source: &'a Source) {
        for index in 0..self.model.controllers.len() {
            let Some((tree, name)) = self.model.controllers.get(index).map(|c| (c.tree, c.name))
            else {
                continue;
            };
            let fed = match &tree.fed {
                Some(fed) => self.feed(source, fed),
                None => {
                    self.missing(
                        format!("controller `{}`", name.text),
                        name.text,
                        name.at,
                        "fed from SUPPLY",
                        "what it draws is in no supply's sum",
                    );
                    None
                }
            };
            if let Some(controller) = self.model.controllers.get_mut(index) {
                controller.fed = fed;
            }
        }
    }

    fn relays(&mut self, source: &'a Source) {
        for index in 0..self.model.relays.len() {
            let Some((tree, name)) = self.model.relays.get(index).map(|r| (r.tree, r.name)) else {
                continue;
            };
            let part = self.relay_part(source, tree.part);
            let thing = || format!("relay `{}`", name.text);
            let through = match &tree.through {
                Some(contact) => self.contact(source, contact),
                None => {
                    self.missing(
                        thing(),
                        name.text,
                        name.at,
                        "through CONTACT closing",
                        "nothing makes it pull in",
                    );
                    None
                }
            };
            let fed = match &tree.fed {
                Some(fed) => self.feed(source, fed),
                None => {
                    self.missing(
                        thing(),
                        name.text,
                        name.at,
                        "fed from SUPPLY",
                        "nothing feeds its coil",
                    );
                    None
                }
            };
            if let Some(relay) = self.model.relays.get_mut(index) {
                relay.part = part;
                relay.through = through;
                relay.fed = fed;
            }
        }
    }

    fn contact(&mut self, source: &'a Source, contact: &wiring::Contact) -> Option<Contact<'a>> {
        let at = Place::new(source.file, contact.path.span());
        let kinds = [Kind::Controller, Kind::Relay];
        let (kind, index) = self.thing(source, contact.path.head, Kind::ContactSource, &kinds)?;
        let of = if kind == Kind::Relay {
            if let Some(tail) = contact.path.tail {
                let why = "a relay has one contact; name the relay alone".to_owned();
                let at = Place::new(source.file, tail.span);
                self.faults.push(Fault { kind: FaultKind::BadValue { why }, at });
            }
            ContactAt::Relay(RelayId::new(index))
        } else {
            let terminal = self.terminal_at(source, contact.path, index, TerminalKind::Relay)?;
            ContactAt::Terminal(terminal)
        };
        let side = contact.side.map_or(Side::Closing, |side| side.value);
        Some(Contact { of, side, at })
    }

    // Terminals

    fn terminal(
        &mut self,
        source: &'a Source,
        path: Path,
        wanted: TerminalKind,
    ) -> Option<Terminal<'a>> {
        let index = self.one(source, path.head, Kind::Controller)?;
        self.terminal_at(source, path, index, wanted)
    }

    fn terminal_at(
        &mut self,
        source: &'a Source,
        path: Path,
        controller: usize,
        wanted: TerminalKind,
    ) -> Option<Terminal<'a>> {
        let thing = self.model.controllers.get(controller)?;
        let part = thing.part?;
        let file = self.model.sources.iter().find(|source| source.file == part.file)?;
        let text = |span: Span| -> &'a str { span.of(&file.text) };
        let name = path.tail.map_or("", |tail| source.text(tail.span));
        let found = terminal::find(part.sheet, text, name);
        if let Some((kind, group)) = found.filter(|(kind, _)| *kind == wanted) {
            let controller = ControllerId::new(controller);
            return Some(Terminal { controller, name, kind, group, file: part.file });
        }
        let groups = terminal::groups(part.sheet);
        let of_kind = groups.iter().find(|(kind, _)| *kind == wanted).map_or(&[][..], |(_, g)| g);
        let (known, names) = if wanted == TerminalKind::Common {
            let inputs = part.sheet.inputs.iter().filter_map(|group| group.common);
            let mut names: Vec<String> = inputs.map(|name| text(name.span).to_owned()).collect();
            names.extend(of_kind.iter().flat_map(|group| terminal::names(group, text)));
            (names.join(", "), names)
        } else {
            let declared: Vec<&str> = of_kind.iter().map(|group| text(group.span)).collect();
            let names = of_kind.iter().flat_map(|group| terminal::names(group, text)).collect();
            (declared.join(", "), names)
        };
        // Another number of the same kind is no misspelling: it is likely taken.
        let stem = |name: &str| name.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let nearest = nearest(name, names.iter().map(String::as_str))
            .filter(|near| near.get(..stem(near)) != name.get(..stem(name)))
            .map(str::to_owned);
        let declared = of_kind.first().map(|group| group.span);
        let at_part = self.model.parts.get(part.id.index()).map(|part| part.line);
        let declared = match declared {
            Some(span) => Place::new(part.file, span),
            None => at_part.unwrap_or_default(),
        };
        self.faults.push(Fault {
            kind: FaultKind::UnknownTerminal {
                controller: thing.name.text.to_owned(),
                terminal: name.to_owned(),
                wanted,
                is: found.map(|(kind, _)| kind),
                known,
                nearest,
                declared,
            },
            at: Place::new(source.file, path.span()),
        });
        None
    }

    // Zones, outputs, cameras

    fn input(&mut self, source: &'a Source, wired: &'a tree::zone::Wired) -> Input<'a> {
        let terminal = self.terminal(source, wired.to, TerminalKind::Input);
        let common =
            wired.common.and_then(|path| self.terminal(source, path, TerminalKind::Common));
        let run = wired.run.as_ref().map(|run| self.run(source, run));
        let line = Place::new(source.file, wired.line);
        let at = Place::new(source.file, wired.to.span());
        Input { tree: wired, terminal, common, run, line, at }
    }

    fn zones(&mut self, source: &'a Source) {
        for index in 0..self.model.zones.len() {
            let Some((tree, name)) = self.model.zones.get(index).map(|z| (z.tree, z.name)) else {
                continue;
            };
            let sensor = self.sensor(source, tree.part);
            let area = tree.area.and_then(|area| self.one(source, area, Kind::Area));
            let input = tree.wired.as_ref().map(|wired| self.input(source, wired));
            let tamper = tree.tamper.as_ref().map(|wired| self.input(source, wired));
            let armed = tree.armed.and_then(|armed| self.schedule(source, armed));
            let confirmed = tree.confirmed.and_then(|(zone, _)| self.one(source, zone, Kind::Zone));
            let follows = tree.follows.and_then(|output| self.one(source, output, Kind::Output));
            let fed = tree.fed.as_ref().and_then(|fed| self.feed(source, fed));
            let thing = || format!("zone `{}`", name.text);
            if tree.wired.is_none() {
                self.missing(
                    thing(),
                    name.text,
                    name.at,
                    "wired to INPUT",
                    "nothing reads its contact",
                );
            }
            if tree.purpose.is_none() {
                self.missing(
                    thing(),
                    name.text,
                    name.at,
                    "purpose panic | intrusion | tamper | technical | command",
                    "no rule can tell when it has to count",
                );
            }
            if tree.armed.is_none() {
                self.missing(
                    thing(),
                    name.text,
                    name.at,
                    "armed SCHEDULE",
                    "nothing says when it counts",
                );
            }
            if let Some(zone) = self.model.zones.get_mut(index) {
                zone.sensor = sensor;
                zone.area = area;
                zone.input = input;
                zone.tamper = tamper;
                zone.armed = armed;
                zone.confirmed = confirmed.map(ZoneId::new);
                zone.follows = follows.map(OutputId::new);
                zone.fed = fed;
            }
        }
    }

    fn outputs(&mut self, source: &'a Source) {
        for index in 0..self.model.outputs.len() {
            let Some((tree, name)) = self.model.outputs.get(index).map(|o| (o.tree, o.name)) else {
                continue;
            };
            let mut loads = Some(Vec::new());
            for (count, load) in &tree.loads {
                match (self.load(source, *load), &mut loads) {
                    (Some(load), Some(list)) => list.push((count.map_or(1, |c| c.value), load)),
                    _ => loads = None,
                }
            }
            let thing = || format!("output `{}`", name.text);
            let through = match &tree.through {
                Some(contact) => self.contact(source, contact),
                None => {
                    self.missing(
                        thing(),
                        name.text,
                        name.at,
                        "through CONTACT closing",
                        "nothing switches it",
                    );
                    None
                }
            };
            let fed = match &tree.fed {
                Some(fed) => self.feed(source, fed),
                None => {
                    self.missing(
                        thing(),
                        name.text,
                        name.at,
                        "fed from SUPPLY over LENGTH of CABLE",
                        "its voltage and the supply's load are not known",
                    );
                    None
                }
            };
            let mut reaches = Vec::new();
            for reach in &tree.reaches {
                let at = Place::new(source.file, reach.span);
                let kinds = [Kind::Area, Kind::Zone];
                match self.thing(source, *reach, Kind::AreaOrZone, &kinds) {
                    Some((Kind::Area, index)) => reaches.push(Reach::Area(index, at)),
                    Some((_, index)) => reaches.push(Reach::Zone(ZoneId::new(index), at)),
                    None => {}
                }
            }
            let area = tree.area.and_then(|area| self.one(source, area, Kind::Area));
            if let Some(output) = self.model.outputs.get_mut(index) {
                output.loads = loads;
                output.through = through;
                output.fed = fed;
                output.reaches = reaches;
                output.area = area;
            }
        }
    }

    fn cameras(&mut self, source: &'a Source) {
        for index in 0..self.model.cameras.len() {
            let Some(tree) = self.model.cameras.get(index).map(|camera| camera.tree) else {
                continue;
            };
            let part = tree.part.and_then(|part| self.camera_part(source, part));
            let channel = self.terminal(source, tree.channel, TerminalKind::Channel);
            let area = tree.area.and_then(|area| self.one(source, area, Kind::Area));
            let fed = tree.fed.as_ref().and_then(|fed| self.feed(source, fed));
            if let Some(camera) = self.model.cameras.get_mut(index) {
                camera.part = part;
                camera.channel = channel;
                camera.area = area;
                camera.fed = fed;
            }
        }
    }

    fn cameras_of(&mut self, source: &'a Source, names: &[Name]) -> Vec<(CameraId, Place)> {
        let mut out = Vec::new();
        for name in names {
            if let Some(index) = self.one(source, *name, Kind::Camera) {
                out.push((CameraId::new(index), Place::new(source.file, name.span)));
            }
        }
        out
    }

    fn recordings(&mut self, source: &'a Source) {
        for index in 0..self.model.recordings.len() {
            let Some(tree) = self.model.recordings.get(index).map(|plan| plan.tree) else {
                continue;
            };
            let controller = self.one(source, tree.controller, Kind::Controller);
            let mut keeps = Vec::new();
            for keep in &tree.keeps {
                let cameras = self.cameras_of(source, &keep.cameras);
                let during = match keep.during {
                    None => Some(ScheduleRef::Always),
                    Some(name) => self.schedule(source, name).map(|(schedule, _)| schedule),
                };
                keeps.push(Keep {
                    tree: keep,
                    cameras: cameras.into_iter().map(|(camera, _)| camera).collect(),
                    during,
                    line: Place::new(source.file, keep.line),
                });
            }
            let from_part = tree.store_part.and_then(|part| self.store(source, part));
            let name = source.text(tree.controller.span);
            let at = Place::new(source.file, tree.controller.span);
            let thing = || format!("the recording plan of `{name}`");
            if tree.keeps.is_empty() {
                self.missing(
                    thing(),
                    name,
                    at,
                    "keep events of CAMERA during SCHEDULE",
                    "it keeps nothing",
                );
            }
            if tree.store.is_none() && tree.store_part.is_none() {
                self.missing(
                    thing(),
                    name,
                    at,
                    "store DATA",
                    "how long footage lasts is not known",
                );
            }
            let held = from_part.and_then(|part| part.sheet.holds).or(tree.store);
            if let Some(plan) = self.model.recordings.get_mut(index) {
                plan.controller = controller.map(ControllerId::new);
                plan.keeps = keeps;
                plan.store = held.map(|held| held.value);
            }
        }
    }

    // Responses and stories

    fn responses(&mut self, source: &'a Source) {
        for index in 0..self.model.responses.len() {
            let Some((tree, line)) = self.model.responses.get(index).map(|r| (r.tree, r.line))
            else {
                continue;
            };
            let mut causes = Vec::new();
            for cause in tree.causes.list() {
                if let Some(known) = self.cause(source, cause) {
                    causes.push((known, Place::new(source.file, cause.span)));
                }
            }
            let all_within = match &tree.causes {
                tree::response::Causes::All(_, within) => Some(within.value),
                tree::response::Causes::Any(_) => None,
            };
            let during = tree.during.and_then(|name| self.schedule(source, name));
            let mut effects = Vec::new();
            for effect in &tree.effects {
                self.effect(source, effect, &mut effects);
            }
            if tree.effects.is_empty() {
                let words = source.text(tree.line);
                self.missing(
                    format!("`{words}`"),
                    "",
                    line,
                    "close OUTPUT for TIME",
                    "it does nothing",
                );
            }
            if let Some(response) = self.model.responses.get_mut(index) {
                response.causes = causes;
                response.all_within = all_within;
                response.during = during;
                response.effects = effects;
            }
        }
    }

    fn cause(&mut self, source: &'a Source, cause: &tree::response::Cause) -> Option<Cause> {
        use tree::response::CauseKind;
        let zone = |index: usize| ZoneId::new(index);
        Some(match cause.kind {
            CauseKind::Zone => Cause::Zone(zone(self.one(source, cause.name, Kind::Zone)?)),
            CauseKind::Tamper => Cause::Tamper(zone(self.one(source, cause.name, Kind::Zone)?)),
            CauseKind::Loss => {
                let kinds = [Kind::Camera, Kind::Supply];
                match self.thing(source, cause.name, Kind::CameraOrSupply, &kinds)? {
                    (Kind::Camera, index) => Cause::CameraLost(CameraId::new(index)),
                    (_, index) => Cause::SupplyLost(SupplyId::new(index)),
                }
            }
            CauseKind::Start => Cause::Start(self.schedule(source, cause.name)?.0),
            CauseKind::End => Cause::End(self.schedule(source, cause.name)?.0),
        })
    }

    fn effect(
        &mut self,
        source: &'a Source,
        effect: &tree::response::Effect,
        out: &mut Vec<(Effect, Place)>,
    ) {
        use tree::response::EffectKind;
        let line = Place::new(source.file, effect.line);
        let time = |time: &Option<tree::Spanned<u64>>| time.map(|time| time.value);
        match &effect.kind {
            EffectKind::Switch { output, on, hold } => {
                if let Some(index) = self.one(source, *output, Kind::Output) {
                    let output = OutputId::new(index);
                    out.push((Effect::Switch { output, on: *on, hold: time(hold) }, line));
                }
            }
            EffectKind::Pulse { output, on, off, hold } => {
                if let Some(index) = self.one(source, *output, Kind::Output) {
                    let output = OutputId::new(index);
                    let (on, off, hold) = (on.value, off.value, hold.value);
                    out.push((Effect::Pulse { output, on, off, hold }, line));
                }
            }
            EffectKind::Record { cameras, before, after } => {
                let (before, after) = (time(before).unwrap_or(0), time(after).unwrap_or(0));
                for (camera, at) in self.cameras_of(source, cameras) {
                    out.push((Effect::Record { camera, at, before, after }, line));
                }
            }
            EffectKind::Show { cameras } => {
                for (camera, _) in self.cameras_of(source, cameras) {
                    out.push((Effect::Show(camera), line));
                }
            }
            EffectKind::Sound { controller, hold } => {
                if let Some(index) = self.one(source, *controller, Kind::Controller) {
                    let controller = ControllerId::new(index);
                    out.push((Effect::Sound { controller, hold: time(hold) }, line));
                }
            }
            EffectKind::Tell { people } => {
                for name in people {
                    if let Some(index) = self.one(source, *name, Kind::People) {
                        out.push((Effect::Tell(index), line));
                    }
                }
            }
            EffectKind::Move { camera, preset } => {
                let Some(index) = self.one(source, *camera, Kind::Camera) else { return };
                let preset = named(source, *preset);
                let presets = self.model.cameras.get(index).map_or(&[][..], |c| &c.tree.presets);
                let known: Vec<_> = presets.iter().map(|name| named(source, *name)).collect();
                if !known.iter().any(|name| name.text == preset.text) {
                    let near = nearest(preset.text, known.iter().map(|name| name.text));
                    let near = near.and_then(|near| known.iter().find(|name| name.text == near));
                    let nearest = near.map(|name| (name.text.to_owned(), name.at));
                    let name = preset.text.to_owned();
                    let kind = FaultKind::UnknownName { name, wanted: Kind::Preset, nearest };
                    self.faults.push(Fault { kind, at: preset.at });
                }
                out.push((Effect::Move(CameraId::new(index)), line));
            }
        }
    }

    fn story_thing(&mut self, source: &'a Source, name: Name) -> Option<StoryThing> {
        let kinds = [Kind::Zone, Kind::Output, Kind::Camera, Kind::Supply, Kind::People];
        Some(match self.thing(source, name, Kind::Actor, &kinds)? {
            (Kind::Zone, index) => StoryThing::Zone(ZoneId::new(index)),
            (Kind::Output, index) => StoryThing::Output(OutputId::new(index)),
            (Kind::Camera, index) => StoryThing::Camera(CameraId::new(index)),
            (Kind::Supply, index) => StoryThing::Supply(SupplyId::new(index)),
            (_, index) => StoryThing::People(index),
        })
    }

    fn rehearsals(&mut self, source: &'a Source) {
        for index in 0..self.model.rehearsals.len() {
            let Some(tree) = self.model.rehearsals.get(index).map(|story| story.tree) else {
                continue;
            };
            let acts: Vec<_> =
                tree.acts.iter().map(|act| self.story_thing(source, act.subject)).collect();
            let expectations: Vec<_> = tree
                .expectations
                .iter()
                .map(|expectation| self.story_thing(source, expectation.subject))
                .collect();
            if tree.expectations.is_empty() {
                let title = source.quoted(tree.title);
                let at = Place::new(source.file, tree.title);
                self.missing(
                    format!("the rehearsal \"{title}\""),
                    "",
                    at,
                    "expect ZONE registers once",
                    "it shows nothing",
                );
            }
            if let Some(story) = self.model.rehearsals.get_mut(index) {
                story.acts = acts;
                story.expectations = expectations;
            }
        }
    }

    fn measured(&mut self, source: &'a Source, measured: &'a tree::measured::Measured) {
        for reading in &measured.readings {
            let kinds = [Kind::Controller, Kind::Output, Kind::Supply];
            let Some((kind, index)) = self.thing(source, reading.at.head, Kind::Measurable, &kinds)
            else {
                continue;
            };
            let at = match (kind, reading.at.tail) {
                (Kind::Controller, Some(_)) => {
                    let input = self.terminal_at(source, reading.at, index, TerminalKind::Input);
                    let Some(terminal) = input else { continue };
                    ReadingAt::Terminal(terminal)
                }
                (Kind::Controller, None) => ReadingAt::Controller(ControllerId::new(index)),
                (Kind::Output, _) => ReadingAt::Output(OutputId::new(index)),
                _ => ReadingAt::Supply(SupplyId::new(index)),
            };
            let line = Place::new(source.file, reading.line);
            let date = measured.date.value;
            self.model.readings.push(Reading { tree: reading, date, at, line });
        }
    }

    // Part sheets

    /// Facts that a sheet has to give; told where the part stands.
    fn sheet(&mut self, source: &'a Source, tree: &'a part::Part) {
        let name = named(source, tree.name);
        let mut facts: Vec<(bool, &'static str, &'static str)> = Vec::new();
        match &tree.body {
            part::Body::Sensor(sheet) => {
                facts.push((
                    sheet.rests.is_some(),
                    "rests open | rests closed",
                    "no zone can tell rest from alarm",
                ));
                facts.push((
                    sheet.active.is_some(),
                    "active until restored | while held | for TIME",
                    "how often it registers is not known",
                ));
            }
            part::Body::Controller(sheet) => {
                if !sheet.inputs.is_empty() {
                    facts.push((
                        sheet.repeats.is_some(),
                        "repeats while active | once an activation",
                        "how often a held contact registers is not known",
                    ));
                }
                self.terminals(source, sheet);
            }
            part::Body::Supply(sheet) => {
                facts.push((
                    sheet.gives.is_some(),
                    "gives VOLTAGE to VOLTAGE dc, at most CURRENT",
                    "no voltage can be worked out",
                ));
            }
            part::Body::Battery(sheet) => {
                facts.push((
                    !sheet.holds.is_empty(),
                    "holds CHARGE over TIME",
                    "no standby time can be worked out",
                ));
            }
            part::Body::Load(sheet) => {
                facts.push((
                    sheet.draws.is_some(),
                    "draws CURRENT at VOLTAGE to VOLTAGE",
                    "no contact, cable or battery can be checked",
                ));
            }
            part::Body::Relay(sheet) => {
                facts.push((
                    sheet.coil.is_some(),
                    "coil CURRENT at VOLTAGE to VOLTAGE",
                    "what drives it cannot be checked",
                ));
                facts.push((
                    !sheet.contact.is_empty(),
                    "contact CURRENT at VOLTAGE dc",
                    "what it drives cannot be checked",
                ));
            }
            part::Body::Cable(sheet) => {
                let known = sheet.conductor.is_some() || sheet.resistance.is_some();
                facts.push((known, "conductor AREA", "no voltage drop can be worked out"));
            }
            part::Body::Store(sheet) => {
                facts.push((
                    sheet.holds.is_some(),
                    "holds DATA",
                    "how long footage lasts is not known",
                ));
            }
            part::Body::Camera(_) => {}
        }
        for (given, what, consequence) in facts {
            if !given {
                self.missing(
                    format!("part `{}`", name.text),
                    name.text,
                    name.at,
                    what,
                    consequence,
                );
            }
        }
    }

    /// Terminals of one part: ranges that make sense, and no name twice.
    fn terminals(&mut self, source: &'a Source, sheet: &'a part::Controller) {
        let mut seen: HashMap<String, Place> = HashMap::new();
        for (_, groups) in terminal::groups(sheet) {
            for group in groups {
                let at = Place::new(source.file, group.span);
                for (first, last) in &group.names {
                    let Some(last) = last else { continue };
                    let (first, last) = (source.text(first.span), source.text(last.span));
                    if terminal::numbers(first, last).is_none() {
                        let why = format!("`{first} to {last}` is no range of numbered terminals");
                        self.faults.push(Fault { kind: FaultKind::BadValue { why }, at });
                    }
                }
                for name in terminal::names(group, |span| source.text(span)) {
                    if let Some(first_at) = seen.get(&name).copied() {
                        let kind = Kind::Anything;
                        let kind =
                            FaultKind::DuplicateName { name, first: kind, first_at, second: kind };
                        self.faults.push(Fault { kind, at });
                        return;
                    }
                    seen.insert(name, at);
                }
            }
        }
    }
}

fn named_in(term: &ScheduleTerm, out: &mut Vec<usize>) {
    match term {
        ScheduleTerm::Named(ScheduleRef::Of(id)) => out.push(id.index()),
        ScheduleTerm::Named(_) => {}
        ScheduleTerm::Not(inner) => named_in(inner, out),
        ScheduleTerm::Plus(left, right)
        | ScheduleTerm::Minus(left, right)
        | ScheduleTerm::Within(left, right) => {
            named_in(left, out);
            named_in(right, out);
        }
    }
}
