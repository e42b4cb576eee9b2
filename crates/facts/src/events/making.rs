//! Contacts, zones and outputs of the model as those of the engine.

use super::clock::Clock;
use super::together::Together;
use crate::Hours;
use crate::registering::{Registering, on_time};
use curtilage_events::Ms;
use curtilage_events::system::{
    self, Again, Builder, Confirm, Contact, ContactId, LockoutEnd, OnTime, Registration, Windows,
};
use curtilage_model::{Cause, ContactAt, Effect, Model, OutputId, Zone, ZoneId};
use curtilage_syntax::tree::output::Mode;
use curtilage_syntax::tree::part::ActiveFor;
use curtilage_syntax::tree::wiring::Side;
use std::collections::BTreeSet;

#[derive(Clone, Copy, Debug)]
pub(super) enum Node {
    Zone(usize),
    Output(usize),
}

pub(super) struct Making<'b, 'm> {
    pub(super) model: &'b Model<'m>,
    pub(super) hours: &'b Hours,
    pub(super) clock: &'b Clock,
    pub(super) span: (Ms, Ms),
    pub(super) open: Vec<(Node, String)>,
}

/// A time as the engine takes it. What is too long for it stays so, far from overflow.
pub(super) fn ms(time: u64) -> Ms {
    Ms::try_from(time).unwrap_or(Ms::MAX).min(Ms::MAX / 64)
}

impl Making<'_, '_> {
    pub(super) fn windows(&self, schedule: curtilage_model::ScheduleRef) -> Option<Windows> {
        self.clock.windows(self.hours, schedule, self.span)
    }

    /// Whether an input takes the sensor's rest for active.
    pub(super) fn is_inverted(&self, cause: Cause) -> bool {
        let Cause::Zone(id) = cause else { return false };
        let Some(zone) = self.model.zone(id) else { return false };
        let part = zone
            .input
            .and_then(|input| input.terminal)
            .and_then(|terminal| self.model.controller(terminal.controller)?.part);
        let takes = zone.tree.input.or(part.and_then(|part| part.sheet.input_rests));
        let rests = zone.sensor.and_then(|sensor| sensor.sheet.rests);
        takes.zip(rests).is_some_and(|(takes, rests)| takes.value != rests.value)
    }

    pub(super) fn contact(&self, cause: Cause, turned: bool) -> Contact {
        let id = match cause {
            Cause::Zone(id) | Cause::Tamper(id) => id,
            _ => return Contact::settling(0),
        };
        let Some(zone) = self.model.zone(id) else { return Contact::settling(0) };
        let own = zone.tree.settle.map(|settle| settle.value);
        let input = match cause {
            Cause::Tamper(_) => zone.tamper().or(zone.input),
            _ => zone.input,
        };
        let controller = input.and_then(|input| input.terminal).map(|t| t.controller);
        let part = controller.and_then(|id| self.model.controller(id)?.part);
        let settles = part.and_then(|part| part.sheet.settles).map(|settles| settles.value);
        let own = own.filter(|_| matches!(cause, Cause::Zone(_)) || zone.tamper().is_none());
        let mut contact = Contact::settling(ms(own.or(settles).unwrap_or(0)));
        if let Cause::Zone(_) = cause
            && !turned
        {
            let sheet = zone.sensor.map(|sensor| sensor.sheet);
            let held = sheet.and_then(|sheet| sheet.held).map_or(0.0, |held| held.value);
            match sheet.and_then(|sheet| sheet.active).map(|active| active.value) {
                Some(ActiveFor::Time(time)) => {
                    contact.shortest = whole(time.low);
                    contact.longest = Some(whole(time.high));
                }
                Some(ActiveFor::WhileHeld) => contact.shortest = whole(held),
                Some(ActiveFor::UntilRestored) | None => {}
            }
        }
        contact.starts_active = turned;
        contact
    }

    pub(super) fn zones(
        &mut self,
        builder: &mut Builder,
        causes: &[Cause],
        contacts: &[ContactId],
        registering: &[Registering],
    ) -> Vec<system::ZoneId> {
        // A zone may be confirmed by one that is added later: its number is known before.
        let mut numbers = Builder::new();
        let dummy = numbers.contact(Contact::settling(0));
        let ids: Vec<_> =
            causes.iter().map(|_| numbers.zone(system::Zone::edge(dummy, 0))).collect();
        for (place, (cause, contact)) in causes.iter().zip(contacts).enumerate() {
            let zone = match cause {
                Cause::Zone(id) => self.zone(*id, place, *contact, &ids, registering),
                _ => None,
            };
            builder.zone(zone.unwrap_or_else(|| system::Zone::edge(*contact, 0)));
        }
        ids
    }

