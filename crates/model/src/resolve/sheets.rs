//! Part sheets: facts that they have to give.

use super::Resolver;
use crate::build::named;
use crate::{Fault, FaultKind, Kind, Named, Source, terminal};
use curtilage_syntax::tree::{CurrentKind, part};
use curtilage_text::Place;
use std::collections::HashMap;

impl<'a> Resolver<'a> {
    /// Facts that a sheet has to give; told where the part stands.
    pub(super) fn sheet(&mut self, source: &'a Source, tree: &'a part::Part) {
        let name = named(source, tree.name);
        let mut facts: Vec<(bool, &'static str, &'static str)> = Vec::new();
        self.measured_at(source, tree, name);
        self.categories(source, tree);
        self.capacities(source, tree);
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
                if let Some(spec) = &sheet.input {
                    self.bands(source, spec, name);
                }
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
                facts.push((
                    sheet.voltage.is_some(),
                    "voltage VOLTAGE",
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

    /// A category of the one kind of current, in a rating for the other.
    fn categories(&mut self, source: &Source, tree: &part::Part) {
        let ratings = match &tree.body {
            part::Body::Controller(sheet) => &sheet.relay,
            part::Body::Relay(sheet) => &sheet.contact,
            _ => return,
        };
        for rating in ratings.iter().filter(|rating| rating.contradicts()) {
            let other = match rating.kind {
                CurrentKind::Ac => CurrentKind::Dc,
                CurrentKind::Dc => CurrentKind::Ac,
            };
            let (written, kind, other) =
                (source.text(rating.span), rating.kind.word(), other.word());
            let why =
                format!("`{written}`: the category is one of {other}, the rating is for {kind}");
            let own = match rating.kind {
                CurrentKind::Ac => "AC-15",
                CurrentKind::Dc => "DC-13",
            };
            let help = format!(
                "write a category of {kind}, such as `{own}`, or `{other}` behind the voltage, as the sheet says"
            );
            let at = Place::new(source.file, rating.span);
            self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
        }
    }

    /// Bands that overlap, and bands in volts of which the pull-up is not said.
    fn bands(&mut self, source: &Source, spec: &part::InputSpec, name: Named<'_>) {
        let at = |band: part::Band| Place::new(source.file, band.span);
        if let Some((one, other)) = spec.overlap() {
            let [first, second] = [one, other].map(|band| source.text(band.span));
            let why =
                format!("`{second}` overlaps `{first}`: what lies in both is taken for either");
            let help = "let one of the two end where the other begins, or before: `closed below 1 kohm, open above 1 kohm`";
            let kind = FaultKind::BadValue { why, help: help.to_owned() };
            self.faults.push(Fault { kind, at: at(other) });
        }
        let in_volts = spec.bands.iter().find(|band| band.limits.volts);
        if let (Some(band), None) = (in_volts, spec.pull_up) {
            self.missing(
                format!("part `{}`", name.text),
                name.text,
                at(*band),
                "pull-up VOLTAGE RESISTANCE",
                "what its inputs see in volts cannot be worked out, and no loop is held against its bands",
            );
        }
    }

    /// Two capacities that no battery has both of.
    fn capacities(&mut self, source: &Source, tree: &part::Part) {
        let part::Body::Battery(sheet) = &tree.body else { return };
        let Some((short, long)) = sheet.contradiction() else { return };
        let span = |(charge, over): part::Holds| charge.span.to(over.span);
        let [shown, other] = [short, long].map(|holds| source.text(span(holds)));
        let why = if short.1.value == long.1.value {
            "a battery gives one charge in that time"
        } else if short.0.value > long.0.value {
            "in a shorter time a battery gives less"
        } else {
            "at a higher current a battery lasts less long"
        };
        let why = format!("`{shown}` contradicts `{other}`: {why}");
        let help = "holds  CHARGE over TIME, ...    (each as the sheet gives it)".to_owned();
        let at = Place::new(source.file, span(short));
        self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
    }

    /// A law needs the voltage at which the figure was measured.
    fn measured_at(&mut self, source: &Source, tree: &part::Part, name: Named<'_>) {
        let draw = match &tree.body {
            part::Body::Sensor(sheet) => sheet.draws,
            part::Body::Controller(sheet) => sheet.draws,
            part::Body::Load(sheet) => sheet.draws,
            part::Body::Relay(sheet) => sheet.coil,
            part::Body::Camera(sheet) => sheet.draws,
            _ => None,
        };
        if let Some(law) = draw.and_then(|draw| draw.without_voltage()) {
            self.missing(
                format!("part `{}`", name.text),
                name.text,
                Place::new(source.file, law),
                "at VOLTAGE",
                "what it draws at any voltage is not known, and is in no sum",
            );
        }
    }

    /// Terminals of one part: ranges that make sense, and no name twice.
    pub(super) fn terminals(&mut self, source: &'a Source, sheet: &'a part::Controller) {
        let mut seen: HashMap<String, Place> = HashMap::new();
        for (_, groups) in terminal::groups(sheet) {
            for group in groups {
                let at = Place::new(source.file, group.span);
                for (first, last) in &group.names {
                    let Some(last) = last else { continue };
                    let (first, last) = (source.text(first.span), source.text(last.span));
                    if terminal::numbers(first, last).is_none() {
                        let why = format!("`{first} to {last}` is no range of numbered terminals");
                        let help = format!(
                            "write `{first}, {last}` for two terminals; a range is one word with numbers that go up: `in1 to in8`"
                        );
                        self.faults.push(Fault { kind: FaultKind::BadValue { why, help }, at });
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
