//! What is fitted: zones, outputs, cameras, and the recording plans.

use super::Resolver;
use crate::ids::{CameraId, ControllerId, OutputId, ZoneId};
use crate::schedule::ScheduleRef;
use crate::terminal::TerminalKind;
use crate::things::{Input, Keep, Reach};
use crate::{Fault, FaultKind, Kind, Source};
use curtilage_syntax::tree::{self, Name};
use curtilage_text::Place;
use smallvec::SmallVec;

impl<'a> Resolver<'a> {
    pub(super) fn input(&mut self, source: &'a Source, wired: &'a tree::zone::Wired) -> Input<'a> {
        let terminal = self.terminal(source, wired.to, TerminalKind::Input);
        let common =
            wired.common.and_then(|path| self.terminal(source, path, TerminalKind::Common));
        let run = wired.run.as_ref().map(|run| self.run(source, run));
        let line = Place::new(source.file, wired.line);
        let at = Place::new(source.file, wired.to.span());
        Input { tree: wired, terminal, common, run, line, at }
    }

    pub(super) fn zones(&mut self, source: &'a Source) {
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
            if tree.fed.is_none() && sensor.is_some_and(|part| part.sheet.draws.is_some()) {
                self.missing(
                    thing(),
                    name.text,
                    name.at,
                    "fed from SUPPLY",
                    "its sensor draws current, which is in no supply's sum",
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
                zone.tamper = tamper.map(Box::new);
                zone.armed = armed;
                zone.confirmed = confirmed.map(ZoneId::new);
                zone.follows = follows.map(OutputId::new);
                zone.fed = fed.map(Box::new);
            }
        }
    }

    pub(super) fn outputs(&mut self, source: &'a Source) {
        for index in 0..self.model.outputs.len() {
            let Some((tree, name)) = self.model.outputs.get(index).map(|o| (o.tree, o.name)) else {
                continue;
            };
            let mut loads = Some(Vec::with_capacity(tree.loads.len()));
            for (count, load) in &tree.loads {
                match (self.load(source, *load), &mut loads) {
                    (Some(load), Some(list)) => list.push((count.map_or(1, |c| c.value), load)),
                    _ => loads = None,
                }
            }
            let through = self.needed_contact(
                source,
                tree.through.as_ref(),
                ("output", name),
                "nothing switches it",
            );
            let fed = self.needed_feed(
                source,
                tree.fed.as_ref(),
                ("output", name),
                "fed from SUPPLY over LENGTH of CABLE",
                "its voltage and the supply's load are not known",
            );
            let mut reaches = SmallVec::with_capacity(tree.reaches.len());
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

    pub(super) fn cameras(&mut self, source: &'a Source) {
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

    pub(super) fn recordings(&mut self, source: &'a Source) {
        for index in 0..self.model.recordings.len() {
            let Some(tree) = self.model.recordings.get(index).map(|plan| plan.tree) else {
                continue;
            };
            let controller = self.one(source, tree.controller, Kind::Controller);
            let mut keeps = Vec::new();
            for keep in &tree.keeps {
                let cameras = keep.cameras.iter();
                let cameras =
                    cameras.filter_map(|name| self.kept_camera(source, *name, controller));
                let cameras = cameras.collect();
                let during = match keep.during {
                    None => Some(ScheduleRef::Always),
                    Some(name) => self.schedule(source, name).map(|(schedule, _)| schedule),
                };
                keeps.push(Keep {
                    tree: keep,
                    cameras,
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
    /// A camera that a plan keeps: it has to be on a channel of the plan's own controller.
    fn kept_camera(
        &mut self,
        source: &'a Source,
        name: Name,
        plan_of: Option<usize>,
    ) -> Option<CameraId> {
        let camera = CameraId::new(self.one(source, name, Kind::Camera)?);
        let channel = self.model.camera(camera)?.channel;
        let elsewhere = channel.zip(plan_of).filter(|(on, of)| on.controller.index() != *of);
        if let Some((on, of)) = elsewhere {
            let named =
                |index: usize| self.model.controllers.get(index).map_or("", |it| it.name.text);
            let (camera, on, of) =
                (source.text(name.span), named(on.controller.index()), named(of));
            let why = format!("`{camera}` is on a channel of `{on}`, and `{of}` cannot keep it");
            let help = format!(
                "keep it in the plan of `{on}`: `recording {on} {{ ... }}`, or put it on a channel of `{of}`"
            );
            let at = Place::new(source.file, name.span);
            self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
            return None;
        }
        Some(camera)
    }
}
