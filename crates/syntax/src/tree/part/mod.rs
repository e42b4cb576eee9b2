//! `part`: what a data sheet gives. Every figure is optional here; what its absence costs is said
//! by the rules that need it.

mod battery;
mod cable;
mod camera;
mod controller;
mod load;
mod relay;
mod sensor;
mod store;
mod supply;

pub use battery::{Battery, Holds};
pub use cable::{Cable, Conductor};
pub use camera::Camera;
pub use controller::{
    Band, BandName, Contacts, Controller, InputSpec, Limits, OnTime, Repeats, Terminals,
};
pub use load::{Load, Nature};
pub use relay::Relay;
pub(crate) use sensor::RESTS;
pub use sensor::{ActiveFor, Disturbance, Rest, Sensor};
pub use store::Store;
pub use supply::Supply;

use super::value::CURRENT_KINDS;
use super::{CurrentKind, Interval, Name, Spanned};
use crate::fault::Fault;
use crate::form::Vocabulary;
use crate::phrase::Phrase;
use crate::piece::Body as Lines;
use curtilage_text::Span;
use curtilage_units::Dimension;

/// A part.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name.
    pub name: Name,
    /// Its title, quotes included.
    pub title: Option<Span>,
    /// The first line.
    pub line: Span,
    /// What it is.
    pub body: Body,
}

/// What a part is, with its figures.
#[derive(Clone, Debug)]
pub enum Body {
    /// A contact that something outside moves.
    Sensor(Sensor),
    /// What reads inputs and drives outputs.
    Controller(Controller),
    /// A source of current.
    Supply(Supply),
    /// A standby battery.
    Battery(Battery),
    /// What an output drives.
    Load(Load),
    /// A relay of its own.
    Relay(Relay),
    /// A cable.
    Cable(Cable),
    /// A camera.
    Camera(Camera),
    /// Where footage is kept.
    Store(Store),
}

impl Body {
    /// The kind as it is written.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Sensor(_) => "sensor",
            Self::Controller(_) => "controller",
            Self::Supply(_) => "supply",
            Self::Battery(_) => "battery",
            Self::Load(_) => "load",
            Self::Relay(_) => "relay",
            Self::Cable(_) => "cable",
            Self::Camera(_) => "camera",
            Self::Store(_) => "store",
        }
    }
}

/// The kinds of part, as they are written.
pub(crate) const KINDS: &[(&str, Kind)] = &[
    ("sensor", Kind::Sensor),
    ("controller", Kind::Controller),
    ("supply", Kind::Supply),
    ("battery", Kind::Battery),
    ("load", Kind::Load),
    ("relay", Kind::Relay),
    ("cable", Kind::Cable),
    ("camera", Kind::Camera),
    ("store", Kind::Store),
];

#[derive(Clone, Copy, Debug)]
pub(crate) enum Kind {
    Sensor,
    Controller,
    Supply,
    Battery,
    Load,
    Relay,
    Cable,
    Camera,
    Store,
}

impl Kind {
    /// A part of this kind of which nothing is said yet.
    pub(crate) fn empty(self) -> Body {
        match self {
            Self::Sensor => Body::Sensor(Sensor::default()),
            Self::Controller => Body::Controller(Controller::default()),
            Self::Supply => Body::Supply(Supply::default()),
            Self::Battery => Body::Battery(Battery::default()),
            Self::Load => Body::Load(Load::default()),
            Self::Relay => Body::Relay(Relay::default()),
            Self::Cable => Body::Cable(Cable::default()),
            Self::Camera => Body::Camera(Camera::default()),
            Self::Store => Body::Store(Store::default()),
        }
    }
}

