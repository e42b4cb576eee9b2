//! From the model to a system of the event engine, with the way back.

use super::clock::Clock;
use super::making::{Making, Node, rests_on};
use super::together::Together;
use super::{feedback, responses};
use crate::registering::Registering;
use crate::{Hours, Known, NotKnown, Tampering, tampering};
use curtilage_events::Ms;
use curtilage_events::player::{Input, Story, TimedInput};
use curtilage_events::system::{self, BuildError, Builder, ContactId, System};
use curtilage_model::{Cause, Effect, Model, OutputId, StoryThing};

/// An installation as the event engine takes it.
///
/// Every cause has one contact and one zone of the system, with the same number; those of the
/// model's zones come first and keep their numbers. Outputs keep theirs too.
#[derive(Debug)]
pub struct Plant {
    /// The system.
    pub system: System,
    /// What each contact, and the zone on it, stands for.
    pub causes: Vec<Cause>,
    /// Which response of the model each response is.
    pub responses: Vec<usize>,
    /// The effects that are no outputs, by the number of their note.
    pub notes: Vec<Effect>,
    /// Whether each contact is active when its sensor is at rest: its input is set the other way.
    pub inverted: Vec<bool>,
    /// Whether an output moves each contact while everything is at rest.
    pub(crate) moved_at_rest: Vec<bool>,
    /// Whether each output's load is on while its relay is at rest.
    pub rests_on: Vec<bool>,
    /// What had to be assumed, by node of [`System::influence`], and why it is not known.
    pub(crate) open: Vec<(usize, String)>,
    pub(crate) contacts: Vec<ContactId>,
    pub(crate) zones: Vec<system::ZoneId>,
    pub(crate) outputs: Vec<system::OutputId>,
}

impl Plant {
    /// The zone of the system that stands for a cause.
    #[must_use]
    pub fn zone_of(&self, cause: Cause) -> Option<system::ZoneId> {
        let place = self.causes.iter().position(|other| *other == cause)?;
        self.zones.get(place).copied()
    }

    /// The contact of the system that stands for a cause.
    #[must_use]
    pub fn contact_of(&self, cause: Cause) -> Option<ContactId> {
        let place = self.causes.iter().position(|other| *other == cause)?;
        self.contacts.get(place).copied()
    }

    /// The output of the system that stands for one of the model.
    #[must_use]
    pub fn output_of(&self, output: OutputId) -> Option<system::OutputId> {
        self.outputs.get(output.index()).copied()
    }

    /// A story from its beginning: what an output moves at rest has been noted long ago, and nobody
    /// else holds it.
    pub(crate) fn begun_at_rest(&self, story: &Story) -> Story {
        let moved = self.contacts.iter().zip(&self.moved_at_rest).filter(|(_, moved)| **moved);
        let input = |(contact, _): (&ContactId, &bool)| TimedInput {
            at: story.from,
            input: Input::Contact(*contact, false),
        };
        let inputs = moved.map(input).chain(story.inputs.iter().copied()).collect();
        Story { from: story.from, inputs }
    }

    /// What is not known among all that some contacts can come to.
    pub(crate) fn open_from(&self, contacts: impl IntoIterator<Item = usize>) -> Option<&str> {
        if self.open.is_empty() {
            return None;
        }
        let reached = self.system.influence().closure(contacts);
        let open = self.open.iter().find(|(node, _)| reached.contains(node));
        open.map(|(_, why)| why.as_str())
    }
}

/// The system of a model by a clock, with the schedules between two instants.
///
/// `edges` says whether beginnings and ends of schedules are contacts of their own, for a player
/// that moves them; otherwise responses do not listen to them.
pub(crate) fn plant(
    model: &Model<'_>,
    hours: &Hours,
    registering: &[Registering],
    clock: &Clock,
    span: (Ms, Ms),
    edges: bool,
) -> Known<Plant> {
    let mut causes: Vec<Cause> = model.zones_by_id().map(|(id, _)| Cause::Zone(id)).collect();
    for (cause, _) in model.responses.iter().flat_map(|response| &response.causes) {
        let edge = matches!(cause, Cause::Start(_) | Cause::End(_));
        if (edges || !edge) && can_happen(model, *cause) && !causes.contains(cause) {
            causes.push(*cause);
        }
    }
    // A camera that a story loses records nothing, whether a response asks for its loss or not.
    let told = model.rehearsals.iter().filter(|_| edges).flat_map(|rehearsal| &rehearsal.acts);
    for thing in told.flatten() {
        if let StoryThing::Camera(id) = thing
            && !causes.contains(&Cause::CameraLost(*id))
        {
            causes.push(Cause::CameraLost(*id));
        }
    }
    let mut builder = Builder::new();
    let mut made = Making { model, hours, clock, span, open: Vec::new() };
    let mut contacts = Vec::new();
    let mut inverted = Vec::new();
    let rests_on: Vec<bool> = model.outputs_by_id().map(|(id, _)| rests_on(model, id)).collect();
    let moved_at_rest = feedback::moved_at_rest(model, causes.len(), &rests_on);
    for (cause, moved) in causes.iter().zip(&moved_at_rest) {
        let turned = made.is_inverted(*cause);
        let mut contact = made.contact(*cause, turned);
        contact.starts_active |= moved;
        contacts.push(builder.contact(contact));
        inverted.push(turned);
    }
    let zones = made.zones(&mut builder, &causes, &contacts, registering);
    let together = Together::of(model);
    let outputs = made.outputs(&mut builder, &together);
    let (responses, notes) =
        responses::add(&made, &mut builder, &causes, &zones, &outputs, &together, &rests_on)?;
    feedback::add(model, &mut builder, &contacts, &outputs, &rests_on);
    // Outputs are the last of the nodes; now the number of responses is known.
    let before_outputs = 2 * causes.len() + responses.len();
    let open = made.open.into_iter().map(|(node, why)| match node {
        Node::Zone(zone) => (causes.len() + zone, why),
        Node::Output(output) => (before_outputs + output, why),
    });
    Ok(Plant {
        open: open.collect(),
        system: builder.build().map_err(|error| refused(&error))?,
        causes,
        responses,
        notes,
        inverted,
        moved_at_rest,
        rests_on,
        contacts,
        zones,
        outputs,
    })
}

/// Whether anything on site can be a cause.
fn can_happen(model: &Model<'_>, cause: Cause) -> bool {
    let Cause::Tamper(id) = cause else { return true };
    model.zone(id).is_none_or(|zone| tampering(model, zone) != Tampering::Nothing)
}

fn refused(error: &BuildError) -> NotKnown {
    NotKnown::because(match error {
        BuildError::DurationOutOfRange(..) => "a time is longer than a hundred years".to_owned(),
        BuildError::ConfirmsItself(_) => "a zone is to confirm itself".to_owned(),
        BuildError::ShortestOverLongest(_) => "a sensor is active for no time at all".to_owned(),
        other => format!("it has no meaning: {other}"),
    })
}

impl Plant {
    /// What is not known among all that can influence a zone.
    pub(crate) fn open_into(&self, zone: system::ZoneId) -> Option<&str> {
        self.open_into_node(self.causes.len() + zone.index())
    }

    pub(crate) fn open_into_output(&self, output: system::OutputId) -> Option<&str> {
        self.open_into_node(2 * self.causes.len() + self.responses.len() + output.index())
    }

    fn open_into_node(&self, node: usize) -> Option<&str> {
        if self.open.is_empty() {
            return None;
        }
        let into = self.system.influence().reversed().closure([node]);
        let open = self.open.iter().find(|(node, _)| into.contains(node));
        open.map(|(_, why)| why.as_str())
    }
}
