//! The things of a model. Each keeps its written form (`tree`) beside what its names resolved to;
//! `None` beside a written name means that the name is not known, which has been told.

use crate::{
    CableId, CameraId, ControllerId, Fault, HolidayFile, Kind, Named, Offered, OutputId, PartId,
    RelayId, Schedule, ScheduleRef, Source, SupplyId, Terminal, ZoneId, terminal,
};
use curtilage_syntax::tree;
use curtilage_syntax::tree::part;
use curtilage_syntax::tree::wiring::{Run, Side};
use curtilage_text::{FileId, Place, Span};
use smallvec::SmallVec;
use std::sync::Arc;

/// What the files in a root file's scope say.
#[derive(Debug, Default)]
pub struct Model<'a> {
    pub(crate) sources: &'a [Arc<Source>],
    /// The site, if the root file has one.
    pub site: Option<Site<'a>>,
    /// All parts in scope.
    pub parts: Vec<Part<'a>>,
    /// All schedules in scope.
    pub schedules: Vec<Schedule<'a>>,
    /// The policy in scope.
    pub policy: Option<Policy<'a>>,
    /// Supplies.
    pub supplies: Vec<Supply<'a>>,
    /// Controllers.
    pub controllers: Vec<Controller<'a>>,
    /// Relays of their own.
    pub relays: Vec<Relay<'a>>,
    /// Cables with taps.
    pub cables: Vec<Cable<'a>>,
    /// Zones.
    pub zones: Vec<Zone<'a>>,
    /// Outputs.
    pub outputs: Vec<Output<'a>>,
    /// Cameras.
    pub cameras: Vec<Camera<'a>>,
    /// Recording plans.
    pub recordings: Vec<Recording<'a>>,
    /// Responses.
    pub responses: Vec<Response<'a>>,
    /// Rehearsals.
    pub rehearsals: Vec<Rehearsal<'a>>,
    /// Meter readings.
    pub readings: Vec<Reading<'a>>,
    /// Exceptions.
    pub allows: Vec<Allow<'a>>,
    /// What could not be resolved, in the root file.
    pub faults: Vec<Fault>,
}

/// A part and its sheet.
#[derive(Debug)]
pub struct PartRef<'a, T> {
    /// The part.
    pub id: PartId,
    /// What its sheet gives.
    pub sheet: &'a T,
    /// The file of the part.
    pub file: FileId,
}

impl<T> Clone for PartRef<'_, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for PartRef<'_, T> {}

impl<T> PartRef<'_, T> {
    /// A place in the part's file.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        Place::new(self.file, span)
    }
}

/// A part.
#[derive(Debug)]
pub struct Part<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its first line.
    pub line: Place,
    /// Its sheet.
    pub body: &'a part::Body,
}

/// The site.
#[derive(Debug)]
pub struct Site<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its written form.
    pub tree: &'a tree::site::Site,
    /// The IANA time zone and its place.
    pub timezone: Option<Named<'a>>,
    /// Areas.
    pub areas: Vec<Area<'a>>,
    /// People.
    pub people: Vec<Person<'a>>,
    /// When people are there.
    pub occupied: Option<ScheduleRef>,
    /// Holidays from files.
    pub holiday_files: &'a [HolidayFile],
}

/// A part of the site.
#[derive(Debug)]
pub struct Area<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
}

/// Somebody who can be told.
#[derive(Debug)]
pub struct Person<'a> {
    /// The name.
    pub name: Named<'a>,
    /// The title.
    pub title: Option<&'a str>,
}

/// The policy.
#[derive(Debug)]
pub struct Policy<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::policy::Policy,
    /// The file in which it stands.
    pub file: FileId,
}

/// A supply.
#[derive(Debug)]
pub struct Supply<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::supply::Supply,
    /// Its part.
    pub part: Option<PartRef<'a, part::Supply>>,
    /// How many of which battery.
    pub battery: Option<(u32, PartRef<'a, part::Battery>)>,
}

