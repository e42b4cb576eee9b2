//! Builds a model: first every declaration is listed, then every name is resolved, so that the
//! order of items does not matter.

use crate::confusable::hidden_characters;
use crate::resolve::Resolver;
use crate::schedule::{Schedule, ScheduleBody};
use crate::scope::Names;
use crate::things::{
    Allow, Area, Cable, Camera, Controller, Model, Output, Part, Person, Policy, Recording,
    Rehearsal, Relay, Response, Site, Supply, Zone, part_kind,
};
use crate::{Fault, FaultKind, Kind, Named, Scope, Source};
use curtilage_syntax::tree::{self, Item, Name};
use curtilage_text::{FileId, Place, Span};
use smallvec::SmallVec;
use std::collections::BTreeMap;

/// Builds the model of the root file of a scope. It never fails: what is wrong is in
/// [`Model::faults`].
#[must_use]
pub fn build(scope: &Scope) -> Model<'_> {
    let of_root = scope.files.first().map_or(0, |root| root.parsed.file.items.len());
    let of_used = scope.files.iter().skip(1).map(|used| used.parsed.file.items.len()).sum();
    let mut builder = Builder {
        model: Model { sources: &scope.files, ..Model::default() },
        scope,
        parts: Names::for_about(of_used),
        schedules: Names::default(),
        things: Names::for_about(of_root),
        faults: scope.faults.clone(),
        first_without_site: None,
    };
    for (index, source) in scope.files.iter().enumerate() {
        builder.declare_file(source, index == 0);
    }
    let root = builder.model.root_file();
    for names in [&builder.parts, &builder.schedules, &builder.things] {
        names.looks(root, &mut builder.faults);
    }
    if let Some((thing, name, at)) = builder.first_without_site.take()
        && builder.model.site.is_none()
    {
        builder.faults.push(Fault {
                kind: FaultKind::MissingFact {
                    thing,
                    what: "site NAME { ... }",
                    consequence: "a file without a `site` is shared by others and holds only parts, schedules and policies",
                    name,
                },
                at,
            });
        // Without a site the things of the file stand for nothing.
        let Builder { mut model, mut faults, .. } = builder;
        own_faults(scope, root, &mut faults);
        model.faults = faults;
        model.zones.clear();
        model.outputs.clear();
        model.responses.clear();
        model.allows.clear();
        return model;
    }
    builder.finish()
}

struct Builder<'a> {
    scope: &'a Scope,
    model: Model<'a>,
    parts: Names<'a>,
    schedules: Names<'a>,
    things: Names<'a>,
    faults: Vec<Fault>,
    /// The first thing of the root file that belongs to a site: in words, its name, its place.
    first_without_site: Option<(String, String, Place)>,
}

impl<'a> Builder<'a> {
    fn declare_file(&mut self, source: &'a Source, is_root: bool) {
        if is_root {
            hidden_characters(source, &mut self.faults);
            // Zones, outputs and responses are most of a site: they are not moved while their lists
            // grow.
            let items = &source.parsed.file.items;
            let count = |of: fn(&&Item) -> bool| items.iter().filter(of).count();
            self.model.zones.reserve_exact(count(|item| matches!(item, Item::Zone(_))));
            self.model.outputs.reserve_exact(count(|item| matches!(item, Item::Output(_))));
            self.model.responses.reserve_exact(count(|item| matches!(item, Item::Response(_))));
        }
        for item in &source.parsed.file.items {
            match item {
                Item::Part(part) => self.part(source, part),
                Item::Schedule(schedule) => self.schedule(source, schedule),
                Item::Policy(policy) => self.policy(source, policy),
                _ if is_root => self.thing(source, item),
                _ => {}
            }
        }
    }

    fn declare(&mut self, name: Named<'a>, kind: Kind, index: usize) -> bool {
        self.things.declare(name, kind, index, &mut self.faults)
    }

    fn part(&mut self, source: &'a Source, part: &'a tree::part::Part) {
        let name = named(source, part.name);
        let index = self.model.parts.len();
        self.parts.declare(name, part_kind(&part.body), index, &mut self.faults);
        self.model.parts.push(Part {
            name,
            title: quoted(source, part.title),
            line: Place::new(source.file, part.line),
            body: &part.body,
        });
    }

