//! An installation as data: contacts, zones, responses, outputs, feedback and areas.
//!
//! A [`System`] is made by a [`Builder`], which gives the ids, and cannot be changed afterwards.

mod area;
mod build;
mod contact;
mod ids;
mod output;
mod project;
mod response;
mod windows;
mod zone;

pub use area::{Area, AreaCommand, AreaMember, MemberKind};
pub use build::{BuildError, Builder};
pub use contact::Contact;
pub use ids::{AreaId, ContactId, OutputId, ResponseId, ZoneId};
pub use output::{Feedback, Mode, OnTime, Output, Span};
pub use response::{Causes, Effect, Response};
pub use windows::Windows;
pub use zone::{Again, Confirm, LockoutEnd, Registration, Zone};

pub(crate) use ids::{DriveId, FeedbackId, GateId, Id, Table};
pub(crate) use project::Part;

use crate::Ms;
use crate::graph::Graph;

/// An installation. Two systems are equal when they behave alike by construction.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct System {
    pub(crate) contacts: Table<ContactId, Contact>,
    pub(crate) zones: Table<ZoneId, Zone>,
    pub(crate) responses: Table<ResponseId, Response>,
    pub(crate) outputs: Table<OutputId, Output>,
    pub(crate) feedback: Table<FeedbackId, Feedback>,
    pub(crate) areas: Table<AreaId, Area>,
    /// The distinct windows that zones and responses name.
    pub(crate) gates: Table<GateId, Windows>,
    /// One for each effect that switches an output on and each zone that can cause it.
    pub(crate) drives: Table<DriveId, Drive>,
    pub(crate) zone_gate: Table<ZoneId, GateId>,
    pub(crate) response_gate: Table<ResponseId, GateId>,
}

/// One on-time: an effect of a response, as started by one zone.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) struct Drive {
    pub(crate) response: ResponseId,
    pub(crate) zone: ZoneId,
    /// Place of the zone among the response's causes.
    pub(crate) cause: usize,
    /// Place of the effect in the response.
    pub(crate) effect: usize,
    pub(crate) output: OutputId,
    /// `None` is for ever.
    pub(crate) length: Option<Ms>,
    pub(crate) retriggered: bool,
}

impl System {
    /// All contacts, in the order in which they were added.
    pub fn contacts(&self) -> impl Iterator<Item = (ContactId, &Contact)> {
        self.contacts.iter()
    }

    /// All zones, in the order in which they were added.
    pub fn zones(&self) -> impl Iterator<Item = (ZoneId, &Zone)> {
        self.zones.iter()
    }

    /// All responses, in the order in which they were added.
    pub fn responses(&self) -> impl Iterator<Item = (ResponseId, &Response)> {
        self.responses.iter()
    }

    /// All outputs, in the order in which they were added.
    pub fn outputs(&self) -> impl Iterator<Item = (OutputId, &Output)> {
        self.outputs.iter()
    }

    /// All feedback paths, in the order in which they were added.
    pub fn feedback(&self) -> impl Iterator<Item = &Feedback> {
        self.feedback.iter().map(|(_, feedback)| feedback)
    }

    /// What can influence what, as a graph: contacts, then zones, then responses, then outputs.
    ///
    /// An edge says "a change here can change that". That includes a response whose on-time decides
    /// when a held contact registers again: from it back to its zone. A forced output listens to
    /// nobody.
    #[must_use]
    pub fn influence(&self) -> Graph {
        let nodes = Nodes::of(self);
        let mut graph = self.wiring();
        for (id, response) in self.responses.iter() {
            for &zone in response.causes.zones() {
                if self.zones.get(zone).is_some_and(Zone::waits_for_outputs) {
                    graph.add_edge(nodes.response(id), nodes.zone(zone));
                }
            }
            for effect in &response.effects {
                if let Effect::Off { output, .. } = effect {
                    self.off_edges(&nodes, &mut graph, id, *output);
                }
            }
        }
        graph
    }

    /// The ways that a change can take: contact, zone, response, output, and back to a contact.
    /// The nodes are those of [`System::influence`]. A strong component with more than one node is
    /// a loop that might keep itself going.
    #[must_use]
    pub fn wiring(&self) -> Graph {
        let nodes = Nodes::of(self);
        let mut graph = Graph::new(nodes.len());
        for (id, zone) in self.zones.iter() {
            graph.add_edge(nodes.contact(zone.contact), nodes.zone(id));
            if let Some(confirm) = &zone.confirmed {
                graph.add_edge(nodes.zone(confirm.by), nodes.zone(id));
            }
        }
        for (id, response) in self.responses.iter() {
            for &zone in response.causes.zones() {
                graph.add_edge(nodes.zone(zone), nodes.response(id));
            }
            for output in response.effects.iter().filter_map(Effect::output) {
                if self.outputs.get(output).is_some_and(|o| o.mode == Mode::Automatic) {
                    graph.add_edge(nodes.response(id), nodes.output(output));
                }
            }
        }
        for (_, feedback) in self.feedback.iter() {
            graph.add_edge(nodes.output(feedback.output), nodes.contact(feedback.contact));
        }
        graph
    }

    /// A response that switches an output off cuts the on-times of the others on that output.
    fn off_edges(&self, nodes: &Nodes, graph: &mut Graph, by: ResponseId, output: OutputId) {
        for (_, drive) in self.drives.iter() {
            if drive.output == output && drive.response != by {
                graph.add_edge(nodes.response(by), nodes.response(drive.response));
            }
        }
    }

    pub(crate) fn members_of(&self, part: &[usize]) -> Part {
        Part::of(self, part)
    }
}

/// Numbers the parts of a system as nodes of one graph.
pub(crate) struct Nodes {
    contacts: usize,
    zones: usize,
    responses: usize,
    outputs: usize,
}

impl Nodes {
    pub(crate) fn of(system: &System) -> Self {
        Self {
            contacts: system.contacts.len(),
            zones: system.zones.len(),
            responses: system.responses.len(),
            outputs: system.outputs.len(),
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.contacts + self.zones + self.responses + self.outputs
    }

    pub(crate) fn contact(&self, id: ContactId) -> usize {
        id.index()
    }

    pub(crate) fn zone(&self, id: ZoneId) -> usize {
        self.contacts + id.index()
    }

    pub(crate) fn response(&self, id: ResponseId) -> usize {
        self.contacts + self.zones + id.index()
    }

    pub(crate) fn output(&self, id: OutputId) -> usize {
        self.contacts + self.zones + self.responses + id.index()
    }
}