/// A controller.
#[derive(Debug)]
pub struct Controller<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::controller::Controller,
    /// Its part.
    pub part: Option<PartRef<'a, part::Controller>>,
    /// What feeds it.
    pub fed: Option<Feed<'a>>,
}

/// A relay of its own.
#[derive(Debug)]
pub struct Relay<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::relay::Relay,
    /// Its part.
    pub part: Option<PartRef<'a, part::Relay>>,
    /// The contact that its coil hangs on.
    pub through: Option<Contact<'a>>,
    /// What feeds its coil.
    pub fed: Option<Feed<'a>>,
}

/// A cable with taps.
#[derive(Debug)]
pub struct Cable<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::cable::Cable,
    /// Its part.
    pub part: Option<PartRef<'a, part::Cable>>,
    /// Where it starts.
    pub from: Option<Origin<'a>>,
    /// Its taps.
    pub taps: Vec<Tap<'a>>,
}

/// A place on a cable.
#[derive(Debug)]
pub struct Tap<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its written form.
    pub tree: &'a tree::cable::Tap,
    /// The index of the tap before it; `None` at the cable's start. It is always a smaller index.
    pub from: Option<usize>,
}

/// Where current comes from.
#[derive(Clone, Copy, Debug)]
pub enum Origin<'a> {
    /// A supply.
    Supply(SupplyId),
    /// A tap of a cable, by index.
    Tap(CableId, usize),
    /// An outlet of a controller.
    Outlet(Terminal<'a>),
}

/// A feed.
#[derive(Clone, Copy, Debug)]
pub struct Feed<'a> {
    /// Where it comes from.
    pub origin: Origin<'a>,
    /// Over which cable; none when it is fed on the spot.
    pub run: Option<RunOf<'a>>,
    /// The words that name the origin.
    pub at: Place,
}

/// A cable run.
#[derive(Clone, Copy, Debug)]
pub struct RunOf<'a> {
    /// Its written form.
    pub tree: &'a Run,
    /// The cable part.
    pub cable: Option<PartRef<'a, part::Cable>>,
}

/// The contact that switches something.
#[derive(Clone, Copy, Debug)]
pub struct Contact<'a> {
    /// Whose contact.
    pub of: ContactAt<'a>,
    /// Which side.
    pub side: Side,
    /// The words that name it.
    pub at: Place,
}

/// Whose contact.
#[derive(Clone, Copy, Debug)]
pub enum ContactAt<'a> {
    /// A controller's relay.
    Terminal(Terminal<'a>),
    /// A relay of its own.
    Relay(RelayId),
}

/// A zone.
#[derive(Debug)]
pub struct Zone<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its written form.
    pub tree: &'a tree::zone::Zone,
    /// Its sensor.
    pub sensor: Option<PartRef<'a, part::Sensor>>,
    /// Where it is: an index into the site's areas.
    pub area: Option<usize>,
    /// Where its contact lands.
    pub input: Option<Input<'a>>,
    /// Where its tamper contact lands; few have an input of its own.
    pub(crate) tamper: Option<Box<Input<'a>>>,
    /// When it counts, and the words that say so.
    pub armed: Option<(ScheduleRef, Place)>,
    /// The zone that confirms it.
    pub confirmed: Option<ZoneId>,
    /// The output that it follows.
    pub follows: Option<OutputId>,
    /// What feeds its sensor.
    pub(crate) fed: Option<Box<Feed<'a>>>,
}

impl<'a> Zone<'a> {
    /// Where its tamper contact lands, when it has an input of its own.
    #[must_use]
    pub fn tamper(&self) -> Option<Input<'a>> {
        self.tamper.as_deref().copied()
    }

    /// Where its contacts land: the sensor's own, then the tamper contact's that has an input of its own.
    pub fn inputs(&self) -> impl Iterator<Item = &Input<'a>> {
        self.input.iter().chain(self.tamper.as_deref())
    }

    /// What feeds its sensor.
    #[must_use]
    pub fn fed(&self) -> Option<Feed<'a>> {
        self.fed.as_deref().copied()
    }
}

