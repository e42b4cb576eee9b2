//! Resolves the names of every thing of the root file, and tells facts that have to be said.

use crate::build::named;
use crate::ids::PartId;
use crate::scope::Names;
use crate::terminal::Offers;
use crate::things::{Model, PartRef};
use crate::{Fault, FaultKind, Kind, Source};
use curtilage_syntax::Parsed;
use curtilage_syntax::tree::{Item, Name, part};
use curtilage_text::Place;
use std::collections::BTreeMap;

mod current;
mod fitted;
mod rings;
mod schedules;
mod sheets;
mod stories;
mod terminals;

pub(crate) struct Resolver<'a> {
    pub(crate) model: Model<'a>,
    pub(crate) parts: Names<'a>,
    pub(crate) schedules: Names<'a>,
    pub(crate) things: Names<'a>,
    pub(crate) faults: Vec<Fault>,
    /// What the parts of controllers offer, as far as somebody has asked.
    pub(crate) offers: BTreeMap<PartId, Offers<'a>>,
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
        self.rings();
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
}
