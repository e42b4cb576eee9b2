//! Outputs, relays and the contacts that switch them.

use super::Writer;
use super::needs::Needs;
use super::settings::{contact_words, thing};
use super::zones::{bounds, milliseconds};
use crate::figure::{Aspect, Better, Value};
use crate::thing::{Thing, ThingKind};
use crate::words::Words;
use curtilage_facts::{Switched, Verdict};
use curtilage_model::{Contact, ContactAt};
use curtilage_syntax::tree::output::Mode;
use curtilage_text::Place;
use curtilage_units::{amps, duration, significant};

impl Writer<'_, '_, '_> {
    pub(super) fn outputs(&mut self) {
        let (model, facts) = (self.model(), self.facts);
        let none = Words::default;
        // A terminal is one of its controller's part; a relay is told for itself.
        let own = |contact: Contact<'_>| match contact.of {
            ContactAt::Terminal(terminal) => Some(terminal.controller),
            ContactAt::Relay(_) => None,
        };
        for (id, output) in model.outputs_by_id() {
            let (name, file) = (output.name.text, output.name.at.file);
            let of = thing(ThingKind::Output, name);
            let loads = output.tree.loads.iter().map(|(count, part)| {
                let part = Words::part(model.text(Place::new(file, part.span)));
                match count {
                    Some(count) => Words::new(&format!("{} of ", count.value)).and(&part),
                    None => part,
                }
            });
            let needs = Needs::default().item("output", name, &["through"]).done();
            let (loads, at) = (Value::words(Words::list(loads.collect())), Some(output.name.at));
            self.add(&of, Aspect::Fitted, none(), loads, at, &needs);
            if let Some(contact) = output.through {
                let needs = Needs::default().item("output", name, &["through"]);
                let needs = needs.controller(model, own(contact)).done();
                let (value, at) = (Value::words(contact_words(model, &contact)), Some(contact.at));
                self.add(&of, Aspect::Contact, none(), value, at, &needs);
            }
            let forced = match output.tree.mode.map(|mode| mode.value) {
                None | Some(Mode::Automatic) => ("automatic", true),
                Some(Mode::ForcedOff) => ("forced off", false),
                Some(Mode::ForcedOn) => ("forced on", false),
            };
            let mode_needs = Needs::default().item("output", name, &["mode"]).done();
            let at = output.tree.mode.map_or(output.name.at, |mode| Place::new(file, mode.span));
            let mode = Value::judged(Words::new(forced.0), forced.1);
            self.add(&of, Aspect::Mode, none(), mode, Some(at), &mode_needs);
            let needs = Needs::default()
                .item("output", name, &["through", "mode", "runs"])
                .contact(model, output.through)
                .item("response", "", &[])
                .item("zone", "", &["lockout", "armed", "registers", "repeats", "settle"])
                .item("schedule", "", &[]);
            let longest = facts.longest_in_a_day(id).map_or_else(
                |why| Value::NotKnown(why.because),
                |most| {
                    bounds(most.at_least, most.at_most, "ms", |time| duration(milliseconds(time)))
                },
            );
            self.add(&of, Aspect::LongestOn, none(), longest, Some(output.name.at), &needs.done());
        }
        for relay in &model.relays {
            let of = thing(ThingKind::Relay, relay.name.text);
            let part = Place::new(relay.name.at.file, relay.tree.part.span);
            let needs = Needs::default().item("relay", relay.name.text, &["through"]).done();
            let words = Value::words(self.part_words(part));
            self.add(&of, Aspect::Fitted, none(), words, Some(part), &needs);
            if let Some(contact) = relay.through {
                let needs = Needs::default().item("relay", relay.name.text, &["through"]);
                let needs = needs.controller(model, own(contact)).done();
                let (value, at) = (Value::words(contact_words(model, &contact)), Some(contact.at));
                self.add(&of, Aspect::Contact, none(), value, at, &needs);
            }
        }
        for switched in &facts.switched {
            self.contact(switched);
        }
    }

    /// What a contact carries, and how much of its rating that is.
    fn contact(&mut self, switched: &Switched<'_>) {
        let model = self.model();
        let of = Thing::new(ThingKind::Contact, contact_words(model, &switched.contact));
        let mut needs = Needs::default().contact(model, Some(switched.contact)).ambient();
        for output in model.outputs.iter().filter(|output| {
            output.through.is_some_and(|one| contact_words(model, &one) == of.name)
        }) {
            needs = needs.item("output", output.name.text, &["through", "fed", "suppressed"]);
            needs = needs.feed(model, output.fed);
            for (_, part) in output.loads.as_deref().unwrap_or_default() {
                needs = needs.part(model, Some(part.id));
            }
        }
        for relay in model
            .relays
            .iter()
            .filter(|relay| relay.through.is_some_and(|one| contact_words(model, &one) == of.name))
        {
            needs = needs.item("relay", relay.name.text, &["through", "fed"]);
            needs = needs.feed(model, relay.fed).part(model, relay.part.map(|part| part.id));
        }
        let needs = needs.done();
        let at = Some(switched.contact.at);
        let mut shown = amps(switched.running);
        if switched.inrush > switched.running {
            shown.push_str(&format!(", {} at switching on", amps(switched.inrush)));
        }
        let carries = match switched.complete {
            true => Value::number(switched.running, "A", shown, Better::Neither),
            false => Value::NotKnown("not all that hangs on it is known".into()),
        };
        self.add(&of, Aspect::Carries, Words::default(), carries, at, &needs);
        let Some(verdict) = switched.verdict else { return };
        let of_row = |row: usize| {
            switched.ratings.get(row).map_or_else(String::new, |rating| {
                format!(
                    " of {} at {} V {} {}",
                    amps(rating.current.value),
                    significant(rating.voltage.value, 4),
                    rating.kind.word(),
                    rating.load.word()
                )
            })
        };
        let share = |share: f64, shown: String| {
            Value::number(share * 100.0, "%", shown, Better::Less)
                .with_limit(Some((100.0, "100 %".to_owned())))
        };
        let percent = |share: f64| format!("{} %", significant(share * 100.0, 3));
        let value = match verdict {
            Verdict::Within { row, used, .. } => share(used, percent(used) + &of_row(row)),
            Verdict::Exceeds { row, factor, .. } => share(factor, percent(factor) + &of_row(row)),
            Verdict::OverVoltage { factor, .. } => {
                share(factor, format!("{} of its highest voltage", percent(factor)))
            }
            Verdict::NotRated(_) => {
                Value::NotKnown("its rating says nothing about such a load".into())
            }
        };
        self.add(&of, Aspect::Load, Words::default(), value, at, &needs);
    }
}
