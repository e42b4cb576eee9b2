//! Which names a scope declares, by a glance at the first words of its lines, so that they are known
//! also while other lines cannot be read.

use crate::line::{block_in, first_word, name_of};
use curtilage_model::{Kind, Model, Source};
use curtilage_syntax::tree::{Item, Name};
use curtilage_syntax::{AtomKind, Statement, Top};
use curtilage_text::{Place, Span};
use foldhash::fast::RandomState;
use std::collections::HashMap;

/// A declared name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Declaration<'a> {
    pub(crate) name: &'a str,
    pub(crate) kind: Kind,
    /// The name's place.
    pub(crate) at: Place,
    /// The title in quotes behind it.
    pub(crate) title: Option<&'a str>,
    /// The item that it is part of: the cable of a tap, the camera of a preset.
    pub(crate) of: Option<&'a str>,
}

/// The three scopes of names, and the names inside one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Scope {
    Parts,
    Schedules,
    Things,
    Policies,
    Inside,
}

/// The names of a scope, in order.
pub(crate) struct Names<'a> {
    pub(crate) list: Vec<Declaration<'a>>,
    first: HashMap<(Scope, &'a str), usize, RandomState>,
}

impl<'a> Names<'a> {
    /// The names that a model's files declare. Things count in the root file alone.
    pub(crate) fn of(model: &Model<'a>) -> Self {
        let mut names = Self { list: Vec::new(), first: HashMap::default() };
        let root = model.root_file();
        for source in model.sources() {
            for declaration in declared_in(source) {
                let scope = scope_of(declaration.kind);
                let shared = matches!(scope, Scope::Parts | Scope::Schedules | Scope::Policies);
                if shared || source.file == root {
                    let index = names.list.len();
                    names.first.entry((scope, declaration.name)).or_insert(index);
                    names.list.push(declaration);
                }
            }
        }
        names
    }

    /// The first thing of a name in a scope.
    pub(crate) fn get(&self, scope: Scope, name: &str) -> Option<&Declaration<'a>> {
        // The map's keys live as long as the sources; `name` may not.
        self.first.get(&(scope, name)).and_then(|index| self.list.get(*index))
    }

    /// The thing that a name stands for where one of a kind is wanted.
    pub(crate) fn find(&self, wanted: Kind, name: &str) -> Option<&Declaration<'a>> {
        match wanted {
            Kind::Anything => [Scope::Things, Scope::Schedules, Scope::Parts]
                .into_iter()
                .find_map(|scope| self.get(scope, name)),
            Kind::Rule | Kind::Tap | Kind::Preset => None,
            _ => self.get(scope_of(wanted), name),
        }
    }

    /// The tap or preset of a name inside a cable or a camera.
    pub(crate) fn inside(&self, kind: Kind, of: &str, name: &str) -> Option<&Declaration<'a>> {
        self.list
            .iter()
            .find(|known| known.kind == kind && known.of == Some(of) && known.name == name)
    }

    /// Everything of the kinds that a kind wants, each name once.
    pub(crate) fn all(&self, wanted: Kind) -> impl Iterator<Item = &Declaration<'a>> {
        self.list
            .iter()
            .enumerate()
            .filter(move |(index, known)| {
                let first = self.first.get(&(scope_of(known.kind), known.name));
                takes(wanted, known.kind) && (known.of.is_some() || first == Some(index))
            })
            .map(|(_, known)| known)
    }
}

/// Whether a thing of a kind fits where another is wanted.
pub(crate) fn takes(wanted: Kind, kind: Kind) -> bool {
    match wanted {
        Kind::Source => matches!(kind, Kind::Supply | Kind::Cable | Kind::Controller),
        Kind::ContactSource => matches!(kind, Kind::Controller | Kind::Relay),
        Kind::AreaOrZone => matches!(kind, Kind::Area | Kind::Zone),
        Kind::CameraOrSupply => matches!(kind, Kind::Camera | Kind::Supply),
        Kind::Actor => {
            matches!(kind, Kind::Zone | Kind::Output | Kind::Camera | Kind::Supply | Kind::People)
        }
        Kind::Measurable => matches!(kind, Kind::Controller | Kind::Output | Kind::Supply),
        Kind::Anything => !matches!(kind, Kind::Tap | Kind::Preset | Kind::Policy),
        _ => wanted == kind,
    }
}