impl Body {
    /// Reads the statements of a part's block.
    pub(crate) fn read(&mut self, source: &str, block: Option<Lines<'_>>, faults: &mut Vec<Fault>) {
        match self {
            Self::Sensor(part) => sensor::FORM.read(source, block, part, faults),
            Self::Controller(part) => controller::FORM.read(source, block, part, faults),
            Self::Supply(part) => supply::FORM.read(source, block, part, faults),
            Self::Battery(part) => battery::FORM.read(source, block, part, faults),
            Self::Load(part) => load::FORM.read(source, block, part, faults),
            Self::Relay(part) => relay::FORM.read(source, block, part, faults),
            Self::Cable(part) => cable::FORM.read(source, block, part, faults),
            Self::Camera(part) => camera::FORM.read(source, block, part, faults),
            Self::Store(part) => store::FORM.read(source, block, part, faults),
        }
    }
}

pub(crate) fn vocabulary(out: &mut Vec<Vocabulary>) {
    sensor::FORM.list(out);
    controller::FORM.list(out);
    supply::FORM.list(out);
    battery::FORM.list(out);
    load::FORM.list(out);
    relay::FORM.list(out);
    cable::FORM.list(out);
    camera::FORM.list(out);
    store::FORM.list(out);
}

/// What something draws: `0.45 A at 9 V to 14 V dc, constant current`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draw {
    /// A when `power` is false, otherwise W.
    pub amount: Spanned<f64>,
    /// Whether the amount is a power.
    pub power: bool,
    /// V, the range in which it works.
    pub works: Option<Spanned<Interval>>,
    /// dc or ac, when it is said.
    pub kind: Option<CurrentKind>,
    /// How the current depends on the voltage, when it is said.
    pub law: Option<Spanned<Law>>,
    /// Where it stands.
    pub span: Span,
}

impl Draw {
    /// The words of a law that need the voltage at which the amount was measured, where that is not said.
    #[must_use]
    pub fn without_voltage(&self) -> Option<Span> {
        let law = self.law.filter(|_| self.works.is_none())?;
        let as_it_is = match law.value {
            Law::ConstantCurrent => !self.power,
            Law::ConstantPower => self.power,
            Law::Resistive => false,
        };
        (!as_it_is).then_some(law.span)
    }
}

/// How a load's current depends on its voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Law {
    /// The same current at every voltage.
    ConstantCurrent,
    /// The same power: the lower the voltage, the more current.
    ConstantPower,
    /// A resistance.
    Resistive,
}

/// What [`Phrase::draw`] reads, in the notation of the reference.
pub(crate) const DRAW: &str = "CURRENT|POWER [at VOLTAGE [to VOLTAGE] [dc|ac]] [, LAW]";

impl Phrase<'_, '_> {
    /// `CURRENT|POWER [at VOLTAGE [to VOLTAGE] [dc|ac]] [, constant current|constant power|resistive]`
    pub(crate) fn draw(&mut self) -> Option<Draw> {
        let power = self.is_quantity(Dimension::Power);
        let amount = self.positive(if power { Dimension::Power } else { Dimension::Current })?;
        let mut draw =
            Draw { amount, power, works: None, kind: None, law: None, span: amount.span };
        if self.eat("at") {
            let works = self.interval(Dimension::Voltage)?;
            draw.works = Some(works);
            draw.span = draw.span.to(works.span);
            draw.kind = self.perhaps_one_of(CURRENT_KINDS).map(|kind| kind.value);
        }
        if self.comma() {
            draw.law = Some(self.law()?);
        }
        Some(draw)
    }

    fn law(&mut self) -> Option<Spanned<Law>> {
        // It is the last that a draw says.
        let span = self.rest();
        let value = if self.eat_two("constant", "current") {
            Law::ConstantCurrent
        } else if self.eat_two("constant", "power") {
            Law::ConstantPower
        } else if self.eat("resistive") {
            Law::Resistive
        } else {
            return self.expected("`constant current`, `constant power` or `resistive`");
        };
        Some(Spanned { value, span })
    }

    /// `at most QUANTITY`
    pub(crate) fn at_most(&mut self, dimension: Dimension) -> Option<Spanned<f64>> {
        self.need("at")?;
        self.need("most")?;
        self.positive(dimension)
    }

    /// `at least QUANTITY`
    pub(crate) fn at_least(&mut self, dimension: Dimension) -> Option<Spanned<f64>> {
        self.need("at")?;
        self.need("least")?;
        self.positive(dimension)
    }
}