/// Where a contact lands.
#[derive(Clone, Copy, Debug)]
pub struct Input<'a> {
    /// The written form.
    pub tree: &'a tree::zone::Wired,
    /// The input.
    pub terminal: Option<Terminal<'a>>,
    /// The written return terminal, when it is known.
    pub common: Option<Terminal<'a>>,
    /// The cable.
    pub run: Option<RunOf<'a>>,
    /// The whole statement.
    pub line: Place,
    /// The words that name the input.
    pub at: Place,
}

/// An output.
#[derive(Debug)]
pub struct Output<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its written form.
    pub tree: &'a tree::output::Output,
    /// How many of which loads; `None` when one of them is not known.
    pub loads: Option<Vec<(u32, PartRef<'a, part::Load>)>>,
    /// The contact that switches it.
    pub through: Option<Contact<'a>>,
    /// What feeds it.
    pub fed: Option<Feed<'a>>,
    /// What it can disturb.
    pub reaches: SmallVec<[Reach; 1]>,
    /// Where it is.
    pub area: Option<usize>,
}

/// Something that an output can disturb.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// What is in an area (an index into the site's areas), if it can be disturbed.
    Area(usize, Place),
    /// A zone.
    Zone(ZoneId, Place),
}

/// A camera.
#[derive(Debug)]
pub struct Camera<'a> {
    /// Its name.
    pub name: Named<'a>,
    /// Its title.
    pub title: Option<&'a str>,
    /// Its written form.
    pub tree: &'a tree::camera::Camera,
    /// Its part.
    pub part: Option<PartRef<'a, part::Camera>>,
    /// Its channel.
    pub channel: Option<Terminal<'a>>,
    /// Where it is.
    pub area: Option<usize>,
    /// What feeds it.
    pub fed: Option<Feed<'a>>,
}

impl Camera<'_> {
    /// bit/s, from the camera or its part.
    #[must_use]
    pub fn bit_rate(&self) -> Option<f64> {
        let sheet = self.part.and_then(|part| part.sheet.bit_rate);
        self.tree.bit_rate.or(sheet).map(|rate| rate.value)
    }
}

/// A recording plan.
#[derive(Debug)]
pub struct Recording<'a> {
    /// Its written form.
    pub tree: &'a tree::recording::Recording,
    /// The first line.
    pub line: Place,
    /// The controller that records.
    pub controller: Option<ControllerId>,
    /// What it keeps.
    pub keeps: Vec<Keep<'a>>,
    /// The store, bytes.
    pub store: Option<f64>,
}

/// One line of a recording plan.
#[derive(Debug)]
pub struct Keep<'a> {
    /// Its written form.
    pub tree: &'a tree::recording::Keep,
    /// The cameras that are known.
    pub cameras: Vec<CameraId>,
    /// When; `None` when the written schedule is not known.
    pub during: Option<ScheduleRef>,
    /// The whole statement.
    pub line: Place,
}

/// A response.
#[derive(Debug)]
pub struct Response<'a> {
    /// Its name, if it has one.
    pub name: Option<Named<'a>>,
    /// Its written form.
    pub tree: &'a tree::response::Response,
    /// Its first line.
    pub line: Place,
    /// The causes that are known.
    pub causes: SmallVec<[(Cause, Place); 2]>,
    /// The time within which all of them have to happen, ms; none when any one will do.
    pub all_within: Option<u64>,
    /// When it answers.
    pub during: Option<(ScheduleRef, Place)>,
    /// What it does, as far as it is known.
    pub effects: SmallVec<[(Effect, Place); 4]>,
}

