//! What the checker takes of that which a form takes: the words and values that fit the thing that
//! stands before them.

use super::List;
use crate::form::{LeafKind, Slot};
use crate::line::Expected;
use crate::mention::cut;
use crate::names::Declaration;
use curtilage_model::{Kind, Offered, TerminalKind};
use curtilage_syntax::tree::part::Contacts;
use curtilage_units::Dimension;

impl<'a> List<'a> {
    /// Whether a word makes sense behind the thing before it.
    pub(super) fn word_fits(&self, word: &str, expected: &Expected) -> bool {
        let Some(LeafKind::Slot(Slot::Refers(kind))) = expected.last.map(|leaf| leaf.kind) else {
            return true;
        };
        let Some(text) = expected.pieces.last().map(|piece| self.source.text(piece.span)) else {
            return true;
        };
        match kind {
            Kind::Actor => self.kind_of(text).is_none_or(|kind| happens(kind).contains(&word)),
            Kind::ContactSource => !matches!(
                (self.contacts(text), word),
                (Some(Contacts::Make), "opening") | (Some(Contacts::Break), "closing")
            ),
            Kind::Measurable => self.measured(text).is_none_or(|(words, _)| words.contains(&word)),
            _ => true,
        }
    }

    /// Whether a quantity of a dimension can be what was measured.
    pub(super) fn value_fits(&self, dimension: Dimension, expected: &Expected) -> bool {
        if expected.form.block != "readings" {
            return true;
        }
        let first = expected.pieces.first().map(|piece| self.source.text(piece.span));
        let known = first.and_then(|text| self.measured(text));
        known.is_none_or(|(_, values)| values.contains(&dimension))
    }

    /// Whether a thing can stand where its kind may.
    pub(super) fn name_fits(&self, known: &Declaration<'a>, expected: &Expected) -> bool {
        let form = expected.form;
        match (form.block, form.word) {
            ("a rehearsal", "expect") => known.kind != Kind::Supply,
            ("a rehearsal", _) => !matches!(known.kind, Kind::Output | Kind::People),
            ("a file", "recording") => self.offers_of(known.name).is_none_or(|offered| {
                offered.iter().any(|offered| offered.kind == TerminalKind::Channel)
            }),
            _ => true,
        }
    }

    /// Whether a contact that lands on the input before the cursor can return to a common.
    pub(super) fn common_fits(
        &self,
        controller: &str,
        common: &Offered<'a>,
        expected: &Expected,
    ) -> bool {
        let model = self.view.model();
        let mut words = expected.pieces.iter().map(|piece| self.source.text(piece.span));
        let Some((of, input)) = words.find_map(|word| word.split_once('.')) else { return true };
        let Some(thing) = model.controllers.iter().find(|thing| thing.name.text == of) else {
            return true;
        };
        let (Some(offered), Some(part)) = (self.offers_of(of), thing.part) else { return true };
        let input = offered.iter().find(|offered| offered.name == input);
        // One that belongs to no group of inputs serves all of them.
        let serves_all = part.sheet.commons.iter().any(|group| std::ptr::eq(group, common.group));
        let own = input.and_then(|input| input.group.common);
        of == controller
            && (serves_all || own.is_none_or(|own| model.text(part.place(own.span)) == common.name))
    }

    /// What a thing of the site is.
    fn kind_of(&self, name: &str) -> Option<Kind> {
        self.names().find(Kind::Actor, name).map(|known| known.kind)
    }

    /// The terminals of a controller of the site, as far as its part is known.
    fn offers_of(&self, controller: &str) -> Option<Vec<Offered<'a>>> {
        let model = self.view.model();
        let thing = model.controllers.iter().find(|thing| thing.name.text == controller)?;
        Some(model.terminals(thing.part?))
    }

    /// The sides that a written contact has, as far as its part is known.
    fn contacts(&self, text: &str) -> Option<Contacts> {
        let model = self.view.model();
        let (name, terminal) = parted(text);
        if let Some(terminal) = terminal {
            let offered = self.offers_of(name)?;
            return offered.iter().find(|offered| offered.name == terminal)?.group.contacts;
        }
        let relay = model.relays.iter().find(|relay| relay.name.text == name)?;
        Some(relay.part?.sheet.contacts?.value)
    }

    /// The conditions in which a thing is measured, and what can be measured of it.
    fn measured(&self, text: &str) -> Option<(&'static [&'static str], &'static [Dimension])> {
        let (name, terminal) = parted(text);
        if terminal.is_some() {
            let states: &[&str] = &["resting", "active", "tamper", "cut", "shorted"];
            return Some((states, &[Dimension::Resistance, Dimension::Voltage]));
        }
        let volts: &[Dimension] = &[Dimension::Voltage];
        match self.names().find(Kind::Measurable, name)?.kind {
            Kind::Output => Some((&["running"], &[Dimension::Voltage, Dimension::Current])),
            Kind::Supply => Some((&["floating", "on-battery"], volts)),
            Kind::Controller => Some((&["running", "floating", "on-battery"], volts)),
            _ => None,
        }
    }
}

/// What can happen to a thing in a story, or be expected of it.
fn happens(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::Zone => &["registers", "active", "restored", "tampered"],
        Kind::Output => &["closed", "open"],
        Kind::Camera => &["recorded", "lost", "returns"],
        Kind::Supply => &["lost", "returns"],
        Kind::People => &["told"],
        _ => &[],
    }
}

/// `head.relay1` at its dot.
fn parted(text: &str) -> (&str, Option<&str>) {
    let length = u32::try_from(text.len()).unwrap_or(0);
    let (head, tail) = cut(text, curtilage_text::Span::new(0, length));
    (head.of(text), tail.map(|tail| tail.of(text)))
}