    fn schedule(&mut self, source: &'a Source, schedule: &'a tree::schedule::Schedule) {
        let name = named(source, schedule.name);
        let index = self.model.schedules.len();
        if matches!(name.text, "always" | "never") {
            let why = format!("`{}` is a schedule that every site has", name.text);
            let help =
                format!("give this one another name, or take it out and use `{}`", name.text);
            self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at: name.at });
        } else {
            self.schedules.declare(name, Kind::Schedule, index, &mut self.faults);
        }
        let body = match &schedule.body {
            tree::schedule::Body::Written(written) => ScheduleBody::Written(written),
            _ => ScheduleBody::Unknown,
        };
        self.model.schedules.push(Schedule {
            name,
            title: quoted(source, schedule.title),
            line: Place::new(source.file, schedule.line),
            file: source.file,
            body,
        });
    }

    fn policy(&mut self, source: &'a Source, policy: &'a tree::policy::Policy) {
        let name = named(source, policy.name);
        if let Some(first) = &self.model.policy {
            self.faults.push(Fault {
                kind: FaultKind::DuplicateName {
                    name: name.text.to_owned(),
                    first: Kind::Policy,
                    first_at: first.name.at,
                    second: Kind::Policy,
                },
                at: name.at,
            });
            return;
        }
        self.model.policy = Some(Policy { name, tree: policy, file: source.file });
    }

    fn site(&mut self, source: &'a Source, site: &'a tree::site::Site) {
        let name = named(source, site.name);
        if let Some(first) = &self.model.site {
            self.faults.push(Fault {
                kind: FaultKind::DuplicateName {
                    name: name.text.to_owned(),
                    first: Kind::Site,
                    first_at: first.name.at,
                    second: Kind::Site,
                },
                at: name.at,
            });
            return;
        }
        let pairs = |list: &'a [(Name, Option<Span>)]| {
            list.iter().map(|(name, title)| (named(source, *name), quoted(source, *title)))
        };
        let areas: Vec<_> = pairs(&site.areas).map(|(name, title)| Area { name, title }).collect();
        let people: Vec<_> =
            pairs(&site.people).map(|(name, title)| Person { name, title }).collect();
        for (index, area) in areas.iter().enumerate() {
            self.declare(area.name, Kind::Area, index);
        }
        for (index, person) in people.iter().enumerate() {
            self.declare(person.name, Kind::People, index);
        }
        let timezone = site
            .timezone
            .map(|span| Named { text: source.quoted(span), at: Place::new(source.file, span) });
        self.model.site = Some(Site {
            name,
            title: quoted(source, site.title),
            tree: site,
            timezone,
            areas,
            people,
            occupied: None,
            holiday_files: &self.scope.holidays,
        });
    }

    /// Lists a thing that belongs to a site; its names are resolved later.
    fn thing(&mut self, source: &'a Source, item: &'a Item) {
        let place = |span| Place::new(source.file, span);
        let model = &self.model;
        let (name, kind, index) = match item {
            Item::Site(site) => return self.site(source, site),
            Item::Import(_) | Item::Part(_) | Item::Schedule(_) | Item::Policy(_) => return,
            Item::Supply(tree) => (tree.name, Kind::Supply, model.supplies.len()),
            Item::Controller(tree) => (tree.name, Kind::Controller, model.controllers.len()),
            Item::Relay(tree) => (tree.name, Kind::Relay, model.relays.len()),
            Item::Cable(tree) => (tree.name, Kind::Cable, model.cables.len()),
            Item::Zone(tree) => (tree.name, Kind::Zone, model.zones.len()),
            Item::Output(tree) => (tree.name, Kind::Output, model.outputs.len()),
            Item::Camera(tree) => (tree.name, Kind::Camera, model.cameras.len()),
            Item::Recording(tree) => {
                let (line, keeps) = (place(tree.line), Vec::new());
                let plan = Recording { tree, line, controller: None, keeps, store: None };
                self.model.recordings.push(plan);
                return;
            }
            Item::Response(tree) => {
                let name = tree.name.map(|name| named(source, name));
                let index = self.model.responses.len();
                self.note_first(
                    || format!("the response at `{}`", source.text(tree.line)),
                    "",
                    tree.line,
                    source,
                );
                self.model.responses.push(Response {
                    name,
                    tree,
                    line: place(tree.line),
                    causes: SmallVec::new(),
                    all_within: None,
                    during: None,
                    effects: SmallVec::new(),
                });
                if let Some(name) = name {
                    self.declare(name, Kind::Response, index);
                }
                return;
            }
            Item::Rehearsal(tree) => {
                self.model.rehearsals.push(Rehearsal {
                    title: source.quoted(tree.title),
                    tree,
                    file: source.file,
                    acts: Vec::new(),
                    expectations: Vec::new(),
                });
                return;
            }
            Item::Measured(_) => return,
            Item::Allow(tree) => {
                self.model.allows.push(Allow {
                    rule: named(source, tree.rule),
                    on: tree.on.map(|name| named(source, name)),
                    until: tree.until,
                    because: source.quoted(tree.because),
                    line: place(tree.line),
                });
                return;
            }
        };
        let name = named(source, name);
        self.note_first(
            || format!("{} `{}`", kind.noun(), name.text),
            name.text,
            name.at.span,
            source,
        );
        // A second thing of a name is told, and then left out: nothing is concluded from it.
        if !self.declare(name, kind, index) {
            return;
        }
        let model = &mut self.model;
        match item {
            Item::Supply(tree) => {
                model.supplies.push(Supply { name, tree, part: None, battery: None });
            }
            Item::Controller(tree) => {
                model.controllers.push(Controller { name, tree, part: None, fed: None });
            }
            Item::Relay(tree) => {
                model.relays.push(Relay { name, tree, part: None, through: None, fed: None });
            }
            Item::Cable(tree) => {
                model.cables.push(Cable { name, tree, part: None, from: None, taps: Vec::new() });
            }
            Item::Zone(tree) => model.zones.push(Zone {
                name,
                title: quoted(source, tree.title),
                tree,
                sensor: None,
                area: None,
                input: None,
                tamper: None,
                armed: None,
                confirmed: None,
                follows: None,
                fed: None,
            }),
            Item::Output(tree) => model.outputs.push(Output {
                name,
                title: quoted(source, tree.title),
                tree,
                loads: None,
                through: None,
                fed: None,
                reaches: SmallVec::new(),
                area: None,
            }),
            Item::Camera(tree) => model.cameras.push(Camera {
                name,
                title: quoted(source, tree.title),
                tree,
                part: None,
                channel: None,
                area: None,
                fed: None,
            }),
            _ => {}
        }
    }

    fn note_first(
        &mut self,
        words: impl FnOnce() -> String,
        name: &str,
        span: Span,
        source: &Source,
    ) {
        if self.first_without_site.is_none() {
            let at = Place::new(source.file, span);
            self.first_without_site = Some((words(), name.to_owned(), at));
        }
    }

    fn finish(self) -> Model<'a> {
        let Self { model, scope, parts, schedules, things, faults, .. } = self;
        let root = model.root_file();
        let offers = BTreeMap::new();
        let mut resolver = Resolver { model, parts, schedules, things, faults, offers };
        resolver.all();
        let Resolver { mut model, parts, schedules, things, mut faults, .. } = resolver;
        if model.site.is_some() {
            parts.unused(PART_KINDS, root, &mut faults);
            schedules.unused(&[Kind::Schedule], root, &mut faults);
            let kinds = [Kind::Area, Kind::People, Kind::Relay, Kind::Cable, Kind::Supply];
            things.unused(&kinds, root, &mut faults);
        }
        own_faults(scope, root, &mut faults);
        model.faults = faults;
        model
    }
}

