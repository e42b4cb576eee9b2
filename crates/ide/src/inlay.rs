//! Figures at the end of lines, worked out by the analysis and never typed by anybody.

use crate::View;
use crate::figures::{self, week};
use crate::names::item_at;
use curtilage_facts::{Consumer, LoadOf};
use curtilage_model::{ScheduleBody, ScheduleRef};
use curtilage_syntax::Statement;
use curtilage_text::{Place, Span};

/// The kinds of figure, each of which may be switched off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum InlayKind {
    /// The load of a contact or a supply, and its limit.
    Load,
    /// The least voltage at the far end of a cable.
    Voltage,
    /// Hours a week.
    Hours,
    /// What a meter reads at rest.
    Reading,
    /// How long a battery lasts.
    Standby,
}

impl InlayKind {
    /// All kinds.
    pub const ALL: [Self; 5] =
        [Self::Load, Self::Voltage, Self::Hours, Self::Reading, Self::Standby];

    /// The word for settings.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Load => "load",
            Self::Voltage => "voltage",
            Self::Hours => "hours",
            Self::Reading => "reading",
            Self::Standby => "standby",
        }
    }
}

/// A figure behind a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inlay {
    /// The end of the line.
    pub at: u32,
    /// The figure.
    pub text: String,
    /// What it is.
    pub kind: InlayKind,
    /// What it means, in a sentence.
    pub about: String,
}

/// The figures of the lines that touch a range, in order.
#[must_use]
pub fn inlays(view: View<'_>, range: Span) -> Vec<Inlay> {
    let Some(source) = view.source() else { return Vec::new() };
    let from = source.statement_before(range.start).map_or(0, |item| item.span.start);
    let mut list = List { view, names: Span::new(from.min(range.end), range.end), out: Vec::new() };
    list.schedules();
    // Only the root file has things, and a used file none of which a figure is known.
    if view.file == view.model().root_file() {
        list.zones();
        list.outputs();
        list.feeds();
        list.supplies();
    }
    let mut out = list.out;
    out.retain(|inlay| inlay.at >= range.start && inlay.at <= range.end);
    out.sort_by_key(|inlay| (inlay.at, inlay.kind));
    let end = u32::try_from(source.text.len()).unwrap_or(u32::MAX);
    out.retain(|inlay| inlay.at <= end);
    out
}

struct List<'a> {
    view: View<'a>,
    /// Where the names stand of the things that can have a line in the range.
    names: Span,
    out: Vec<Inlay>,
}

impl List<'_> {
    fn push(&mut self, at: u32, kind: InlayKind, text: Option<String>, about: impl Into<String>) {
        if let Some(text) = text {
            self.out.push(Inlay { at, text, kind, about: about.into() });
        }
    }

    /// Whether lines of the thing of a name can be in the range.
    fn asks_for(&self, name: Place) -> bool {
        self.names.touches(name.span.start)
    }

    /// The end of the line with a word in the block of the thing whose name stands at a place.
    fn line(&self, name: Place, word: &str) -> Option<u32> {
        let source = self.view.source().filter(|_| self.asks_for(name))?;
        let item = item_at(source, name.span)?;
        let lines = item.block.iter().flat_map(|block| &block.statements);
        let mut lines = lines.filter(|line| crate::line::first_word(source, line) == word);
        lines.next().map(Statement::line).map(|line| line.end)
    }

    fn schedules(&mut self) {
        let facts = self.view.facts();
        for (id, schedule) in facts.model.schedules_by_id() {
            let here = schedule.file == self.view.file && self.asks_for(schedule.name.at);
            if !here || matches!(schedule.body, ScheduleBody::Unknown) {
                continue;
            }
            let hours = week(facts, ScheduleRef::Of(id));
            let about = format!("the hours of `{}` in an ordinary week", schedule.name.text);
            // Behind the name, or behind the combination; a brace stands between otherwise.
            self.push(schedule.line.span.end, InlayKind::Hours, hours, about);
        }
    }

    fn zones(&mut self) {
        let facts = self.view.facts();
        for (id, zone) in facts.model.zones_by_id() {
            if !self.asks_for(zone.name.at) {
                continue;
            }
            let name = zone.name.text;
            if let (Some((armed, _)), Some(at)) = (zone.armed, self.line(zone.name.at, "armed")) {
                let about = format!("the hours for which `{name}` is armed in an ordinary week");
                self.push(at, InlayKind::Hours, week(facts, armed), about);
            }
            if let Some(input) = &zone.input {
                let reads = figures::rest_reading(facts, id);
                let about = format!("what a meter reads on the wires of `{name}` at rest");
                self.push(input.line.span.end, InlayKind::Reading, reads, about);
            }
        }
    }

    fn outputs(&mut self) {
        let facts = self.view.facts();
        for (id, output) in facts.model.outputs_by_id() {
            let Some(at) = self.line(output.name.at, "through") else { continue };
            let load = figures::load(facts, id);
            let about = "all that hangs on this contact at the highest voltage, and its rating";
            self.push(at, InlayKind::Load, load, about);
        }
        for (id, relay) in facts.model.relays_by_id() {
            let Some(at) = self.line(relay.name.at, "through") else { continue };
            let coil = figures::switched(facts, LoadOf::Coil(id)).map(figures::load_of);
            let about = "all that hangs on this contact at the highest voltage, and its rating";
            self.push(at, InlayKind::Load, coil, about);
        }
    }

    /// The least voltage behind each `fed` line.
    fn feeds(&mut self) {
        let model = self.view.model();
        let zones = model.zones_by_id().map(|(id, thing)| (Consumer::Sensor(id), thing.name));
        let outputs = model.outputs_by_id().map(|(id, thing)| (Consumer::Output(id), thing.name));
        let relays = model.relays_by_id().map(|(id, thing)| (Consumer::Coil(id), thing.name));
        let cameras = model.cameras_by_id().map(|(id, thing)| (Consumer::Camera(id), thing.name));
        let controllers =
            model.controllers_by_id().map(|(id, thing)| (Consumer::Controller(id), thing.name));
        let all = zones.chain(outputs).chain(relays).chain(cameras).chain(controllers);
        for (consumer, name) in all.collect::<Vec<_>>() {
            let Some(at) = self.line(name.at, "fed") else { continue };
            let least = figures::lowest(self.view.facts(), consumer);
            let text = least.map(|least| format!("at least {}", figures::volts(least)));
            let about = format!("the least voltage at `{}` when it is on", name.text);
            self.push(at, InlayKind::Voltage, text, about);
        }
    }

    fn supplies(&mut self) {
        let facts = self.view.facts();
        for (id, supply) in facts.model.supplies_by_id() {
            if !self.asks_for(supply.name.at) {
                continue;
            }
            let load = figures::supply_load(facts, id);
            let about = "all that can be on together at the lowest voltage, and the rated current";
            self.push(supply.tree.line.end, InlayKind::Load, load, about);
            if let Some(at) = self.line(supply.name.at, "battery") {
                let about = "how long the battery lasts, old and cold";
                self.push(at, InlayKind::Standby, figures::standby(facts, id), about);
            }
        }
    }
}
