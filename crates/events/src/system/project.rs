//! A part of a system as a system of its own.

use super::{Builder, Causes, ContactId, Effect, Nodes, OutputId, System, Windows, ZoneId};

/// A part that behaves as it does in the whole, and how its ids are called there.
#[derive(Debug, Clone)]
pub(crate) struct Part {
    pub(crate) system: System,
    pub(crate) contacts: Vec<ContactId>,
    pub(crate) zones: Vec<ZoneId>,
    pub(crate) outputs: Vec<OutputId>,
}

impl Part {
    /// The part with the given nodes of [`System::influence`], which must be closed under
    /// "is influenced by". Areas and notes are left out: nothing comes back from them.
    pub(super) fn of(whole: &System, part: &[usize]) -> Self {
        let nodes = Nodes::of(whole);
        let has = |node: usize| part.binary_search(&node).is_ok();
        let contacts: Vec<_> = whole.contacts.ids().filter(|&id| has(nodes.contact(id))).collect();
        let zones: Vec<_> = whole.zones.ids().filter(|&id| has(nodes.zone(id))).collect();
        // With the outputs that it switches and that nothing comes back from: their on-times decide
        // when a held contact registers again.
        let switched = |output: OutputId| {
            let mut mine = whole.responses.iter().filter(|(id, _)| has(nodes.response(*id)));
            mine.any(|(_, response)| {
                response.effects.iter().any(|effect| effect.output() == Some(output))
            })
        };
        let outputs: Vec<_> =
            whole.outputs.ids().filter(|&id| has(nodes.output(id)) || switched(id)).collect();
        let mut builder = Builder::new();
        let new_contacts: Vec<ContactId> = contacts
            .iter()
            .filter_map(|&id| whole.contacts.get(id).cloned())
            .map(|contact| builder.contact(contact))
            .collect();
        let new_outputs: Vec<OutputId> = outputs
            .iter()
            .filter_map(|&id| whole.outputs.get(id).cloned())
            .map(|output| builder.output(output))
            .collect();
        let contact = |id: ContactId| renamed(&contacts, &new_contacts, id);
        let output = |id: OutputId| renamed(&outputs, &new_outputs, id);
        let new_zones = add_zones(whole, &zones, &mut builder, contact);
        let zone = |id: ZoneId| renamed(&zones, &new_zones, id);
        for (id, response) in whole.responses.iter() {
            if !has(nodes.response(id)) {
                continue;
            }
            let mut response = response.clone();
            match &mut response.causes {
                Causes::Any(zones) | Causes::All { zones, .. } => {
                    *zones = zones.iter().filter_map(|&id| zone(id)).collect();
                }
            }
            response.effects.retain_mut(|effect| match effect {
                Effect::On { output: id, .. }
                | Effect::Latch { output: id }
                | Effect::Off { output: id, .. } => output(*id).map(|new| *id = new).is_some(),
                Effect::Note { .. } => false,
            });
            builder.response(response);
        }
        for (_, feedback) in whole.feedback.iter() {
            if let (Some(contact), Some(output)) =
                (contact(feedback.contact), output(feedback.output))
            {
                builder.feedback(super::Feedback { output, contact, ..feedback.clone() });
            }
        }
        // A part of a sound system is sound; an empty one stands in should that ever be wrong.
        let system = builder.build().or_else(|_| Builder::new().build());
        let system = system.unwrap_or_else(|_| whole.clone());
        Self { system, contacts, zones, outputs }
    }

    pub(crate) fn contact(&self, whole: ContactId) -> Option<ContactId> {
        let place = self.contacts.iter().position(|&id| id == whole)?;
        self.system.contacts.ids().nth(place)
    }

    pub(crate) fn output(&self, whole: OutputId) -> Option<OutputId> {
        let place = self.outputs.iter().position(|&id| id == whole)?;
        self.system.outputs.ids().nth(place)
    }

    pub(crate) fn zone(&self, whole: ZoneId) -> Option<ZoneId> {
        let place = self.zones.iter().position(|&id| id == whole)?;
        self.system.zones.ids().nth(place)
    }
}

fn add_zones(
    whole: &System,
    zones: &[ZoneId],
    builder: &mut Builder,
    contact: impl Fn(ContactId) -> Option<ContactId>,
) -> Vec<ZoneId> {
    let mut new = Vec::new();
    for &id in zones {
        let Some(mut zone) = whole.zones.get(id).cloned() else { continue };
        let Some(contact) = contact(zone.contact) else { continue };
        zone.contact = contact;
        if let Some(confirm) = &mut zone.confirmed
            && let Some(place) = zones.iter().position(|&other| other == confirm.by)
        {
            confirm.by = <ZoneId as super::ids::Id>::from_index(place);
        }
        if zone.armed == Windows::Never {
            zone.limit = None;
        }
        new.push(builder.zone(zone));
    }
    new
}

fn renamed<I: Copy + PartialEq>(old: &[I], new: &[I], id: I) -> Option<I> {
    let place = old.iter().position(|&other| other == id)?;
    new.get(place).copied()
}