/// A cause.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Cause {
    /// A zone registers.
    Zone(ZoneId),
    /// A zone's tamper contact moves.
    Tamper(ZoneId),
    /// A camera is lost.
    CameraLost(CameraId),
    /// A supply is lost.
    SupplyLost(SupplyId),
    /// A schedule begins.
    Start(ScheduleRef),
    /// A schedule ends.
    End(ScheduleRef),
}

/// An effect.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// An output is switched on or off, for a time in ms or for good.
    Switch {
        /// The output.
        output: OutputId,
        /// On or off.
        on: bool,
        /// ms.
        hold: Option<u64>,
    },
    /// An output goes on and off.
    Pulse {
        /// The output.
        output: OutputId,
        /// ms.
        on: u64,
        /// ms.
        off: u64,
        /// ms, in all.
        hold: u64,
    },
    /// A camera is recorded.
    Record {
        /// The camera.
        camera: CameraId,
        /// The words that name it.
        at: Place,
        /// ms before.
        before: u64,
        /// ms after.
        after: u64,
    },
    /// A camera is shown.
    Show(CameraId),
    /// A controller's buzzer sounds.
    Sound {
        /// The controller.
        controller: ControllerId,
        /// ms.
        hold: Option<u64>,
    },
    /// People are told: an index into the site's people.
    Tell(usize),
    /// A camera is turned.
    Move {
        /// The camera.
        camera: CameraId,
        /// The words that name the preset.
        preset: Place,
    },
}

/// A rehearsal.
#[derive(Debug)]
pub struct Rehearsal<'a> {
    /// Its title.
    pub title: &'a str,
    /// Its written form.
    pub tree: &'a tree::rehearsal::Rehearsal,
    /// The file in which it stands.
    pub file: FileId,
    /// The subject of each act, in order.
    pub acts: Vec<Option<StoryThing>>,
    /// The subject of each expectation, in order.
    pub expectations: Vec<Option<StoryThing>>,
}

/// What a story can be about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoryThing {
    /// A zone.
    Zone(ZoneId),
    /// An output.
    Output(OutputId),
    /// A camera.
    Camera(CameraId),
    /// A supply.
    Supply(SupplyId),
    /// People: an index into the site's people.
    People(usize),
}

/// A meter reading.
#[derive(Debug)]
pub struct Reading<'a> {
    /// Its written form.
    pub tree: &'a tree::measured::Reading,
    /// The day.
    pub date: tree::Date,
    /// What was measured.
    pub at: ReadingAt<'a>,
    /// The whole line.
    pub line: Place,
}

/// What was measured.
#[derive(Clone, Copy, Debug)]
pub enum ReadingAt<'a> {
    /// A terminal.
    Terminal(Terminal<'a>),
    /// A controller's own supply terminals.
    Controller(ControllerId),
    /// An output, at the load.
    Output(OutputId),
    /// A supply.
    Supply(SupplyId),
}

/// An exception.
#[derive(Debug)]
pub struct Allow<'a> {
    /// The rule's name as written.
    pub rule: Named<'a>,
    /// The name of the thing as written.
    pub on: Option<Named<'a>>,
    /// The last day on which it holds.
    pub until: tree::Spanned<tree::Date>,
    /// The reason.
    pub because: &'a str,
    /// The whole statement.
    pub line: Place,
}