/// Leaves the faults that are told of the root file, in order of place. Those of a used file are told
/// when that file is the root.
fn own_faults(scope: &Scope, root: FileId, faults: &mut Vec<Fault>) {
    faults.iter_mut().for_each(|fault| bring_home(scope, root, fault));
    faults.retain(|fault| fault.at.file == root);
    faults.sort_by_key(|fault| fault.at);
}

/// A name that a used file gives a second time is told in the file that brings the two together:
/// at its own thing of that name, or at the `use` that leads to the second one.
fn bring_home(scope: &Scope, root: FileId, fault: &mut Fault) {
    let at = fault.at;
    let FaultKind::DuplicateName { first, first_at, second, .. } = &mut fault.kind else { return };
    if at.file == root {
        return;
    }
    if first_at.file == root {
        fault.at = std::mem::replace(first_at, at);
        std::mem::swap(first, second);
        return;
    }
    // Two files behind one `use` clash in the file that it names.
    let (one, two) = (scope.through(first_at.file), scope.through(at.file));
    if let Some(two) = two.filter(|_| one != two) {
        fault.at = two;
    }
}

const PART_KINDS: &[Kind] = &[
    Kind::SensorPart,
    Kind::ControllerPart,
    Kind::SupplyPart,
    Kind::BatteryPart,
    Kind::LoadPart,
    Kind::RelayPart,
    Kind::CablePart,
    Kind::CameraPart,
    Kind::StorePart,
];

pub(crate) fn named<'a>(source: &'a Source, name: Name) -> Named<'a> {
    Named { text: source.text(name.span), at: Place::new(source.file, name.span) }
}

pub(crate) fn quoted(source: &Source, text: Option<Span>) -> Option<&str> {
    text.map(|span| source.quoted(span))
}