    fn zone(
        &mut self,
        id: ZoneId,
        place: usize,
        contact: ContactId,
        ids: &[system::ZoneId],
        registering: &[Registering],
    ) -> Option<system::Zone> {
        let zone = self.model.zone(id)?;
        let time = |time: Option<curtilage_syntax::tree::Spanned<u64>>| {
            ms(time.map_or(0, |time| time.value))
        };
        let armed = zone.armed.and_then(|(schedule, _)| self.windows(schedule));
        let level = registering.get(id.index()).and_then(|one| one.level);
        let name = zone.name.text;
        if armed.is_none() {
            self.open.push((Node::Zone(place), format!("when `{name}` is armed is not known")));
        }
        if level.is_none() {
            let why =
                format!("nothing says whether `{name}` registers again while it stays active");
            self.open.push((Node::Zone(place), why));
        }
        Some(system::Zone {
            contact,
            armed: armed.unwrap_or(Windows::Never),
            lockout: time(zone.tree.lockout),
            lockout_end: LockoutEnd::Accepts,
            lockout_restarts: false,
            registration: if level == Some(true) {
                Registration::Level(Again::AfterOnTime { gap: 0 })
            } else {
                Registration::Edge
            },
            limit: zone.tree.repeats.map(|limit| limit.value),
            confirmed: confirmed(zone, ids),
            exit: time(zone.tree.exit),
            entry: time(zone.tree.entry),
        })
    }

    pub(super) fn outputs(
        &mut self,
        builder: &mut Builder,
        together: &Together,
    ) -> Vec<system::OutputId> {
        let mut out = Vec::new();
        let timed = timed(self.model, together);
        for (id, output) in self.model.outputs_by_id() {
            let known = on_time(self.model, id);
            if known.is_none() && timed.contains(&id) {
                let name = output.name.text;
                let why = format!("how long `{name}` stays on: its controller gives no `on-time`");
                self.open.push((Node::Output(id.index()), why));
            }
            let turned = rests_on(self.model, id);
            let mode = match output.tree.mode.map(|mode| mode.value) {
                None | Some(Mode::Automatic) => system::Mode::Automatic,
                Some(Mode::ForcedOn) if !turned => system::Mode::ForcedOn,
                Some(Mode::ForcedOff) if turned => system::Mode::ForcedOn,
                Some(_) => system::Mode::ForcedOff,
            };
            let on_time = known.unwrap_or(OnTime::HOLD);
            out.push(builder.output(system::Output { on_time, mode }));
        }
        out
    }
}

fn confirmed(zone: &Zone<'_>, ids: &[system::ZoneId]) -> Option<Confirm> {
    let (_, within) = zone.tree.confirmed?;
    Some(Confirm { by: ids.get(zone.confirmed?.index()).copied()?, within: ms(within.value) })
}

/// The outputs that some response switches for a time.
fn timed(model: &Model<'_>, together: &Together) -> BTreeSet<OutputId> {
    let effects = model.responses.iter().flat_map(|response| &response.effects);
    let timed = effects.filter_map(|(effect, _)| match effect {
        Effect::Switch { output, hold: Some(_), .. } => Some(together.with(*output)),
        _ => None,
    });
    timed.flatten().copied().collect()
}

/// Whether an effect drives the relay of an output, away from its rest, or lets it go; none when it is about
/// another one. `rests_on` is that of the output.
#[must_use]
pub fn moves(effect: &Effect, output: OutputId, rests_on: bool) -> Option<bool> {
    match effect {
        Effect::Switch { output: other, on, .. } if *other == output => Some(*on != rests_on),
        Effect::Pulse { output: other, .. } if *other == output => Some(true),
        _ => None,
    }
}

/// Whether an output's load is on while the controller's relay is at rest: an odd number of break
/// contacts between the two.
#[must_use]
pub fn rests_on(model: &Model<'_>, output: OutputId) -> bool {
    let mut turned = false;
    let mut next = model.output(output).and_then(|output| output.through);
    for _ in 0..=model.relays.len() {
        let Some(contact) = next else { break };
        turned ^= contact.side == Side::Opening;
        next = match contact.of {
            ContactAt::Terminal(_) => None,
            ContactAt::Relay(relay) => model.relay(relay).and_then(|relay| relay.through),
        };
    }
    turned
}

#[expect(clippy::cast_possible_truncation, reason = "a time is whole and below 2^53 ms")]
fn whole(time: f64) -> Ms {
    time as Ms
}
