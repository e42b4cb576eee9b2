//! Every length of cable of a site, each with a tag of its own: what is drawn, listed, labelled,
//! bought and pulled is the same list.

use crate::words;
use curtilage_facts::Consumer;
use curtilage_model::{ControllerId, Feed, Input, Model, PartRef, RunOf, ZoneId};
use curtilage_syntax::tree::part;
use curtilage_text::Place;

/// What a length of cable is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum For {
    /// The contact of a zone.
    Contact(ZoneId),
    /// The tamper contact of a zone that has an input of its own.
    Tamper(ZoneId),
    /// What feeds something.
    Feed(Consumer),
    /// A piece of a cable with taps: the cable and the tap, by index.
    Piece(usize, usize),
}

/// A length of cable.
#[derive(Clone, Debug)]
pub(crate) struct Wire<'a> {
    /// Its tag: `W07`.
    pub(crate) tag: String,
    /// What it is for.
    pub(crate) of: For,
    /// The name of the cable part as it is written.
    pub(crate) kind: &'a str,
    /// The cable part.
    pub(crate) part: Option<PartRef<'a, part::Cable>>,
    /// Where it starts: the end nearer to controller or supply.
    pub(crate) from: String,
    /// Where it goes.
    pub(crate) to: String,
    /// Length one way, m.
    pub(crate) length: f64,
    /// Cores in parallel each way.
    pub(crate) cores: u32,
    /// Joints, both ways together.
    pub(crate) joints: u32,
}

impl Wire<'_> {
    /// The cores that are used, there and back.
    pub(crate) fn used(&self) -> u32 {
        self.cores.saturating_mul(2)
    }

    /// `W07, 22 m of six-core-0.22, 2 cores each way, 1 joint`
    pub(crate) fn words(&self) -> String {
        let mut out = format!("{}, {} of {}", self.tag, words::metres(self.length), self.kind);
        if self.cores > 1 {
            out.push_str(&format!(", {} cores each way", self.cores));
        }
        match self.joints {
            0 => {}
            1 => out.push_str(", 1 joint"),
            joints => out.push_str(&format!(", {joints} joints")),
        }
        out
    }

    /// The cores that the cable has.
    pub(crate) fn has(&self) -> Option<u32> {
        self.part.and_then(|part| part.sheet.cores).map(|cores| cores.value)
    }
}

/// All lengths of cable of a site.
#[derive(Debug, Default)]
pub(crate) struct Wires<'a> {
    pub(crate) list: Vec<Wire<'a>>,
}

impl<'a> Wires<'a> {
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut wires = Self::default();
        for (id, _) in model.controllers_by_id() {
            wires.feed(model, Consumer::Controller(id));
        }
        for (index, cable) in model.cables.iter().enumerate() {
            let start = cable
                .from
                .map_or_else(|| "not known".to_owned(), |from| words::origin(model, &from));
            for (place, tap) in cable.taps.iter().enumerate() {
                let name = |tap: &str| format!("{}.{tap}", cable.name.text);
                let before = tap.from.and_then(|before| cable.taps.get(before));
                wires.push(Wire {
                    tag: String::new(),
                    of: For::Piece(index, place),
                    kind: model.text(Place::new(cable.name.at.file, cable.tree.part.span)),
                    part: cable.part,
                    from: before.map_or_else(|| start.clone(), |before| name(before.name.text)),
                    to: name(tap.name.text),
                    length: tap.tree.length.value,
                    cores: cable.tree.cores.map_or(1, |cores| cores.value),
                    joints: 0,
                });
            }
        }
        for (id, zone) in model.zones_by_id() {
            let name = zone.name.text;
            wires.input(model, zone.input.as_ref(), For::Contact(id), name.to_owned());
            let tamper = format!("{name}, tamper contact");
            wires.input(model, zone.tamper().as_ref(), For::Tamper(id), tamper);
            wires.feed(model, Consumer::Sensor(id));
        }
        for (id, _) in model.relays_by_id() {
            wires.feed(model, Consumer::Coil(id));
        }
        for (id, _) in model.outputs_by_id() {
            wires.feed(model, Consumer::Output(id));
        }
        for (id, _) in model.cameras_by_id() {
            wires.feed(model, Consumer::Camera(id));
        }
        let width = wires.list.len().to_string().len().max(2);
        for (number, wire) in wires.list.iter_mut().enumerate() {
            wire.tag = format!("W{:0width$}", number + 1);
        }
        wires
    }

    fn push(&mut self, wire: Wire<'a>) {
        self.list.push(wire);
    }

    fn run(
        &mut self,
        model: &Model<'a>,
        run: &RunOf<'a>,
        near: Place,
        (of, from, to): (For, String, String),
    ) {
        self.push(Wire {
            tag: String::new(),
            of,
            kind: model.text(Place::new(near.file, run.tree.cable.span)),
            part: run.cable,
            from,
            to,
            length: run.tree.length.value,
            cores: run.tree.cores.map_or(1, |cores| cores.value),
            joints: run.tree.joints.map_or(0, |joints| joints.value),
        });
    }

    fn input(&mut self, model: &Model<'a>, input: Option<&Input<'a>>, of: For, to: String) {
        let Some((input, run)) = input.and_then(|input| Some((input, input.run?))) else { return };
        let from = model.text(input.at).to_owned();
        self.run(model, &run, input.line, (of, from, to));
    }

    fn feed(&mut self, model: &Model<'a>, of: Consumer) {
        let feed: Option<Feed<'a>> = of.feed(model);
        let Some((feed, run)) = feed.and_then(|feed| Some((feed, feed.run?))) else { return };
        let from = words::origin(model, &feed.origin);
        let name = of.name(model).text;
        let to = match of {
            Consumer::Sensor(_) => format!("{name}, feed"),
            Consumer::Coil(_) => format!("{name}, coil"),
            _ => name.to_owned(),
        };
        self.run(model, &run, feed.at, (For::Feed(of), from, to));
    }

    /// The wire for something.
    pub(crate) fn find(&self, of: For) -> Option<&Wire<'a>> {
        self.list.iter().find(|wire| wire.of == of)
    }

    /// The wire that feeds a controller.
    pub(crate) fn of_controller(&self, id: ControllerId) -> Option<&Wire<'a>> {
        self.find(For::Feed(Consumer::Controller(id)))
    }
}