impl<'a> Model<'a> {
    /// The root file.
    #[must_use]
    pub fn root(&self) -> Option<&'a Source> {
        self.sources.first().map(Arc::as_ref)
    }

    /// The root file's number.
    #[must_use]
    pub fn root_file(&self) -> FileId {
        self.root().map_or(FileId::default(), |source| source.file)
    }

    /// The files in scope, the root first.
    #[must_use]
    pub fn sources(&self) -> &'a [Arc<Source>] {
        self.sources
    }

    /// The words at a place; empty when the file is not in scope.
    #[must_use]
    pub fn text(&self, at: Place) -> &'a str {
        let source = self.sources.iter().find(|source| source.file == at.file);
        source.map_or("", |source| source.text(at.span))
    }

    /// What a text in quotes at a place says; empty when the file is not in scope.
    #[must_use]
    pub fn quoted(&self, at: Place) -> &'a str {
        let source = self.sources.iter().find(|source| source.file == at.file);
        source.map_or("", |source| source.quoted(at.span))
    }

    /// The name of a part.
    #[must_use]
    pub fn part_name(&self, id: PartId) -> &'a str {
        self.parts.get(id.index()).map_or("", |part| part.name.text)
    }

    /// The id of the part at an index.
    #[must_use]
    pub fn part_id(&self, index: usize) -> Option<PartId> {
        (index < self.parts.len()).then(|| PartId::new(index))
    }

    /// A schedule's name as it is written.
    #[must_use]
    pub fn schedule_name(&self, schedule: ScheduleRef) -> &'a str {
        match schedule {
            ScheduleRef::Always => "always",
            ScheduleRef::Never => "never",
            ScheduleRef::Of(id) => self.schedules.get(id.index()).map_or("", |s| s.name.text),
        }
    }

    /// A supply.
    #[must_use]
    pub fn supply(&self, id: SupplyId) -> Option<&Supply<'a>> {
        self.supplies.get(id.index())
    }

    /// A controller.
    #[must_use]
    pub fn controller(&self, id: ControllerId) -> Option<&Controller<'a>> {
        self.controllers.get(id.index())
    }

    /// The part of the controller that reads a zone.
    #[must_use]
    pub fn input_part(&self, zone: &Zone<'a>) -> Option<PartRef<'a, part::Controller>> {
        self.controller(zone.input.as_ref()?.terminal.as_ref()?.controller)?.part
    }

    /// Follows a contact through relays of their own to the controller's relay that moves it in the
    /// end, and whether the two are in opposite states: an odd number of break sides between them.
    #[must_use]
    pub fn root_of(&self, mut contact: Contact<'a>) -> Option<(Terminal<'a>, bool)> {
        let mut turned = false;
        // No chain is longer than there are relays; a ring of them has no root.
        for _ in 0..=self.relays.len() {
            turned ^= contact.side == Side::Opening;
            match contact.of {
                ContactAt::Terminal(terminal) => return Some((terminal, turned)),
                ContactAt::Relay(relay) => contact = self.relay(relay)?.through?,
            }
        }
        None
    }

    /// A relay.
    #[must_use]
    pub fn relay(&self, id: RelayId) -> Option<&Relay<'a>> {
        self.relays.get(id.index())
    }

    /// A cable.
    #[must_use]
    pub fn cable(&self, id: CableId) -> Option<&Cable<'a>> {
        self.cables.get(id.index())
    }

    /// A zone.
    #[must_use]
    pub fn zone(&self, id: ZoneId) -> Option<&Zone<'a>> {
        self.zones.get(id.index())
    }

    /// An output.
    #[must_use]
    pub fn output(&self, id: OutputId) -> Option<&Output<'a>> {
        self.outputs.get(id.index())
    }

    /// A camera.
    #[must_use]
    pub fn camera(&self, id: CameraId) -> Option<&Camera<'a>> {
        self.cameras.get(id.index())
    }

    /// The zones with their ids.
    pub fn zones_by_id(&self) -> impl Iterator<Item = (ZoneId, &Zone<'a>)> {
        self.zones.iter().enumerate().map(|(index, zone)| (ZoneId::new(index), zone))
    }

    /// The outputs with their ids.
    pub fn outputs_by_id(&self) -> impl Iterator<Item = (OutputId, &Output<'a>)> {
        self.outputs.iter().enumerate().map(|(index, output)| (OutputId::new(index), output))
    }

    /// The supplies with their ids.
    pub fn supplies_by_id(&self) -> impl Iterator<Item = (SupplyId, &Supply<'a>)> {
        self.supplies.iter().enumerate().map(|(index, supply)| (SupplyId::new(index), supply))
    }

    /// The relays with their ids.
    pub fn relays_by_id(&self) -> impl Iterator<Item = (RelayId, &Relay<'a>)> {
        self.relays.iter().enumerate().map(|(index, relay)| (RelayId::new(index), relay))
    }

    /// The cameras with their ids.
    pub fn cameras_by_id(&self) -> impl Iterator<Item = (CameraId, &Camera<'a>)> {
        self.cameras.iter().enumerate().map(|(index, camera)| (CameraId::new(index), camera))
    }

    /// The controllers with their ids.
    pub fn controllers_by_id(&self) -> impl Iterator<Item = (ControllerId, &Controller<'a>)> {
        let all = self.controllers.iter().enumerate();
        all.map(|(index, controller)| (ControllerId::new(index), controller))
    }

    /// The cables with their ids.
    pub fn cables_by_id(&self) -> impl Iterator<Item = (CableId, &Cable<'a>)> {
        self.cables.iter().enumerate().map(|(index, cable)| (CableId::new(index), cable))
    }

    /// The schedules with their ids.
    pub fn schedules_by_id(&self) -> impl Iterator<Item = (crate::ScheduleId, &Schedule<'a>)> {
        let all = self.schedules.iter().enumerate();
        all.map(|(index, schedule)| (crate::ScheduleId::new(index), schedule))
    }

    /// The terminals that a controller part offers, in the order of its sheet.
    #[must_use]
    pub fn terminals(&self, part: PartRef<'a, part::Controller>) -> Vec<Offered<'a>> {
        let Some(source) = self.sources.iter().find(|source| source.file == part.file) else {
            return Vec::new();
        };
        let source: &'a Source = source;
        terminal::offered(part.sheet, |span| source.text(span))
    }

    /// What stands at a controller's terminal name in messages: `head.in1`.
    #[must_use]
    pub fn terminal_name(&self, terminal: &Terminal<'a>) -> String {
        let controller = self.controller(terminal.controller).map_or("", |c| c.name.text);
        format!("{controller}.{}", terminal.name)
    }

    /// Every name that a finding can be about, for `allow ... on NAME`.
    #[must_use]
    pub fn names(&self) -> Vec<&'a str> {
        let mut names: Vec<&str> = Vec::new();
        names.extend(self.site.iter().map(|thing| thing.name.text));
        names.extend(self.zones.iter().map(|thing| thing.name.text));
        names.extend(self.outputs.iter().map(|thing| thing.name.text));
        names.extend(self.supplies.iter().map(|thing| thing.name.text));
        names.extend(self.controllers.iter().map(|thing| thing.name.text));
        names.extend(self.relays.iter().map(|thing| thing.name.text));
        names.extend(self.cables.iter().map(|thing| thing.name.text));
        names.extend(self.cameras.iter().map(|thing| thing.name.text));
        names.extend(self.schedules.iter().map(|thing| thing.name.text));
        names.extend(self.parts.iter().map(|thing| thing.name.text));
        names.extend(self.responses.iter().filter_map(|thing| thing.name).map(|name| name.text));
        if let Some(site) = &self.site {
            names.extend(site.areas.iter().map(|thing| thing.name.text));
            names.extend(site.people.iter().map(|thing| thing.name.text));
        }
        names
    }
}

/// The kind of a part's body.
#[must_use]
pub fn part_kind(body: &part::Body) -> Kind {
    match body {
        part::Body::Sensor(_) => Kind::SensorPart,
        part::Body::Controller(_) => Kind::ControllerPart,
        part::Body::Supply(_) => Kind::SupplyPart,
        part::Body::Battery(_) => Kind::BatteryPart,
        part::Body::Load(_) => Kind::LoadPart,
        part::Body::Relay(_) => Kind::RelayPart,
        part::Body::Cable(_) => Kind::CablePart,
        part::Body::Camera(_) => Kind::CameraPart,
        part::Body::Store(_) => Kind::StorePart,
    }
}
