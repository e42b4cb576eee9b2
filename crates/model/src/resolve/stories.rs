//! Responses, rehearsals and meter readings.

use super::Resolver;
use crate::build::named;
use crate::ids::{CameraId, ControllerId, OutputId, SupplyId, ZoneId};
use crate::terminal::TerminalKind;
use crate::things::{Cause, Effect, Reading, ReadingAt, StoryThing};
use crate::{Fault, FaultKind, Kind, Source};
use curtilage_syntax::tree::Name;
use curtilage_syntax::{nearest, tree};
use curtilage_text::Place;
use smallvec::SmallVec;

impl<'a> Resolver<'a> {
    pub(super) fn responses(&mut self, source: &'a Source) {
        for index in 0..self.model.responses.len() {
            let Some((tree, line)) = self.model.responses.get(index).map(|r| (r.tree, r.line))
            else {
                continue;
            };
            let mut causes = SmallVec::with_capacity(tree.causes.list().len());
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
            let mut effects = SmallVec::with_capacity(tree.effects.iter().map(things).sum());
            for effect in &tree.effects {
                self.effect(source, effect, &mut effects);
            }
            if tree.effects.is_empty() {
                let words = source.text(tree.line);
                self.missing(
                    format!("`{words}`"),
                    tree.name.map_or("", |name| source.text(name.span)),
                    line,
                    "close OUTPUT for TIME    (or `record`, `show`, `sound`, `tell`)",
                    "its causes happen, and nothing follows",
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

    pub(super) fn cause(
        &mut self,
        source: &'a Source,
        cause: &tree::response::Cause,
    ) -> Option<Cause> {
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

    pub(super) fn effect(
        &mut self,
        source: &'a Source,
        effect: &tree::response::Effect,
        out: &mut SmallVec<[(Effect, Place); 4]>,
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
                for name in cameras {
                    let Some(index) = self.one(source, *name, Kind::Camera) else { continue };
                    let (camera, at) = (CameraId::new(index), Place::new(source.file, name.span));
                    out.push((Effect::Record { camera, at, before, after }, line));
                }
            }
            EffectKind::Show { cameras } => {
                for name in cameras {
                    if let Some(index) = self.one(source, *name, Kind::Camera) {
                        out.push((Effect::Show(CameraId::new(index)), line));
                    }
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
                    let nearest = near.map(|name| (name.text.to_owned(), Some(name.at)));
                    let name = preset.text.to_owned();
                    let kind = FaultKind::UnknownName { name, wanted: Kind::Preset, nearest };
                    self.faults.push(Fault { kind, at: preset.at });
                }
                out.push((Effect::Move { camera: CameraId::new(index), preset: preset.at }, line));
            }
        }
    }

    pub(super) fn story_thing(&mut self, source: &'a Source, name: Name) -> Option<StoryThing> {
        let kinds = [Kind::Zone, Kind::Output, Kind::Camera, Kind::Supply, Kind::People];
        Some(match self.thing(source, name, Kind::Actor, &kinds)? {
            (Kind::Zone, index) => StoryThing::Zone(ZoneId::new(index)),
            (Kind::Output, index) => StoryThing::Output(OutputId::new(index)),
            (Kind::Camera, index) => StoryThing::Camera(CameraId::new(index)),
            (Kind::Supply, index) => StoryThing::Supply(SupplyId::new(index)),
            (_, index) => StoryThing::People(index),
        })
    }

    pub(super) fn rehearsals(&mut self, source: &'a Source) {
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

    pub(super) fn measured(&mut self, source: &'a Source, measured: &'a tree::measured::Measured) {
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
}

/// How many things an effect names, each of which gives one of its own.
fn things(effect: &tree::response::Effect) -> usize {
    use tree::response::EffectKind;
    match &effect.kind {
        EffectKind::Record { cameras: names, .. }
        | EffectKind::Show { cameras: names }
        | EffectKind::Tell { people: names } => names.len(),
        EffectKind::Switch { .. }
        | EffectKind::Pulse { .. }
        | EffectKind::Sound { .. }
        | EffectKind::Move { .. } => 1,
    }
}