/// The scope in which a kind has its names.
pub(crate) fn scope_of(kind: Kind) -> Scope {
    match kind {
        Kind::SensorPart
        | Kind::ControllerPart
        | Kind::SupplyPart
        | Kind::BatteryPart
        | Kind::LoadPart
        | Kind::RelayPart
        | Kind::CablePart
        | Kind::CameraPart
        | Kind::StorePart => Scope::Parts,
        Kind::Schedule => Scope::Schedules,
        Kind::Policy => Scope::Policies,
        Kind::Tap | Kind::Preset => Scope::Inside,
        _ => Scope::Things,
    }
}

/// The names that one file declares, in order.
pub(crate) fn declared_in(source: &Source) -> Vec<Declaration<'_>> {
    let mut names = Vec::new();
    for top in source.tops() {
        match top {
            Top::Item(item) => of_item(source, item, &mut names),
            Top::Statement(statement) => of_statement(source, &statement, &mut names),
        }
    }
    names
}

/// The names in an item that was read.
fn of_item<'a>(source: &'a Source, item: &Item, names: &mut Vec<Declaration<'a>>) {
    let mut add = |kind, name: Name, title: Option<Span>, of| {
        names.push(Declaration {
            name: source.text(name.span),
            kind,
            at: Place::new(source.file, name.span),
            title: title.map(|title| source.quoted(title)),
            of,
        });
    };
    match item {
        Item::Site(site) => {
            add(Kind::Site, site.name, site.title, None);
            let areas = site.areas.iter().map(|(name, title)| (Kind::Area, *name, *title));
            let people = site.people.iter().map(|(name, title)| (Kind::People, *name, *title));
            let mut inner: Vec<_> = areas.chain(people).collect();
            inner.sort_by_key(|(_, name, _)| name.span.start);
            inner.into_iter().for_each(|(kind, name, title)| add(kind, name, title, None));
        }
        Item::Cable(cable) => {
            add(Kind::Cable, cable.name, cable.title, None);
            let of = Some(source.text(cable.name.span));
            cable.taps.iter().for_each(|tap| add(Kind::Tap, tap.name, None, of));
        }
        Item::Camera(camera) => {
            add(Kind::Camera, camera.name, camera.title, None);
            let of = Some(source.text(camera.name.span));
            camera.presets.iter().for_each(|preset| add(Kind::Preset, *preset, None, of));
        }
        Item::Response(response) => {
            response.name.into_iter().for_each(|name| add(Kind::Response, name, None, None));
        }
        Item::Part(part) => {
            add(curtilage_model::part_kind(&part.body), part.name, part.title, None)
        }
        Item::Schedule(schedule) => add(Kind::Schedule, schedule.name, schedule.title, None),
        Item::Supply(supply) => add(Kind::Supply, supply.name, supply.title, None),
        Item::Controller(one) => add(Kind::Controller, one.name, one.title, None),
        Item::Relay(relay) => add(Kind::Relay, relay.name, relay.title, None),
        Item::Zone(zone) => add(Kind::Zone, zone.name, zone.title, None),
        Item::Output(output) => add(Kind::Output, output.name, output.title, None),
        Item::Policy(policy) => add(Kind::Policy, policy.name, policy.title, None),
        Item::Import(_)
        | Item::Recording(_)
        | Item::Rehearsal(_)
        | Item::Measured(_)
        | Item::Allow(_) => {}
    }
}

/// The names in a statement about which something is wrong, by a glance at its first words.
fn of_statement<'a>(source: &'a Source, item: &Statement, names: &mut Vec<Declaration<'a>>) {
    let own = item_kind(source, item).and_then(|kind| declaration(source, item, kind, None));
    names.extend(own);
    let (of, wanted): (Option<&str>, &[(&str, Kind)]) = match first_word(source, item) {
        "site" => (None, &[("area", Kind::Area), ("people", Kind::People)]),
        "cable" => (Some(name_of(source, item)), &[("tap", Kind::Tap)]),
        "camera" => (Some(name_of(source, item)), &[("preset", Kind::Preset)]),
        _ => (None, &[]),
    };
    let lines = item.block.iter().flat_map(|block| &block.statements);
    names.extend(lines.filter_map(|line| {
        let word = first_word(source, line);
        let (_, kind) = wanted.iter().find(|(known, _)| *known == word)?;
        declaration(source, line, *kind, of)
    }));
}

fn declaration<'a>(
    source: &'a Source,
    line: &Statement,
    kind: Kind,
    of: Option<&'a str>,
) -> Option<Declaration<'a>> {
    let atom = line.atoms.get(1).filter(|atom| atom.kind == AtomKind::Word)?;
    let title = line.atoms.get(2).filter(|atom| atom.kind == AtomKind::Text);
    Some(Declaration {
        name: source.text(atom.span),
        kind,
        at: Place::new(source.file, atom.span),
        title: title.map(|atom| source.quoted(atom.span)),
        of,
    })
}

/// The kind of thing that an item declares.
pub(crate) fn item_kind(source: &Source, item: &Statement) -> Option<Kind> {
    Some(match first_word(source, item) {
        "site" => Kind::Site,
        "schedule" => Kind::Schedule,
        "supply" => Kind::Supply,
        "controller" => Kind::Controller,
        "relay" => Kind::Relay,
        "cable" => Kind::Cable,
        "zone" => Kind::Zone,
        "output" => Kind::Output,
        "camera" => Kind::Camera,
        "policy" => Kind::Policy,
        // A response without a name begins with `to`.
        "response" if name_of(source, item) != "to" => Kind::Response,
        "part" => part_kind(block_in(source, item)?)?,
        _ => return None,
    })
}

fn part_kind(block: &str) -> Option<Kind> {
    Some(match block {
        "a sensor part" => Kind::SensorPart,
        "a controller part" => Kind::ControllerPart,
        "a supply part" => Kind::SupplyPart,
        "a battery part" => Kind::BatteryPart,
        "a load part" => Kind::LoadPart,
        "a relay part" => Kind::RelayPart,
        "a cable part" => Kind::CablePart,
        "a camera part" => Kind::CameraPart,
        "a store part" => Kind::StorePart,
        _ => return None,
    })
}

/// The item of a file whose name stands at a place.
pub(crate) fn item_at(source: &Source, name: Span) -> Option<&Statement> {
    source.statement_before(name.start)
}

#[cfg(test)]
mod tests {
    use super::{Declaration, declared_in, of_statement};
    use curtilage_model::Source;
    use curtilage_testkit::site_files;
    use curtilage_text::FileId;
    use proptest::prelude::*;
    use std::fs;
    use std::sync::LazyLock;

    /// Read once for all cases.
    static EXAMPLES: LazyLock<Vec<String>> = LazyLock::new(examples);

    fn agrees(text: &str) {
        let parsed = curtilage_syntax::parse(text, &[]);
        let source = Source::new(FileId(0), String::new(), text.to_owned(), parsed, None);
        let mut glanced: Vec<Declaration<'_>> = Vec::new();
        source.statements().iter().for_each(|one| of_statement(&source, one, &mut glanced));
        assert_eq!(declared_in(&source), glanced, "{text}");
    }

    #[expect(clippy::disallowed_methods, reason = "a test reads the examples")]
    fn examples() -> Vec<String> {
        site_files("examples").iter().map(|path| fs::read_to_string(path).unwrap()).collect()
    }

    #[test]
    fn an_item_declares_what_a_glance_at_its_words_shows() {
        EXAMPLES.iter().for_each(|text| agrees(text));
    }

    proptest! {
        #[test]
        fn so_it_does_in_a_text_with_a_mistake(
            which in any::<prop::sample::Index>(),
            at in any::<prop::sample::Index>(),
            length in 0_usize..12,
            with in prop::sample::select(&[
                "", "x", "\n", " ", "{", "}", "(", "\"", "#", ",", "7", "site s {\n", "cable c is\n", "preset ",
                "tap t", "area ", "people p \"P\"\n", "to ", "zone z.z \"T\" is p {", ".",
            ][..]),
        ) {
            let mut text = which.get(&EXAMPLES).clone();
            let mut start = at.index(text.len());
            while !text.is_char_boundary(start) { start -= 1; }
            let mut end = (start + length).min(text.len());
            while !text.is_char_boundary(end) { end -= 1; }
            text.replace_range(start..end, with);
            agrees(&text);
        }
    }
}
